package evendose.calibration;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import org.apache.commons.math3.linear.Array2DRowRealMatrix;
import org.apache.commons.math3.linear.SingularValueDecomposition;

/**
 * The most likely parameters for some measurements, how much these tell about them, and how far clearing doses and widths scatter where no
 * standard errors are given: by a factor on the assumed ones, a factor for each kind, at which the standardised residuals of the kind
 * have the sum of squares that their leverages let expect. The assumed errors count as a quarter of a measurement, so that the factor
 * stays above 0.
 */
final class Solution {
    private static final int STARTS_FOLLOWED = 3;
    private static final int MOST_ROUNDS = 25;
    private static final double SAME_SCALE = 2e-3;
    private static final double WEIGHT_OF_ASSUMED = 0.25;
    private static final double SMALLEST_SCALE = 1e-3;
    private static final double LARGEST_SCALE = 1e3;
    private static final double SCALE_FACTOR = 1 + 1e-6;
    private static final int KINDS = Measurement.Kind.values().length;

    private final List<Measurement> measurements;
    private final FitOptions options;
    private double[] scale = new double[KINDS];
    private CalibrationModel model;
    private LeastSquares.Minimum minimum;
    private double[] predicted;
    private double[] standardised;
    private double[] leverage;
    private double[][] rows;
    private SingularValueDecomposition svd;

    private Solution(List<Measurement> measurements, FitOptions options) {
        this.measurements = measurements;
        this.options = options;
        Arrays.fill(scale, 1);
    }

    /** The best of what is reached from several starting points, each given by all parameters. */
    static Solution of(List<Measurement> measurements, FitOptions options, List<double[]> starts) {
        Solution solution = new Solution(measurements, options);
        solution.searchFrom(starts);
        solution.settleScales();
        return solution;
    }

    /** The same without one measurement. */
    Solution without(int index) {
        List<Measurement> rest = new ArrayList<>(measurements);
        rest.remove(index);
        Solution solution = new Solution(rest, options);
        solution.scale = scale.clone();
        solution.search(expanded());
        solution.settleScales();
        return solution;
    }

    private void searchFrom(List<double[]> starts) {
        record Start(double[] all, double cost) {}
        List<Start> ranked = new ArrayList<>();
        int dose = CalibrationModel.doseIndex(options.thirdTerm());
        for (double[] all : starts) {
            CalibrationModel m = new CalibrationModel(measurements, options, all, scale);
            double[] from = all.clone();
            from[dose] = m.bestDose(m.start());
            CalibrationModel moved = new CalibrationModel(measurements, options, from, scale);
            ranked.add(new Start(from, LeastSquares.squares(moved.residuals(moved.start()))));
        }
        ranked.sort(Comparator.comparingDouble(Start::cost));
        CalibrationModel best = null;
        LeastSquares.Minimum least = null;
        for (Start start : ranked.subList(0, Math.min(STARTS_FOLLOWED, ranked.size()))) {
            search(start.all());
            if (least == null || minimum.cost() < least.cost()) {
                least = minimum;
                best = model;
            }
        }
        minimum = least;
        model = best;
    }

    private void search(double[] all) {
        model = new CalibrationModel(measurements, options, all, scale);
        minimum = LeastSquares.search(model, model.start());
    }

    private void settleScales() {
        for (int round = 0; round < MOST_ROUNDS; round++) {
            evaluate();
            double[] next = new double[KINDS];
            double change = 0;
            for (Measurement.Kind kind : Measurement.Kind.values()) {
                int k = kind.ordinal();
                next[k] = scale(kind);
                change = Math.max(change, Math.abs(Math.log(next[k] / scale[k])));
            }
            if (change < SAME_SCALE) {
                return;
            }
            scale = next;
            search(expanded());
        }
        evaluate();
    }

    private void evaluate() {
        int m = measurements.size();
        predicted = model.predictions(minimum.x());
        standardised = new double[m];
        Arrays.setAll(standardised, i -> model.likelihood(i).standardised(predicted[i]));
        rows = model.informative(minimum.x());
        svd = new SingularValueDecomposition(new Array2DRowRealMatrix(rows, false));
        leverage = new double[m];
        for (int i = 0; i < m; i++) {
            for (int k = 0; k < model.free().length; k++) {
                double u = svd.getU().getEntry(i, k);
                leverage[i] += u * u;
            }
        }
    }

    /** The factor on assumed errors of a kind at which its residuals are as large as they should be. */
    private double scale(Measurement.Kind kind) {
        double freedom = freedom(kind);
        if (freedom == 0) {
            return 1;
        }
        double low = SMALLEST_SCALE;
        double high = LARGEST_SCALE;
        while (high > SCALE_FACTOR * low) {
            double s = Math.sqrt(low * high);
            double sum = WEIGHT_OF_ASSUMED / (s * s);
            for (int i = 0; i < measurements.size(); i++) {
                if (scaled(i, kind)) {
                    Likelihood l = model.likelihood(i);
                    double off = l.middle() - predicted[i];
                    double sigma = s
                            * (kind == Measurement.Kind.WIDTH
                                    ? CalibrationModel.WIDTH_ERROR_UM
                                    : CalibrationModel.CLEARING_ERROR);
                    sum += off * off / (sigma * sigma + l.intervalVariance());
                }
            }
            if (sum > freedom + WEIGHT_OF_ASSUMED) {
                low = s;
            } else {
                high = s;
            }
        }
        return low;
    }

    /** Whether a measurement's scatter is found from the data. */
    private boolean scaled(int i, Measurement.Kind kind) {
        Measurement m = measurements.get(i);
        return m.kind() == kind && m.standardError().isEmpty() && !m.bound();
    }

    /** Whether the scatter of a measurement is found from the data. */
    boolean scaled(int i) {
        return scaled(i, measurements.get(i).kind());
    }

    /** What is left of the number of measurements of a kind whose scatter is found from the data, after the fit took its share. */
    double freedom(Measurement.Kind kind) {
        double sum = 0;
        for (int i = 0; i < measurements.size(); i++) {
            sum += scaled(i, kind) ? 1 - leverage[i] : 0;
        }
        return sum;
    }

    List<Measurement> measurements() {
        return measurements;
    }

    FitOptions options() {
        return options;
    }

    CalibrationModel model() {
        return model;
    }

    double[] x() {
        return minimum.x();
    }

    /** All parameters. */
    double[] expanded() {
        return model.expand(minimum.x());
    }

    /** Logarithm of a clearing dose, or a width in um, that the fit gives. */
    double predicted(int i) {
        return predicted[i];
    }

    double standardised(int i) {
        return standardised[i];
    }

    double leverage(int i) {
        return leverage[i];
    }

    /** Factor on the assumed standard errors of a kind. */
    double scaleOf(Measurement.Kind kind) {
        return scale[kind.ordinal()];
    }

    /** Number of measurements and of what is known beforehand, less the number of fitted parameters. */
    int freedom() {
        return rows.length - model.free().length;
    }

    /** Left singular vectors: an orthonormal basis of what the parameters can do to the standardised predictions. */
    double[][] basis() {
        return svd.getU().getData();
    }

    double chiSquare() {
        return LeastSquares.squares(standardised);
    }

    /** Of the parameters; infinite where the data say nothing. */
    double[][] covariance() {
        double[] s = svd.getSingularValues();
        int n = s.length;
        double[][] covariance = new double[n][n];
        double negligible = 1e-10 * Math.max(s[0], 1);
        for (int a = 0; a < n; a++) {
            for (int b = 0; b < n; b++) {
                for (int k = 0; k < n; k++) {
                    double product = svd.getV().getEntry(a, k) * svd.getV().getEntry(b, k);
                    double singular = Math.max(s[k], negligible);
                    covariance[a][b] += product / (singular * singular);
                }
            }
        }
        return covariance;
    }

    /** What measurements of a kind whose scatter is found from the data contribute to {@link #covariance}. */
    double[][] covarianceFrom(Measurement.Kind kind) {
        double[][] all = covariance();
        int n = all.length;
        double[][] part = new double[n][n];
        for (int i = 0; i < measurements.size(); i++) {
            if (scaled(i, kind)) {
                double[] influence = new double[n];
                for (int a = 0; a < n; a++) {
                    for (int b = 0; b < n; b++) {
                        influence[a] += all[a][b] * rows[i][b];
                    }
                }
                for (int a = 0; a < n; a++) {
                    for (int b = 0; b < n; b++) {
                        part[a][b] += influence[a] * influence[b];
                    }
                }
            }
        }
        return part;
    }

    /**
     * How many degrees of freedom the standard error of a combination of parameters has, from what scatters of each kind contribute
     * to it (F. E. Satterthwaite, Biometrics Bull. 2, 110 (1946), from memory); infinite where only given errors do.
     *
     * @param covarianceTimes the covariance times the combination's coefficients
     */
    double freedomOf(double[] covarianceTimes) {
        double[] part = new double[KINDS];
        double total = 0;
        for (int i = 0; i < rows.length; i++) {
            double product = 0;
            for (int j = 0; j < covarianceTimes.length; j++) {
                product += rows[i][j] * covarianceTimes[j];
            }
            total += product * product;
            if (i < measurements.size() && scaled(i)) {
                part[measurements.get(i).kind().ordinal()] += product * product;
            }
        }
        double sum = 0;
        for (Measurement.Kind kind : Measurement.Kind.values()) {
            double p = part[kind.ordinal()];
            sum += p == 0 ? 0 : p * p / Math.max(1, freedom(kind));
        }
        return total * total / sum;
    }
}
