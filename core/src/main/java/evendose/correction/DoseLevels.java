package evendose.correction;

import java.util.Arrays;

/**
 * Dose levels in rising order, for writers that take a limited number of doses. Neighbours differ by a constant ratio, so the
 * relative error of snapping to the nearest in ratio is the same everywhere: at most {@code sqrt(q) - 1} for ratio q.
 */
public final class DoseLevels {
    /** Most levels. */
    public static final int MOST = 65_536;

    /** Levels made when the user asks for no number: as many as datatypes of one byte. */
    public static final int USUAL = 256;

    private final double[] factors;

    private DoseLevels(double[] factors) {
        this.factors = factors;
    }

    /**
     * Levels in geometric spacing.
     *
     * @param smallest smallest factor, positive
     * @param largest largest factor, at least {@code smallest}
     * @param count number of levels, 1 to {@link #MOST}; fewer are made if the range is empty
     */
    public static DoseLevels geometric(double smallest, double largest, int count) {
        if (!(smallest > 0) || !(largest >= smallest) || count < 1 || count > MOST) {
            throw new IllegalArgumentException(
                    "cannot make " + count + " dose levels from " + smallest + " to " + largest);
        }
        if (count == 1 || smallest == largest) {
            return new DoseLevels(new double[] {Math.sqrt(smallest * largest)});
        }
        double[] factors = new double[count];
        double ratio = Math.log(largest / smallest);
        for (int k = 0; k < count; k++) {
            factors[k] = smallest * Math.exp(ratio * k / (count - 1));
        }
        factors[count - 1] = largest;
        return new DoseLevels(factors);
    }

    /** Number of levels. */
    public int size() {
        return factors.length;
    }

    /** Factor of level {@code k}, 0 to {@code size() - 1}. */
    public double factor(int k) {
        return factors[k];
    }

    /** The level nearest to {@code factor} in ratio. */
    public int nearest(double factor) {
        int k = Arrays.binarySearch(factors, factor);
        if (k >= 0) {
            return k;
        }
        int above = -k - 1;
        if (above == 0) {
            return 0;
        }
        if (above == factors.length) {
            return factors.length - 1;
        }
        return factor * factor < factors[above - 1] * factors[above] ? above - 1 : above;
    }
}
