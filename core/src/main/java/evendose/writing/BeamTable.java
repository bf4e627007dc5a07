package evendose.writing;

import evendose.files.BadInputException;
import evendose.files.CsvTable;
import evendose.units.Plausible;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.OptionalDouble;
import java.util.stream.DoubleStream;
import org.apache.commons.math3.analysis.interpolation.LinearInterpolator;
import org.apache.commons.math3.analysis.polynomials.PolynomialSplineFunction;

/**
 * Beam diameter against current, as the user measured it on the tool. Between the rows the logarithm of the diameter is linear in
 * the logarithm of the current (a power law piece by piece), so it stays monotone where the rows are; outside them
 * nothing is claimed.
 */
public final class BeamTable {
    private static final double EDGE = 1e-12;

    private final double[] currentNa;
    private final double[] diameterNm;
    private final PolynomialSplineFunction logDiameter;

    private BeamTable(double[] currentNa, double[] diameterNm) {
        this.currentNa = currentNa;
        this.diameterNm = diameterNm;
        this.logDiameter = new LinearInterpolator()
                .interpolate(
                        Arrays.stream(currentNa).map(Math::log).toArray(),
                        Arrays.stream(diameterNm).map(Math::log).toArray());
    }

    /**
     * {@return a table}
     *
     * @param currentNa rising currents, nA, positive, at least two
     * @param diameterNm beam diameter at each, nm, positive
     * @throws IllegalArgumentException if that does not hold
     */
    static BeamTable of(double[] currentNa, double[] diameterNm) {
        if (currentNa.length != diameterNm.length || currentNa.length < 2) {
            throw new IllegalArgumentException("a beam table needs at least two rows");
        }
        for (int k = 0; k < currentNa.length; k++) {
            if (!(currentNa[k] > 0 && diameterNm[k] > 0) || (k > 0 && !(currentNa[k] > currentNa[k - 1]))) {
                throw new IllegalArgumentException("row " + (k + 1) + ": currents must rise, all values be positive");
            }
        }
        return new BeamTable(currentNa.clone(), diameterNm.clone());
    }

    /**
     * Reads a table with the columns {@code current_na} and {@code beam_nm}.
     *
     * @param file the CSV file
     * @return the table
     * @throws BadInputException naming the line if it is not sound
     */
    public static BeamTable read(Path file) {
        DoubleStream.Builder currents = DoubleStream.builder();
        DoubleStream.Builder diameters = DoubleStream.builder();
        try (CsvTable table = CsvTable.open(file, "current_na", "beam_nm")) {
            double last = 0;
            while (table.next()) {
                double current = table.positive("current_na", Plausible.CURRENT::objection);
                if (!(current > last)) {
                    throw table.error("currents must rise from row to row");
                }
                currents.add(current);
                diameters.add(table.positive("beam_nm", Plausible.BEAM::objection));
                last = current;
            }
        }
        try {
            return of(currents.build().toArray(), diameters.build().toArray());
        } catch (IllegalArgumentException e) {
            throw new BadInputException(file.toString(), "", e.getMessage(), e);
        }
    }

    /** Diameter at a current, nm; empty outside the table. */
    OptionalDouble diameterNm(double atNa) {
        int last = currentNa.length - 1;
        if (!(atNa >= currentNa[0] * (1 - EDGE) && atNa <= currentNa[last] * (1 + EDGE))) {
            return OptionalDouble.empty();
        }
        double within = Math.min(currentNa[last], Math.max(currentNa[0], atNa));
        return OptionalDouble.of(Math.exp(logDiameter.value(Math.log(within))));
    }

    /** {@return the currents of the rows, nA, a new array} */
    public double[] currentsNa() {
        return currentNa.clone();
    }

    /** {@return the diameters of the rows, nm, a new array} */
    public double[] diametersNm() {
        return diameterNm.clone();
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof BeamTable o
                && Arrays.equals(currentNa, o.currentNa)
                && Arrays.equals(diameterNm, o.diameterNm);
    }

    @Override
    public int hashCode() {
        return 31 * Arrays.hashCode(currentNa) + Arrays.hashCode(diameterNm);
    }

    @Override
    public String toString() {
        return "BeamTable[currentsNa=" + Arrays.toString(currentNa) + ", diametersNm=" + Arrays.toString(diameterNm)
                + "]";
    }
}
