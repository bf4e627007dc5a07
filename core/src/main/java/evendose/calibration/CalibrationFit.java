package evendose.calibration;

import evendose.files.BadInputException;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.stream.IntStream;
import org.apache.commons.math3.distribution.NormalDistribution;
import org.apache.commons.math3.distribution.TDistribution;

/**
 * Fits the ranges and energy ratios of a point spread function, the dose, and a constant offset of measured widths, to a dose test.
 *
 * <p>The likelihood is maximised over the logarithms of the parameters, from several starting points; the model is the closed form of
 * {@link TestFigure}, with widths found where it meets the threshold. Clearing doses scatter in the logarithm; one given as the interval
 * between the last dose that did not clear and the first that did enters as an interval. The offset is known beforehand as {@link
 * FitOptions.WidthOffset}. Where standard errors are missing, the scatter of clearing doses and of widths is found from the data,
 * each by itself. For rings with inner radius far above alpha and outer far above beta the clearing dose obeys {@code ln(D0 / D) =
 * ln(eta / (1 + eta)) - R1^2 / beta^2} (after L. Stevens et al., Microelectron. Eng. 5, 141 (1986), citation from memory).
 *
 * <p>Without noise (alpha, beta, eta) are recovered to 1e-6 ({@code CalibrationFitTest}); over 200 tests each with noise, with doses known
 * to a step of the ladder, with an offset, with figures missing and with a third term, the bias is below half a standard error and
 * the 95 % intervals hold in 90 to 98 % ({@code CalibrationCampaignTest}). Where the data leave a parameter open by a factor of two or more,
 * the fit is refused with what to measure.
 */
public final class CalibrationFit {
    /** A standard error of the logarithm above this means that the data do not determine the parameter. */
    private static final double UNDETERMINED = Math.log(2);

    private static final double CONFIDENCE = 0.95;
    private static final double NM_PER_UM = 1e3;

    private static final double[] ALPHA_STARTS = {0.005, 0.02, 0.06};
    private static final double[] BETA_STARTS = {1, 3, 10, 30};
    private static final double[] ETA_STARTS = {0.4, 1.2};

    /** Where a third range lies between the logarithms of alpha and beta. */
    private static final double[] GAMMA_STARTS = {0.3, 0.55, 0.7, 0.85};

    private static final double[] NU_STARTS = {0.05, 0.2};

    private final String source;
    private final List<Measurement> measurements;
    private final FitOptions options;
    private final List<String> names;
    private final int[] free;

    private CalibrationFit(String source, List<Measurement> measurements, FitOptions options) {
        this.source = source;
        this.measurements = measurements;
        this.options = options;
        this.names = CalibrationModel.names(options);
        this.free = CalibrationModel.free(options, measurements);
    }

    /**
     * Fits.
     *
     * @param source name of the data for messages
     * @param measurements at least as many as there are parameters to fit
     * @param options what to fit and what is known beforehand
     * @return the fit, which may carry cautions
     * @throws BadInputException if the data do not determine a parameter; the message names it and what to measure
     */
    public static Calibration fit(String source, List<Measurement> measurements, FitOptions options) {
        return new CalibrationFit(source, List.copyOf(measurements), options).run();
    }

    private Calibration run() {
        int needed = free.length - (offsetFitted() ? 1 : 0);
        if (measurements.size() < needed) {
            throw new BadInputException(
                    source,
                    "",
                    String.format(
                            Locale.ROOT,
                            "%d measurements cannot determine %d parameters (%s); measure more, or give what you know"
                                    + " (--alpha-um, --beta-um, --eta)",
                            measurements.size(),
                            needed,
                            String.join(
                                    ", ",
                                    Arrays.stream(free)
                                            .limit(needed)
                                            .mapToObj(names::get)
                                            .toList())));
        }
        FitOptions two = options.withoutThirdTerm();
        Solution solution = Solution.of(
                measurements, two, starts(CalibrationModel.names(two).size()));
        return result(
                options.thirdTerm()
                        ? Solution.of(measurements, options, withThirdTerm(solution.expanded()))
                        : solution);
    }

    private boolean offsetFitted() {
        return free[free.length - 1] == names.size() - 1;
    }

    /** Parameters of two terms to start from: a coarse grid, with what is known and what rings tell about beta. */
    private List<double[]> starts(int parameters) {
        double[] alphas =
                options.alphaUm().isPresent() ? new double[] {options.alphaUm().getAsDouble()} : ALPHA_STARTS;
        double[] betas =
                options.betaUm().isPresent() ? new double[] {options.betaUm().getAsDouble()} : betaStarts();
        double[] etas = options.eta().isPresent() ? new double[] {options.eta().getAsDouble()} : ETA_STARTS;
        List<double[]> starts = new ArrayList<>();
        for (double alpha : alphas) {
            for (double beta : betas) {
                for (double eta : etas) {
                    double[] full = new double[parameters];
                    full[0] = Math.log(alpha);
                    full[1] = Math.log(beta);
                    full[2] = Math.log(eta);
                    full[parameters - 1] = options.widthOffset().nm() / NM_PER_UM / CalibrationModel.WIDTH_ERROR_UM;
                    starts.add(full);
                }
            }
        }
        return starts;
    }

    /** Three terms to start from: the best two and a third one of several ranges between them. */
    private static List<double[]> withThirdTerm(double[] two) {
        List<double[]> starts = new ArrayList<>();
        for (double share : GAMMA_STARTS) {
            for (double nu : NU_STARTS) {
                double[] full = new double[two.length + 2];
                System.arraycopy(two, 0, full, 0, 3);
                full[3] = two[0] + share * (two[1] - two[0]);
                full[4] = Math.log(nu);
                System.arraycopy(two, 3, full, 5, two.length - 3);
                starts.add(full);
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

    private Calibration result(Solution solution) {
        double[][] covariance = solution.covariance();
        refuseUndetermined(covariance);
        int p = free.length;
        double[] all = solution.expanded();
        List<FittedParameter> parameters = new ArrayList<>();
        for (int i = 0; i < all.length; i++) {
            double[] unit = new double[p];
            int index = i;
            IntStream.range(0, p).filter(k -> free[k] == index).forEach(k -> unit[k] = 1);
            boolean fitted = Arrays.stream(unit).anyMatch(u -> u > 0);
            if (i == all.length - 1) {
                if (fitted || options.widthOffset().nm() != 0) {
                    parameters.add(offset(all[i], fitted ? error(solution, covariance, unit) : Error.NONE, fitted));
                }
            } else {
                parameters.add(parameter(
                        names.get(i),
                        unit(names.get(i)),
                        all[i],
                        fitted ? error(solution, covariance, unit) : Error.NONE,
                        fitted));
            }
        }
        int dose = CalibrationModel.doseIndex(options.thirdTerm());
        double logBase = Math.log(2) + all[dose] + (options.ownThreshold() ? all[dose + 1] : 0);
        double[] sum = new double[p];
        Arrays.setAll(sum, j -> free[j] >= dose && free[j] < names.size() - 1 ? 1 : 0);
        FittedParameter base = parameter("base dose", "uC/cm^2", logBase, error(solution, covariance, sum), true);

        ParameterCovariance told = ParameterCovariance.of(
                solution, Arrays.stream(free).mapToObj(names::get).toList());
        FitChecks checks = new FitChecks(solution);
        List<FitResidual> residuals = residuals(solution, checks);
        return new Calibration(
                psf(all),
                parameters,
                base,
                told,
                residuals,
                solution.chiSquare(),
                solution.freedom(),
                measurements.stream().allMatch(x -> x.standardError().isPresent()),
                scatter(solution),
                checks.cautions(parameters, base, told.correlation(), residuals));
    }

    /** A standard error and the half width of the 95 % interval in standard errors. */
    private record Error(double standard, double quantile) {
        static final Error NONE = new Error(0, 0);
    }

    private static Error error(Solution solution, double[][] covariance, double[] coefficients) {
        int p = coefficients.length;
        double[] times = new double[p];
        double variance = 0;
        for (int a = 0; a < p; a++) {
            for (int b = 0; b < p; b++) {
                times[a] += covariance[a][b] * coefficients[b];
            }
            variance += coefficients[a] * times[a];
        }
        double freedom = solution.freedomOf(times);
        double half = 0.5 + CONFIDENCE / 2;
        double quantile = Double.isFinite(freedom) && solution.freedom() > 0
                ? new TDistribution(freedom).inverseCumulativeProbability(half)
                : new NormalDistribution().inverseCumulativeProbability(half);
        return new Error(Math.sqrt(variance), quantile);
    }

    private static FittedParameter parameter(String name, String unit, double log, Error error, boolean fitted) {
        double value = Math.exp(log);
        double half = error.quantile() * error.standard();
        return new FittedParameter(
                name, unit, value, value * error.standard(), Math.exp(log - half), Math.exp(log + half), fitted);
    }

    private static FittedParameter offset(double x, Error error, boolean fitted) {
        double nm = NM_PER_UM * CalibrationModel.WIDTH_ERROR_UM;
        double half = error.quantile() * error.standard();
        return new FittedParameter(
                "width offset", "nm", nm * x, nm * error.standard(), nm * (x - half), nm * (x + half), fitted);
    }

    private static String unit(String name) {
        return switch (name) {
            case "alpha", "beta", "gamma" -> "um";
            case "clearing dose" -> "uC/cm^2";
            default -> "";
        };
    }

    private PointSpreadFunction psf(double[] all) {
        double[][] terms = CalibrationModel.terms(all, options.thirdTerm());
        List<GaussianTerm> list = new ArrayList<>();
        for (int k = 0; k < terms[0].length; k++) {
            list.add(new GaussianTerm(terms[0][k], terms[1][k]));
        }
        return PointSpreadFunction.from(list);
    }

    private List<Calibration.Scatter> scatter(Solution solution) {
        List<Calibration.Scatter> scatter = new ArrayList<>();
        for (Measurement.Kind kind : Measurement.Kind.values()) {
            double freedom = solution.freedom(kind);
            if (freedom > 0) {
                boolean width = kind == Measurement.Kind.WIDTH;
                scatter.add(new Calibration.Scatter(
                        kind,
                        solution.scaleOf(kind)
                                * (width
                                        ? NM_PER_UM * CalibrationModel.WIDTH_ERROR_UM
                                        : 100 * CalibrationModel.CLEARING_ERROR),
                        freedom));
            }
        }
        return scatter;
    }

    private void refuseUndetermined(double[][] covariance) {
        List<String> open = new ArrayList<>();
        List<String> help = new ArrayList<>();
        for (int j = 0; j < free.length; j++) {
            double error = Math.sqrt(covariance[j][j]);
            String name = names.get(free[j]);
            if (!name.equals("width offset") && !(error < UNDETERMINED)) {
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
        return whatTells(name)
                + switch (name) {
                    case "alpha" -> ", or give --alpha-um";
                    case "beta" -> ", or give --beta-um";
                    case "eta" -> ", or give --eta";
                    case "gamma", "nu" -> ", or leave it out";
                    default -> "";
                };
    }

    /**
     * {@return what to measure to know a parameter better, as a clause}
     *
     * @param name name of a parameter; the base dose counts as a dose
     */
    public static String whatTells(String name) {
        return switch (name) {
            case "alpha" -> "for alpha measure widths of narrow lines at several doses";
            case "beta" -> "for beta measure clearing doses of rings with several inner radii";
            case "eta" -> "for eta measure clearing doses of a small disc, a large disc and rings";
            case "gamma", "nu" -> "for a third term measure rings and discs of radii between alpha and beta";
            case "tau" -> "a threshold of their own for widths needs both widths and clearing doses";
            default -> "for the dose measure the clearing dose of a disc wider than the backscatter range";
        };
    }

    private static List<FitResidual> residuals(Solution solution, FitChecks checks) {
        double[] studentised = FitChecks.studentised(solution);
        Map<Integer, Double> outliers = checks.outliers();
        List<FitResidual> residuals = new ArrayList<>();
        for (int i = 0; i < studentised.length; i++) {
            Measurement m = solution.measurements().get(i);
            double mu = solution.predicted(i);
            residuals.add(new FitResidual(
                    m,
                    m.kind() == Measurement.Kind.CLEARING ? Math.exp(mu) : mu,
                    1 / Math.sqrt(solution.model().likelihood(i).information(mu)),
                    solution.standardised(i),
                    outliers.getOrDefault(i, studentised[i]),
                    outliers.containsKey(i)));
        }
        return residuals;
    }
}
