package evendose.correction;

import evendose.files.BadInputException;
import evendose.files.CsvTable;
import evendose.units.Plausible;
import java.io.Serializable;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.stream.DoubleStream;

/**
 * What a resist of a given process leaves of its thickness after a dose on a wide area: the curve that grey-tone exposure works on.
 * Between the rows the thickness is linear in the logarithm of the dose.
 *
 * <p>The depth is what was taken off the thickest remainder. The curve may fall (positive resist) or rise (negative), but must
 * not do both; doses outside it leave what its ends do.
 *
 * @serial exclude
 */
public final class ContrastCurve implements Serializable {
    private static final long serialVersionUID = 1L;

    private final double[] logDose;
    private final double[] depthNm;

    private ContrastCurve(double[] logDose, double[] depthNm) {
        this.logDose = logDose;
        this.depthNm = depthNm;
    }

    /**
     * {@return a curve}
     *
     * @param doseUcPerCm2 rising doses, positive, at least two
     * @param remainingNm thickness left by each, nm, at least 0, never rising or never falling, not all equal
     * @throws IllegalArgumentException if that does not hold
     */
    static ContrastCurve of(double[] doseUcPerCm2, double[] remainingNm) {
        int n = doseUcPerCm2.length;
        if (n < 2 || remainingNm.length != n) {
            throw new IllegalArgumentException("a contrast curve needs at least two rows");
        }
        boolean falls = false;
        boolean rises = false;
        for (int i = 0; i < n; i++) {
            if (!(doseUcPerCm2[i] > (i == 0 ? 0 : doseUcPerCm2[i - 1])) || !(remainingNm[i] >= 0)) {
                throw new IllegalArgumentException(
                        "row " + (i + 1) + ": doses must be positive and rise, thicknesses must be at least 0");
            }
            falls |= i > 0 && remainingNm[i] < remainingNm[i - 1];
            rises |= i > 0 && remainingNm[i] > remainingNm[i - 1];
        }
        if (falls == rises) {
            throw new IllegalArgumentException(
                    falls
                            ? "the thickness falls and rises again; smooth the curve so that it does one only"
                            : "the thickness is the same everywhere");
        }
        double full = Arrays.stream(remainingNm).max().orElseThrow();
        return new ContrastCurve(
                Arrays.stream(doseUcPerCm2).map(Math::log).toArray(),
                Arrays.stream(remainingNm).map(r -> full - r).toArray());
    }

    /**
     * Reads a table with the columns {@code dose_uc_per_cm2} and {@code remaining_nm}.
     *
     * @param file the CSV file
     * @return the curve
     * @throws BadInputException if it is not sound
     */
    public static ContrastCurve read(Path file) {
        DoubleStream.Builder dose = DoubleStream.builder();
        DoubleStream.Builder remaining = DoubleStream.builder();
        try (CsvTable table = CsvTable.open(file, "dose_uc_per_cm2", "remaining_nm")) {
            while (table.next()) {
                dose.add(table.positive("dose_uc_per_cm2", Plausible.DOSE::objection));
                remaining.add(table.number("remaining_nm"));
            }
        }
        try {
            return of(dose.build().toArray(), remaining.build().toArray());
        } catch (IllegalArgumentException e) {
            throw new BadInputException(file.toString(), "", e.getMessage(), e);
        }
    }

    /** Depth that a dose makes on a wide area, nm. */
    double depthNm(double doseUcPerCm2) {
        double x = Math.log(doseUcPerCm2);
        int last = logDose.length - 1;
        if (!(x > logDose[0])) {
            return depthNm[0];
        }
        if (x >= logDose[last]) {
            return depthNm[last];
        }
        int above = 1;
        while (logDose[above] <= x) {
            above++;
        }
        double t = (x - logDose[above - 1]) / (logDose[above] - logDose[above - 1]);
        return depthNm[above - 1] + t * (depthNm[above] - depthNm[above - 1]);
    }

    /** Largest depth on the curve, nm. */
    double largestDepthNm() {
        return Arrays.stream(depthNm).max().orElseThrow();
    }

    /**
     * {@return dose that makes a depth on a wide area, uC/cm^2: the lowest one if several do}
     *
     * @param wantedNm depth, nm
     * @throws IllegalArgumentException if the curve does not reach the depth
     */
    double doseForDepthUcPerCm2(double wantedNm) {
        for (int i = 1; i < depthNm.length; i++) {
            double a = depthNm[i - 1];
            double b = depthNm[i];
            if (a != b && (wantedNm - a) * (wantedNm - b) <= 0) {
                return Math.exp(logDose[i - 1] + (wantedNm - a) / (b - a) * (logDose[i] - logDose[i - 1]));
            }
        }
        throw new IllegalArgumentException(
                "the contrast curve reaches depths from 0 to " + largestDepthNm() + " nm, not " + wantedNm + " nm");
    }

    /** {@return doses of the rows, uC/cm^2, a new array} */
    public double[] dosesUcPerCm2() {
        return Arrays.stream(logDose).map(Math::exp).toArray();
    }

    /** {@return depths of the rows, nm, a new array} */
    public double[] depthsNm() {
        return depthNm.clone();
    }
}
