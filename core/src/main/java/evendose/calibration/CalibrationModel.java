package evendose.calibration;

import java.util.Arrays;
import java.util.List;

/**
 * Standardised residuals of measurements as a function of the logarithms of the parameters, and their derivatives. Parameters in
 * full order: alpha, beta, eta, (gamma, nu), Q, (tau).
 */
final class CalibrationModel {
    /** Assumed standard errors where none is given. */
    static final double CLEARING_ERROR = 0.03;

    static final double WIDTH_ERROR_UM = 0.003;

    /** Step of central differences in the logarithm: truncation and rounding are both near 1e-10. */
    private static final double STEP = 1e-5;

    private final Measurement[] measurements;
    private final double[] full;
    private final int[] free;
    private final boolean third;
    private final boolean ownThreshold;
    private final double[] weight;
    private final double[] rangeUm;
    private final double[] lastWidthUm;

    /**
     * @param full logarithms of all parameters; entries not in {@code free} stay
     * @param free indices of the parameters that are fitted
     */
    CalibrationModel(List<Measurement> measurements, double[] full, int[] free, boolean third, boolean ownThreshold) {
        this.measurements = measurements.toArray(new Measurement[0]);
        this.full = full.clone();
        this.free = free;
        this.third = third;
        this.ownThreshold = ownThreshold;
        this.weight = new double[third ? 3 : 2];
        this.rangeUm = new double[weight.length];
        this.lastWidthUm =
                Arrays.stream(this.measurements).mapToDouble(Measurement::value).toArray();
    }

    static int doseIndex(boolean third) {
        return third ? 5 : 3;
    }

    double[] start() {
        return Arrays.stream(free).mapToDouble(i -> full[i]).toArray();
    }

    /** All logarithms with those of {@code x} in their places. */
    double[] expand(double[] x) {
        double[] all = full.clone();
        for (int j = 0; j < free.length; j++) {
            all[free[j]] = x[j];
        }
        return all;
    }

    private double[] set(double[] x) {
        double[] all = expand(x);
        double eta = Math.exp(all[2]);
        double nu = third ? Math.exp(all[4]) : 0;
        rangeUm[0] = Math.exp(all[0]);
        rangeUm[1] = Math.exp(all[1]);
        weight[0] = 1 / (1 + eta + nu);
        weight[1] = eta / (1 + eta + nu);
        if (third) {
            rangeUm[2] = Math.exp(all[3]);
            weight[2] = nu / (1 + eta + nu);
        }
        return all;
    }

    double[] residuals(double[] x) {
        double[] r = new double[measurements.length];
        double[] all = set(x);
        for (int i = 0; i < r.length; i++) {
            r[i] = residual(i, all);
        }
        return r;
    }

    private double residual(int i, double[] all) {
        Measurement m = measurements[i];
        double predicted = predict(i, all);
        return m.kind() == Measurement.Kind.CLEARING
                ? Math.log(m.value() / predicted) / standardError(m)
                : (m.value() - predicted) / standardError(m);
    }

    /** Relative for a clearing dose, um for a width. */
    static double standardError(Measurement m) {
        if (m.kind() == Measurement.Kind.CLEARING) {
            return m.standardError().isPresent() ? m.standardError().getAsDouble() / m.value() : CLEARING_ERROR;
        }
        return m.standardError().orElse(WIDTH_ERROR_UM);
    }

    /** Predictions in the units of the measurements. */
    double[] predictions(double[] x) {
        double[] all = set(x);
        double[] p = new double[measurements.length];
        for (int i = 0; i < p.length; i++) {
            p[i] = predict(i, all);
        }
        return p;
    }

    private double predict(int i, double[] all) {
        double clearing = Math.exp(all[doseIndex(third)]);
        Measurement m = measurements[i];
        if (m.figure() instanceof TestFigure.Ring ring) {
            return clearing / FigureEnergy.ring(ring, weight, rangeUm);
        }
        double threshold = ownThreshold ? clearing * Math.exp(all[doseIndex(third) + 1]) : clearing;
        double width = FigureEnergy.width(
                (TestFigure.Lines) m.figure(), threshold / m.doseUcPerCm2(), lastWidthUm[i] / 2, weight, rangeUm);
        lastWidthUm[i] = width;
        return width;
    }

    /** Derivatives of the residuals, a row a measurement. */
    double[][] jacobian(double[] x) {
        double[][] jacobian = new double[measurements.length][x.length];
        for (int j = 0; j < x.length; j++) {
            double[] moved = x.clone();
            moved[j] = x[j] + STEP;
            double[] above = residuals(moved);
            moved[j] = x[j] - STEP;
            double[] below = residuals(moved);
            for (int i = 0; i < above.length; i++) {
                jacobian[i][j] = (above[i] - below[i]) / (2 * STEP);
            }
        }
        return jacobian;
    }

    /** Clearing dose that suits the other parameters best, for a start. */
    double bestDose(double[] x) {
        double[] all = set(x);
        double sum = 0;
        for (Measurement m : measurements) {
            double energy;
            double dose;
            if (m.figure() instanceof TestFigure.Ring ring) {
                energy = FigureEnergy.ring(ring, weight, rangeUm);
                dose = m.value();
            } else {
                energy = FigureEnergy.lines((TestFigure.Lines) m.figure(), m.value() / 2, weight, rangeUm);
                dose = m.doseUcPerCm2();
            }
            sum += Math.log(dose * Math.max(energy, 1e-12));
        }
        return sum / measurements.length - (ownThreshold ? all[doseIndex(third) + 1] / 2 : 0);
    }
}
