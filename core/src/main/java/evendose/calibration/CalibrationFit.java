package evendose.calibration;

import evendose.files.BadInputException;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.OptionalDouble;
import java.util.stream.IntStream;
import org.apache.commons.math3.distribution.ChiSquaredDistribution;
import org.apache.commons.math3.distribution.NormalDistribution;
import org.apache.commons.math3.distribution.TDistribution;
import org.apache.commons.math3.linear.Array2DRowRealMatrix;
import org.apache.commons.math3.linear.SingularValueDecomposition;

/**
 * Fits the ranges and energy ratios of a point spread function, and the dose, to a dose test.
 *
 * <p>The sum of squared standardised residuals is minimised over the logarithms of the parameters, from several starting points;
 * the model is the closed form of {@link TestFigure}, with widths found where it meets the threshold. Residuals of clearing doses
 * are taken in the logarithm. For rings with inner radius far above alpha and outer far above beta the clearing dose obeys
 * {@code ln(D0 / D) = ln(eta / (1 + eta)) - R1^2 / beta^2} (after L. Stevens et al., Microelectron. Eng. 5, 141 (1986), citation from memory).
 *
 * <p>Without noise (alpha, beta, eta) are recovered to 1e-6, with noise the stated errors hold ({@code CalibrationFitTest}). Where the data leave
 * a parameter open by a factor of two or more, the fit is refused with what to measure.
 */
public final class CalibrationFit {
    /** A standard error of the logarithm above this means that the data do not determine the parameter. */
    private static final double UNDETERMINED = Math.log(2);

    private static final double CONFIDENCE = 0.95;
    private static final double OUTLIER_CHANCE = 0.01;
    private static final double STRONG_CORRELATION = 0.95;
    private static final double POOR = 0.15;
    private static final double UNLIKELY = 1e-3;
    private static final int STARTS_FOLLOWED = 4;

    /** Of so many measurements at most one is set aside. */
    private static final int MOST_OUTLIERS = 4;

    /** Standardised residuals below this are rounding. */
    private static final double EXACT = 1e-6;

    private static final double[] ALPHA_STARTS = {0.005, 0.02, 0.06};
    private static final double[] BETA_STARTS = {1, 3, 10, 30};
    private static final double[] ETA_STARTS = {0.4, 1.2};

    private final String source;
    private final List<Measurement> measurements;
    private final FitOptions options;
    private final List<String> names = new ArrayList<>(List.of("alpha", "beta", "eta"));
    private final int[] free;

    private CalibrationFit(String source, List<Measurement> measurements, FitOptions options) {
        this.source = source;
        this.measurements = measurements;
        this.options = options;
        if (options.thirdTerm()) {
            names.add("gamma");
            names.add("nu");
        }
        names.add("clearing dose");
        if (options.ownThreshold()) {
            names.add("tau");
        }
        OptionalDouble[] given = {options.alphaUm(), options.betaUm(), options.eta()};
        this.free = IntStream.range(0, names.size())
                .filter(i -> i >= given.length || given[i].isEmpty())
                .toArray();
    }

    /**
     * Fits.
     *
     * @param source name of the data for messages
     * @param measurements at least as many as there are parameters to fit
     * @throws BadInputException if the data do not determine a parameter; the message names it and what to measure
     */
    public static Calibration fit(String source, List<Measurement> measurements, FitOptions options) {
        return new CalibrationFit(source, List.copyOf(measurements), options).run();
    }

    private Calibration run() {
        if (measurements.size() < free.length) {
            throw new BadInputException(
                    source,
                    "",
                    String.format(
                            Locale.ROOT,
                            "%d measurements cannot determine %d parameters (%s); measure more, or give what you know"
                                    + " (--alpha-um, --beta-um, --eta)",
                            measurements.size(),
                            free.length,
                            freeNames()));
        }
        record Start(CalibrationModel model, double[] x, double cost) {}
        List<Start> starts = new ArrayList<>();
        for (double[] full : starts()) {
            CalibrationModel model = model(full);
            double[] x = model.start();
            int dose = IntStream.range(0, free.length)
                    .filter(j -> free[j] == CalibrationModel.doseIndex(options.thirdTerm()))
                    .findFirst()
                    .orElseThrow();
            x[dose] = model.bestDose(x);
            double cost = 0;
            for (double r : model.residuals(x)) {
                cost += r * r;
            }
            starts.add(new Start(model, x, cost));
        }
        starts.sort((a, b) -> Double.compare(a.cost(), b.cost()));
        CalibrationModel model = null;
        LeastSquares.Minimum best = null;
        for (Start start : starts.subList(0, Math.min(STARTS_FOLLOWED, starts.size()))) {
            LeastSquares.Minimum found = LeastSquares.search(start.model(), start.x());
            if (best == null || found.cost() < best.cost()) {
                best = found;
                model = start.model();
            }
        }
        return result(model, best);
    }

    private CalibrationModel model(double[] full) {
        return new CalibrationModel(measurements, full, free, options.thirdTerm(), options.ownThreshold());
    }

    /** Logarithms to start from: a coarse grid, with what is known and what rings tell about beta. */
    private List<double[]> starts() {
        double[] alphas =
                options.alphaUm().isPresent() ? new double[] {options.alphaUm().getAsDouble()} : ALPHA_STARTS;
        double[] betas =
                options.betaUm().isPresent() ? new double[] {options.betaUm().getAsDouble()} : betaStarts();
        double[] etas = options.eta().isPresent() ? new double[] {options.eta().getAsDouble()} : ETA_STARTS;
        List<double[]> starts = new ArrayList<>();
        for (double alpha : alphas) {
            for (double beta : betas) {
                for (double eta : etas) {
                    double[] full = new double[names.size()];
                    full[0] = Math.log(alpha);
                    full[1] = Math.log(beta);
                    full[2] = Math.log(eta);
                    if (options.thirdTerm()) {
                        full[3] = 0.5 * (full[0] + full[1]);
                        full[4] = Math.log(0.2);
                    }
                    starts.add(full);
                }
            }
        }
        return starts;
    }

    private double[] betaStarts() {
        double[] radii = measurements.stream()
                .filter(m -> m.figure() instanceof TestFigure.Ring r && r.innerRadiusUm() > 0)
                .mapToDouble(m -> ((TestFigure.Ring) m.figure()).innerRadiusUm())
                .sorted()
                .toArray();
        if (radii.length == 0) {
            return BETA_STARTS;
        }
        double middle = radii[radii.length / 2];
        return new double[] {middle / 2, middle, 2 * middle, 4 * middle};
    }

    private String freeNames() {
        return String.join(", ", Arrays.stream(free).mapToObj(names::get).toList());
    }

    private Calibration result(CalibrationModel model, LeastSquares.Minimum best) {
        double[][] jacobian = model.jacobian(best.x());
        SingularValueDecomposition svd = new SingularValueDecomposition(new Array2DRowRealMatrix(jacobian, false));
        double[][] covariance = covariance(svd);
        refuseUndetermined(covariance);

        int m = measurements.size();
        int p = free.length;
        int freedom = m - p;
        boolean errorsGiven =
                measurements.stream().allMatch(x -> x.standardError().isPresent());
        double scale = errorsGiven || freedom == 0 ? 1 : best.cost() / freedom;
        double quantile = errorsGiven || freedom == 0
                ? new NormalDistribution().inverseCumulativeProbability(0.5 + CONFIDENCE / 2)
                : new TDistribution(freedom).inverseCumulativeProbability(0.5 + CONFIDENCE / 2);

        double[] all = model.expand(best.x());
        List<FittedParameter> parameters = new ArrayList<>();
        for (int i = 0; i < all.length; i++) {
            int index = i;
            int j = IntStream.range(0, p)
                    .filter(k -> free[k] == index)
                    .findFirst()
                    .orElse(-1);
            double variance = j < 0 ? 0 : covariance[j][j] * scale;
            parameters.add(parameter(names.get(i), unit(names.get(i)), all[i], variance, quantile, j >= 0));
        }
        int dose = CalibrationModel.doseIndex(options.thirdTerm());
        double logBase = Math.log(2) + all[dose] + (options.ownThreshold() ? all[dose + 1] : 0);
        double baseVariance = 0;
        for (int a = 0; a < p; a++) {
            for (int b = 0; b < p; b++) {
                baseVariance += free[a] >= dose && free[b] >= dose ? covariance[a][b] * scale : 0;
            }
        }
        FittedParameter base = parameter("base dose", "uC/cm^2", logBase, baseVariance, quantile, true);

        double[][] correlation = new double[p][p];
        for (int a = 0; a < p; a++) {
            for (int b = 0; b < p; b++) {
                correlation[a][b] = covariance[a][b] / Math.sqrt(covariance[a][a] * covariance[b][b]);
            }
        }
        List<FitResidual> residuals = residuals(model, best, svd, freedom, errorsGiven, outliers(all));
        return new Calibration(
                psf(all),
                parameters,
                base,
                correlation,
                residuals,
                best.cost(),
                freedom,
                errorsGiven,
                cautions(parameters, correlation, residuals, best.cost(), freedom, errorsGiven));
    }

    private static FittedParameter parameter(
            String name, String unit, double log, double variance, double quantile, boolean fitted) {
        double error = Math.sqrt(variance);
        double value = Math.exp(log);
        return new FittedParameter(
                name,
                unit,
                value,
                value * error,
                Math.exp(log - quantile * error),
                Math.exp(log + quantile * error),
                fitted);
    }

    private static String unit(String name) {
        return switch (name) {
            case "alpha", "beta", "gamma" -> "um";
            case "clearing dose" -> "uC/cm^2";
            default -> "";
        };
    }

    private PointSpreadFunction psf(double[] all) {
        List<GaussianTerm> terms = new ArrayList<>();
        terms.add(new GaussianTerm(1, Math.exp(all[0])));
        terms.add(new GaussianTerm(Math.exp(all[2]), Math.exp(all[1])));
        if (options.thirdTerm()) {
            terms.add(new GaussianTerm(Math.exp(all[4]), Math.exp(all[3])));
        }
        return PointSpreadFunction.from(terms);
    }

    /** Of the logarithms, for unit standard errors; infinite where the data say nothing. */
    private static double[][] covariance(SingularValueDecomposition svd) {
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

    private void refuseUndetermined(double[][] covariance) {
        List<String> open = new ArrayList<>();
        List<String> help = new ArrayList<>();
        for (int j = 0; j < free.length; j++) {
            double error = Math.sqrt(covariance[j][j]);
            if (!(error < UNDETERMINED)) {
                String name = names.get(free[j]);
                open.add(name);
                String h = help(name);
                if (!help.contains(h)) {
                    help.add(h);
                }
            }
        }
        if (!open.isEmpty()) {
            throw new BadInputException(
                    source,
                    "",
                    "these data do not determine " + String.join(", ", open) + " (open by a factor of 2 or more); "
                            + String.join("; ", help));
        }
    }

    private static String help(String name) {
        return switch (name) {
            case "alpha" -> "for alpha measure widths of narrow lines at several doses, or give --alpha-um";
            case "beta" -> "for beta measure clearing doses of rings with several inner radii, or give --beta-um";
            case "eta" -> "for eta measure clearing doses of a small disc, a large disc and rings, or give --eta";
            case "gamma", "nu" ->
                "for a third term measure rings and discs of radii between alpha and beta, or leave it out";
            case "tau" -> "a threshold of their own for widths needs both widths and clearing doses";
            default -> "for the dose measure the clearing dose of a disc wider than the backscatter range";
        };
    }

    /**
     * Indices of measurements that lie too far off, and the distance of each: the worst is set aside and the rest fitted again
     * until none is left, since one wrong value drags others along.
     */
    private Map<Integer, Double> outliers(double[] start) {
        Map<Integer, Double> outliers = new LinkedHashMap<>();
        List<Integer> kept =
                new ArrayList<>(IntStream.range(0, measurements.size()).boxed().toList());
        double[] from = start;
        while (outliers.size() < measurements.size() / MOST_OUTLIERS) {
            List<Measurement> rest = kept.stream().map(measurements::get).toList();
            CalibrationModel model =
                    new CalibrationModel(rest, from, free, options.thirdTerm(), options.ownThreshold());
            LeastSquares.Minimum found = LeastSquares.search(model, model.start());
            SingularValueDecomposition svd =
                    new SingularValueDecomposition(new Array2DRowRealMatrix(model.jacobian(found.x()), false));
            int freedom = rest.size() - free.length;
            boolean given = rest.stream().allMatch(x -> x.standardError().isPresent());
            double[] studentised = studentised(model, found, svd, freedom, given);
            int worst = 0;
            for (int k = 1; k < studentised.length; k++) {
                worst = Math.abs(studentised[k]) > Math.abs(studentised[worst]) ? k : worst;
            }
            // Exact data leave rounding alone, whose ratios mean nothing.
            if (!(Math.abs(studentised[worst]) > limit(rest.size(), freedom, given))
                    || Math.abs(model.residuals(found.x())[worst]) < EXACT) {
                break;
            }
            outliers.put(kept.remove(worst), studentised[worst]);
            from = model.expand(found.x());
        }
        return outliers;
    }

    /** With a scatter of its own a point needs two others' worth of freedom to be judged by. */
    private static boolean judged(int freedom, boolean errorsGiven) {
        return errorsGiven ? freedom > 0 : freedom > 1;
    }

    private static double limit(int measurements, int freedom, boolean errorsGiven) {
        if (!judged(freedom, errorsGiven)) {
            return Double.POSITIVE_INFINITY;
        }
        double chance = 1 - OUTLIER_CHANCE / (2 * measurements);
        return errorsGiven
                ? new NormalDistribution().inverseCumulativeProbability(chance)
                : new TDistribution(freedom - 1).inverseCumulativeProbability(chance);
    }

    private double[] studentised(
            CalibrationModel model,
            LeastSquares.Minimum found,
            SingularValueDecomposition svd,
            int freedom,
            boolean errorsGiven) {
        double[] r = model.residuals(found.x());
        double[] studentised = new double[r.length];
        for (int i = 0; i < r.length; i++) {
            double leverage = 0;
            for (int k = 0; k < free.length; k++) {
                double u = svd.getU().getEntry(i, k);
                leverage += u * u;
            }
            double room = Math.max(1e-12, 1 - leverage);
            double variance =
                    errorsGiven ? 1 : Math.max(1e-30, (found.cost() - r[i] * r[i] / room) / Math.max(1, freedom - 1));
            studentised[i] = judged(freedom, errorsGiven) ? r[i] / Math.sqrt(variance * room) : Double.NaN;
        }
        return studentised;
    }

    private List<FitResidual> residuals(
            CalibrationModel model,
            LeastSquares.Minimum best,
            SingularValueDecomposition svd,
            int freedom,
            boolean errorsGiven,
            Map<Integer, Double> outliers) {
        double[] r = model.residuals(best.x());
        double[] predicted = model.predictions(best.x());
        double[] studentised = studentised(model, best, svd, freedom, errorsGiven);
        List<FitResidual> residuals = new ArrayList<>();
        for (int i = 0; i < r.length; i++) {
            residuals.add(new FitResidual(
                    measurements.get(i),
                    predicted[i],
                    r[i],
                    outliers.getOrDefault(i, studentised[i]),
                    outliers.containsKey(i)));
        }
        return residuals;
    }

    private List<String> cautions(
            List<FittedParameter> parameters,
            double[][] correlation,
            List<FitResidual> residuals,
            double chiSquare,
            int freedom,
            boolean errorsGiven) {
        List<String> cautions = new ArrayList<>();
        for (FitResidual r : residuals) {
            if (r.outlier()) {
                cautions.add(String.format(
                        Locale.ROOT,
                        "line %d (%s) lies %.1f standard deviations off the fit: look at it again before you rely on"
                                + " the result",
                        r.measurement().line(),
                        r.measurement().label(),
                        Math.abs(r.studentised())));
            }
        }
        for (FittedParameter p : parameters) {
            if (p.fitted() && p.standardError() > POOR * p.value()) {
                cautions.add(String.format(
                        Locale.ROOT, "%s is known to %.0f %% only", p.name(), 100 * p.standardError() / p.value()));
            }
        }
        for (int a = 0; a < free.length; a++) {
            for (int b = 0; b < a; b++) {
                if (Math.abs(correlation[a][b]) > STRONG_CORRELATION) {
                    cautions.add(String.format(
                            Locale.ROOT,
                            "%s and %s can hardly be told apart by these data (correlation %.3f)",
                            names.get(free[b]),
                            names.get(free[a]),
                            correlation[a][b]));
                }
            }
        }
        if (freedom == 0) {
            cautions.add("there are just as many measurements as parameters: the scatter cannot be judged");
        } else if (errorsGiven && 1 - new ChiSquaredDistribution(freedom).cumulativeProbability(chiSquare) < UNLIKELY) {
            cautions.add(String.format(
                    Locale.ROOT,
                    "the scatter is %.1f times what the given standard errors say: they are too small, or the model misses"
                            + " something (try a third term)",
                    Math.sqrt(chiSquare / freedom)));
        }
        return cautions;
    }
}
