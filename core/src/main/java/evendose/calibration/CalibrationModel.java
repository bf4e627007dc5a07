package evendose.calibration;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.OptionalDouble;
import java.util.function.IntToDoubleFunction;
import java.util.stream.IntStream;

/**
 * Residuals of measurements as a function of the parameters, and their derivatives. Parameters in full order: the logarithms of alpha,
 * beta, eta, (gamma, nu), Q, (tau), and the width offset in units of {@link #WIDTH_ERROR_UM}. Where the offset is fitted, what is known of it
 * beforehand is one more residual, the last.
 */
final class CalibrationModel {
    /** Assumed standard errors where none is given. */
    static final double CLEARING_ERROR = 0.03;

    static final double WIDTH_ERROR_UM = 0.003;

    private static final double UM_PER_NM = 1e-3;

    private final Measurement[] measurements;
    private final FitOptions options;
    private final double[] full;
    private final int[] free;
    private final Likelihood[] likelihood;
    private final double[] lastWidthUm;

    /**
     * @param full all parameters; entries that are not fitted stay
     * @param scale by which assumed errors of clearing doses and of widths are multiplied
     */
    CalibrationModel(List<Measurement> measurements, FitOptions options, double[] full, double[] scale) {
        this.measurements = measurements.toArray(new Measurement[0]);
        this.options = options;
        this.full = full.clone();
        this.free = free(options, measurements);
        this.likelihood = measurements.stream()
                .map(m -> Likelihood.of(m, scale[m.kind().ordinal()]))
                .toArray(Likelihood[]::new);
        this.lastWidthUm = measurements.stream().mapToDouble(Measurement::value).toArray();
    }

    /** Names of all parameters. */
    static List<String> names(FitOptions options) {
        List<String> names = new ArrayList<>(List.of("alpha", "beta", "eta"));
        if (options.thirdTerm()) {
            names.add("gamma");
            names.add("nu");
        }
        names.add("clearing dose");
        if (options.ownThreshold()) {
            names.add("tau");
        }
        names.add("width offset");
        return names;
    }

    /** Indices of the parameters to fit. */
    static int[] free(FitOptions options, List<Measurement> measurements) {
        OptionalDouble[] given = {options.alphaUm(), options.betaUm(), options.eta()};
        boolean offset = options.widthOffset().errorNm() > 0
                && measurements.stream().anyMatch(m -> m.kind() == Measurement.Kind.WIDTH);
        int all = names(options).size();
        return IntStream.range(0, all)
                .filter(i -> i >= given.length || given[i].isEmpty())
                .filter(i -> i < all - 1 || offset)
                .toArray();
    }

    static int doseIndex(boolean third) {
        return third ? 5 : 3;
    }

    private int offsetIndex() {
        return full.length - 1;
    }

    private boolean offsetFitted() {
        return free[free.length - 1] == offsetIndex();
    }

    int[] free() {
        return free;
    }

    Likelihood likelihood(int i) {
        return likelihood[i];
    }

    double[] start() {
        return Arrays.stream(free).mapToDouble(i -> full[i]).toArray();
    }

    /** All parameters with those of {@code x} in their places. */
    double[] expand(double[] x) {
        double[] all = full.clone();
        for (int j = 0; j < free.length; j++) {
            all[free[j]] = x[j];
        }
        return all;
    }

    /** Weights and ranges of the terms for all parameters. */
    static double[][] terms(double[] all, boolean third) {
        double eta = Math.exp(all[2]);
        double nu = third ? Math.exp(all[4]) : 0;
        double sum = 1 + eta + nu;
        return third
                ? new double[][] {{1 / sum, eta / sum, nu / sum}, {Math.exp(all[0]), Math.exp(all[1]), Math.exp(all[3])}
                }
                : new double[][] {{1 / sum, eta / sum}, {Math.exp(all[0]), Math.exp(all[1])}};
    }

    double[] residuals(double[] x) {
        double[] mu = predictions(x);
        double[] r = new double[mu.length + (offsetFitted() ? 1 : 0)];
        for (int i = 0; i < mu.length; i++) {
            r[i] = likelihood[i].residual(mu[i]);
        }
        if (offsetFitted()) {
            r[mu.length] = (priorOffset() - x[x.length - 1]) * priorWeight();
        }
        return r;
    }

    private double priorOffset() {
        return options.widthOffset().nm() * UM_PER_NM / WIDTH_ERROR_UM;
    }

    private double priorWeight() {
        return WIDTH_ERROR_UM / (options.widthOffset().errorNm() * UM_PER_NM);
    }

    /** Logarithms of clearing doses, widths in um. */
    double[] predictions(double[] x) {
        double[] all = expand(x);
        double[][] terms = terms(all, options.thirdTerm());
        double[] mu = new double[measurements.length];
        for (int i = 0; i < mu.length; i++) {
            Measurement m = measurements[i];
            if (m.figure() instanceof TestFigure.Ring ring) {
                mu[i] = all[dose()] - Math.log(FigureEnergy.ring(ring, terms[0], terms[1]));
            } else {
                lastWidthUm[i] = FigureEnergy.width(
                        (TestFigure.Lines) m.figure(), level(m, all), lastWidthUm[i] / 2, terms[0], terms[1]);
                mu[i] = lastWidthUm[i] + WIDTH_ERROR_UM * all[offsetIndex()];
            }
        }
        return mu;
    }

    private int dose() {
        return doseIndex(options.thirdTerm());
    }

    /** Energy at dose 1 that the edge of a line sees. */
    private double level(Measurement m, double[] all) {
        return Math.exp(all[dose()] + (options.ownThreshold() ? all[dose() + 1] : 0)) / m.doseUcPerCm2();
    }

    /**
     * Derivatives of the predictions, a row a measurement. That of a clearing dose follows from the energy E in the centre, -dE / E; that of a
     * width from the energy at its edge: the edge moves by -dE over the slope.
     */
    double[][] slopes(double[] x) {
        double[] all = expand(x);
        double[][] terms = terms(all, options.thirdTerm());
        double[][] slopes = new double[measurements.length][x.length];
        predictions(x);
        for (int i = 0; i < slopes.length; i++) {
            Place place = place(i, terms);
            double[] energy = energySlopes(measurements[i].figure(), place.xUm(), all, terms);
            boolean width = measurements[i].kind() == Measurement.Kind.WIDTH;
            for (int j = 0; j < x.length; j++) {
                int parameter = free[j];
                slopes[i][j] = parameter < dose()
                        ? place.perEnergy() * energy[parameter]
                        : parameter == offsetIndex()
                                ? (width ? WIDTH_ERROR_UM : 0)
                                : width ? place.perThreshold() : parameter == dose() ? 1 : 0;
            }
        }
        return slopes;
    }

    /** Where a measurement looks, and how its prediction answers to the energy there and to the logarithm of the threshold. */
    private record Place(double xUm, double perEnergy, double perThreshold) {}

    private Place place(int i, double[][] terms) {
        if (measurements[i].figure() instanceof TestFigure.Ring ring) {
            return new Place(0, -1 / FigureEnergy.ring(ring, terms[0], terms[1]), 1);
        }
        TestFigure.Lines lines = (TestFigure.Lines) measurements[i].figure();
        double width = lastWidthUm[i];
        if (width <= 0 || width >= lines.pitchUm()) {
            double x = width <= 0 ? 0 : lines.pitchUm() / 2;
            double energy = FigureEnergy.lines(lines, x, terms[0], terms[1]);
            return new Place(x, lines.widthUm() / energy, -lines.widthUm());
        }
        double energy = FigureEnergy.lines(lines, width / 2, terms[0], terms[1]);
        double slope = FigureEnergy.slope(lines, width / 2, terms[0], terms[1]);
        return new Place(width / 2, -2 / slope, 2 * energy / slope);
    }

    /** Derivatives of the energy at a place with the parameters of the point spread function, in their order. */
    private double[] energySlopes(TestFigure figure, double xUm, double[] all, double[][] terms) {
        double[] weight = terms[0];
        double[] range = terms[1];
        double[] unit = new double[weight.length];
        double energy = 0;
        for (int k = 0; k < unit.length; k++) {
            unit[k] = FigureEnergy.unit(figure, xUm, range[k]);
            energy += weight[k] * unit[k];
        }
        double[] slopes = new double[dose()];
        slopes[0] = weight[0] * FigureEnergy.byRange(figure, xUm, range[0]);
        slopes[1] = weight[1] * FigureEnergy.byRange(figure, xUm, range[1]);
        slopes[2] = weight[1] * (unit[1] - energy);
        if (options.thirdTerm()) {
            slopes[3] = weight[2] * FigureEnergy.byRange(figure, xUm, range[2]);
            slopes[4] = weight[2] * (unit[2] - energy);
        }
        return slopes;
    }

    /** Derivatives of two terms' predictions with the ratio of a third at 0. */
    double[] slopesOfThirdTerm(double[] x, double gammaUm) {
        double[][] terms = terms(expand(x), false);
        double[] slopes = new double[measurements.length];
        predictions(x);
        for (int i = 0; i < slopes.length; i++) {
            TestFigure figure = measurements[i].figure();
            Place place = place(i, terms);
            double energy = FigureEnergy.at(figure, place.xUm(), terms[0], terms[1]);
            slopes[i] = place.perEnergy() * terms[0][0] * (FigureEnergy.unit(figure, place.xUm(), gammaUm) - energy);
        }
        return slopes;
    }

    /** Derivatives of the residuals, a row a residual. */
    double[][] jacobian(double[] x) {
        double[] mu = predictions(x);
        return weighted(slopes(x), i -> likelihood[i].slope(mu[i]), -priorWeight());
    }

    /** Derivatives of the predictions times the root of what is known of each, and a row of what is known beforehand. */
    double[][] informative(double[] x) {
        double[] mu = predictions(x);
        return weighted(slopes(x), i -> Math.sqrt(likelihood[i].information(mu[i])), priorWeight());
    }

    private double[][] weighted(double[][] slopes, IntToDoubleFunction weight, double prior) {
        double[][] rows = new double[slopes.length + (offsetFitted() ? 1 : 0)][free.length];
        for (int i = 0; i < slopes.length; i++) {
            double w = weight.applyAsDouble(i);
            for (int j = 0; j < free.length; j++) {
                rows[i][j] = w * slopes[i][j];
            }
        }
        if (offsetFitted()) {
            rows[slopes.length][free.length - 1] = prior;
        }
        return rows;
    }

    /** Clearing dose that suits the other parameters best, for a start. */
    double bestDose(double[] x) {
        double[] all = expand(x);
        double[][] terms = terms(all, options.thirdTerm());
        double sum = 0;
        for (Measurement m : measurements) {
            boolean ring = m.kind() == Measurement.Kind.CLEARING;
            double energy = FigureEnergy.at(m.figure(), ring ? 0 : m.value() / 2, terms[0], terms[1]);
            sum += Math.log((ring ? m.value() : m.doseUcPerCm2()) * Math.max(energy, 1e-12));
        }
        return sum / measurements.length - (options.ownThreshold() ? all[dose() + 1] / 2 : 0);
    }
}
