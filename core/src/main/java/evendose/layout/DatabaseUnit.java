package evendose.layout;

import evendose.Supported;
import java.io.Serializable;
import java.math.BigDecimal;
import java.math.MathContext;

/**
 * The length of one database unit (dbu), in which a layout's integer coordinates count.
 *
 * @param um length in um, positive; 0.001 is the usual grid of 1 nm
 * @serial exclude
 */
@Supported
public record DatabaseUnit(double um) implements Serializable {
    /** One nanometre. */
    public static final DatabaseUnit NANOMETRE = new DatabaseUnit(0.001);

    /** Digits to which a length read from a file is cleaned, and how far it may move, relatively. */
    private static final MathContext CLEAN = new MathContext(9);

    private static final double CLEAN_TOLERANCE = 1e-12;

    /** Deviations from the grid below this come from decimal fractions, dbu. */
    private static final double ON_GRID = 1e-4;

    /** Checks that the length lies in its range. {@inheritDoc} */
    public DatabaseUnit {
        if (!(um > 0) || Double.isInfinite(um)) {
            throw new IllegalArgumentException("the database unit must be positive and finite, got " + um + " um");
        }
    }

    /**
     * {@return a unit read from a file, where binary fractions are inexact in practice: 1.0000000000000005e-9 m gives 0.001 um} The
     * nearest number of nine decimal digits is taken if it lies within 1e-12 of the given one, relatively; else the given one.
     *
     * @param metres length in m, positive
     */
    public static DatabaseUnit fromMetres(double metres) {
        if (!(metres > 0) || Double.isInfinite(metres)) {
            throw new IllegalArgumentException("the database unit must be positive and finite, got " + metres + " m");
        }
        BigDecimal exactUm = new BigDecimal(metres).movePointRight(6);
        BigDecimal cleanUm = exactUm.round(CLEAN);
        boolean near = cleanUm.subtract(exactUm).abs().doubleValue() <= CLEAN_TOLERANCE * exactUm.doubleValue();
        return new DatabaseUnit((near ? cleanUm : exactUm).doubleValue());
    }

    /** {@return length in m: {@link #um()} with its decimal point moved, so that 0.001 um is the double nearest to 1e-9 m} */
    public double metres() {
        return BigDecimal.valueOf(um).movePointLeft(6).doubleValue();
    }

    /**
     * {@return a coordinate in um} Where a whole number of units makes 1 um (the usual case) the result is the double nearest to the
     * exact quotient, so that 1001 dbu of 1 nm are 1.001 um to the last digit.
     *
     * @param dbu coordinate in database units
     */
    public double toUm(double dbu) {
        double perUm = Math.rint(1 / um);
        return perUm >= 1 && 1 / perUm == um ? dbu / perUm : dbu * um;
    }

    /**
     * {@return a coordinate rounded to whole database units, halves upwards; to be checked before if it might not fit}
     *
     * @param coordinateUm coordinate, um
     */
    public long nearest(double coordinateUm) {
        return (long) Math.floor(fromUm(coordinateUm) + 0.5);
    }

    /**
     * {@return whether a coordinate is a multiple of the database unit but for what decimal fractions lose}
     *
     * @param coordinateUm coordinate, um
     */
    public boolean isOnGrid(double coordinateUm) {
        double exact = fromUm(coordinateUm);
        return Math.abs(exact - Math.floor(exact + 0.5)) <= Math.max(ON_GRID, 4 * Math.ulp(exact));
    }

    /**
     * {@return a coordinate in database units, not rounded to whole ones}
     *
     * @param coordinateUm coordinate, um
     */
    public double fromUm(double coordinateUm) {
        double perUm = Math.rint(1 / um);
        return perUm >= 1 && 1 / perUm == um ? coordinateUm * perUm : coordinateUm / um;
    }
}
