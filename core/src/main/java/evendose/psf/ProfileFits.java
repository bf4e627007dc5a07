package evendose.psf;

import java.util.ArrayList;
import java.util.List;
import java.util.function.Function;
import org.apache.commons.math3.analysis.MultivariateVectorFunction;
import org.apache.commons.math3.exception.TooManyEvaluationsException;
import org.apache.commons.math3.exception.TooManyIterationsException;
import org.apache.commons.math3.fitting.leastsquares.LeastSquaresBuilder;
import org.apache.commons.math3.fitting.leastsquares.LeastSquaresOptimizer.Optimum;
import org.apache.commons.math3.fitting.leastsquares.LevenbergMarquardtOptimizer;
import org.apache.commons.math3.linear.SingularMatrixException;

/**
 * Fits of point spread functions to radial profiles.
 *
 * <p>The few-parameter forms minimise, by Levenberg and Marquardt's method over the logarithms of all parameters,
 *
 * <pre>sum_i q_i arctan^2(ln(m_i/p_i)) / ((err_i/p_i)^2 + 0.25^2)</pre>
 *
 * <p>with p_i the profile's energy in ring i, q_i its share of the whole and m_i the model's energy there. The logarithm lets
 * all radii speak although densities span many decades; the weight q_i keeps ranges and ratios true to the energy, which is what
 * exposes. Between its ranges a form of few terms can be orders of magnitude below the profile; the arctangent bounds what such
 * rings weigh, else they would drag the ranges towards themselves. Rings without energy or with an error above a half are left
 * out. The model holds the energy of the whole profile.
 */
public final class ProfileFits {
    private static final double FLOOR = 0.25;
    private static final double NOISY = 0.5;
    private static final double STEP = 1e-5;
    private static final double TINY = 1e-300;
    private static final double SQRT_LN2 = Math.sqrt(Math.log(2));

    private ProfileFits() {}

    /** The double Gaussian: parameters {@code alpha_um}, {@code beta_um}, {@code eta}. */
    public static ProfileFit doubleGaussian(RadialProfile profile) {
        return fit(
                "double Gaussian",
                profile,
                List.of(doubleGaussianStart(profile)),
                p -> PointSpreadFunction.doubleGaussian(p[0], p[1], p[2]),
                "alpha_um",
                "beta_um",
                "eta");
    }

    /**
     * The triple Gaussian: {@code alpha_um}, {@code beta_um}, {@code eta} of the far one, {@code gamma_um} and {@code nu} of the
     * one between.
     */
    public static ProfileFit tripleGaussian(RadialProfile profile) {
        return fit(
                "triple Gaussian",
                profile,
                startsWithMiddle(profile),
                p -> PointSpreadFunction.from(
                        List.of(new GaussianTerm(1, p[0]), new GaussianTerm(p[2], p[1]), new GaussianTerm(p[4], p[3]))),
                "alpha_um",
                "beta_um",
                "eta",
                "gamma_um",
                "nu");
    }

    /** The double Gaussian plus exponential: {@code alpha_um}, {@code beta_um}, {@code eta}, {@code gamma_um}, {@code nu}. */
    public static ProfileFit doubleGaussianPlusExponential(RadialProfile profile) {
        return fit(
                "double Gaussian + exponential",
                profile,
                startsWithMiddle(profile),
                p -> new DoubleGaussianPlusExponential(p[0], p[1], p[3], p[2], p[4]),
                "alpha_um",
                "beta_um",
                "eta",
                "gamma_um",
                "nu");
    }

    /**
     * A sum of Gaussians with ranges on a fixed ladder, {@value GaussianLadder#PER_DECADE} to the decade, and weights of at
     * least 0 by least squares, each ring weighted by its error (statistical and {@value GaussianLadder#FLOOR} of its energy).
     * It follows the whole profile; parameters are {@code weight_k} and {@code range_k_um}.
     */
    public static ProfileFit ladder(RadialProfile profile) {
        return ladder(profile, GaussianLadder.fit(profile));
    }

    /**
     * As {@link #ladder(RadialProfile)}, with the ladder set up from the range of the beam: nothing is narrower than that, and what
     * is left of the beam itself sits on the first rung.
     *
     * @param leastRangeUm range of the first rung, um, positive
     */
    public static ProfileFit ladder(RadialProfile profile, double leastRangeUm) {
        return ladder(profile, GaussianLadder.fit(profile, leastRangeUm));
    }

    private static ProfileFit ladder(RadialProfile profile, PointSpreadFunction psf) {
        List<ProfileFit.Parameter> parameters = new ArrayList<>();
        List<PointSpreadFunction> replicates = new ArrayList<>();
        for (int g = 0; g < profile.replicates(); g++) {
            replicates.add(GaussianLadder.fit(profile.replicate(g), psf));
        }
        for (int k = 0; k < psf.terms().size(); k++) {
            GaussianTerm term = psf.terms().get(k);
            double[] weights = replicates.stream()
                    .mapToDouble(r -> r.terms().stream()
                            .filter(t -> t.rangeUm() == term.rangeUm())
                            .mapToDouble(GaussianTerm::weight)
                            .sum())
                    .toArray();
            parameters.add(new ProfileFit.Parameter("range_" + (k + 1) + "_um", term.rangeUm(), 0));
            parameters.add(new ProfileFit.Parameter("weight_" + (k + 1), term.weight(), jackknife(weights)));
        }
        return new ProfileFit("Gaussian ladder", psf, List.copyOf(parameters), misfits(profile, psf));
    }

    /** Alpha, beta and eta to start from: split where the energy per ring of even ratio is least between its two humps. */
    private static double[] doubleGaussianStart(RadialProfile profile) {
        double far = profile.radiusHoldingUm(0.999);
        double near = profile.radiusHoldingUm(0.02);
        double split = Math.sqrt(far * near);
        double inside = 0;
        double total = profile.total();
        for (int i = 0; i < profile.size() && profile.edgeUm(i + 1) <= split; i++) {
            inside += profile.energy(i);
        }
        double share = Math.min(0.98, Math.max(0.02, inside / total));
        return new double[] {
            profile.radiusHoldingUm(share / 2) / SQRT_LN2,
            profile.radiusHoldingUm((1 + share) / 2) / SQRT_LN2,
            (1 - share) / share
        };
    }

    /** Starts with a middle term at several places between alpha and beta: the misfit has more than one valley. */
    private static List<double[]> startsWithMiddle(RadialProfile profile) {
        double[] two = doubleGaussianStart(profile);
        List<double[]> starts = new ArrayList<>();
        for (double place : new double[] {0.25, 0.5, 0.75}) {
            starts.add(new double[] {
                two[0], two[1], two[2], two[0] * Math.pow(two[1] / two[0], place), 0.2 * Math.min(1, two[2])
            });
        }
        return starts;
    }

    private static ProfileFit fit(
            String form,
            RadialProfile profile,
            List<double[]> starts,
            Function<double[], RadialModel> family,
            String... names) {
        Optimum optimum = null;
        for (double[] start : starts) {
            Optimum found = optimum(profile, logs(start), family);
            optimum = optimum == null || found.getCost() < optimum.getCost() ? found : optimum;
        }
        double[] best = optimum.getPoint().toArray();
        double[] errors = new double[best.length];
        if (profile.replicates() > 1) {
            double[][] logs = new double[best.length][profile.replicates()];
            for (int g = 0; g < profile.replicates(); g++) {
                double[] p =
                        optimum(profile.replicate(g), best, family).getPoint().toArray();
                for (int k = 0; k < best.length; k++) {
                    logs[k][g] = p[k];
                }
            }
            for (int k = 0; k < best.length; k++) {
                errors[k] = jackknife(logs[k]);
            }
        } else {
            try {
                int freedom = Math.max(1, optimum.getResiduals().getDimension() - best.length);
                double scale = optimum.getCost() / Math.sqrt(freedom);
                errors = optimum.getSigma(1e-14).mapMultiply(scale).toArray();
            } catch (SingularMatrixException e) {
                java.util.Arrays.fill(errors, Double.NaN);
            }
        }
        List<ProfileFit.Parameter> parameters = new ArrayList<>();
        for (int k = 0; k < best.length; k++) {
            double value = Math.exp(best[k]);
            parameters.add(new ProfileFit.Parameter(names[k], value, value * errors[k]));
        }
        RadialModel model = family.apply(exps(best));
        return new ProfileFit(form, model, List.copyOf(parameters), misfits(profile, model));
    }

    private static Optimum optimum(RadialProfile profile, double[] start, Function<double[], RadialModel> family) {
        int[] rings = usable(profile);
        if (rings.length <= start.length) {
            throw new IllegalArgumentException(
                    "only " + rings.length + " rings are good enough to fit " + start.length + " numbers");
        }
        double total = profile.total();
        double[] share = new double[rings.length];
        double[] weight = new double[rings.length];
        for (int j = 0; j < rings.length; j++) {
            double energy = profile.energy(rings[j]);
            share[j] = energy / total;
            weight[j] = Math.sqrt(share[j] / (profile.variancePerEnergy(rings[j]) / energy + FLOOR * FLOOR));
        }
        MultivariateVectorFunction values = p -> {
            RadialModel model = family.apply(exps(p));
            double[] v = new double[rings.length];
            for (int j = 0; j < rings.length; j++) {
                v[j] = weight[j] * Math.atan(Math.log(Math.max(TINY, share(profile, model, rings[j])) / share[j]));
            }
            return v;
        };
        try {
            return new LevenbergMarquardtOptimizer()
                    .optimize(new LeastSquaresBuilder()
                            .start(start)
                            .target(new double[rings.length])
                            .model(values, p -> jacobian(values, p))
                            .maxEvaluations(2000)
                            .maxIterations(1000)
                            .build());
        } catch (TooManyEvaluationsException | TooManyIterationsException e) {
            throw new IllegalArgumentException("the profile does not determine the numbers of this form", e);
        }
    }

    private static double[][] jacobian(MultivariateVectorFunction values, double[] p) {
        double[][] columns = new double[p.length][];
        for (int k = 0; k < p.length; k++) {
            double[] moved = p.clone();
            moved[k] = p[k] + STEP;
            double[] up = values.value(moved);
            moved[k] = p[k] - STEP;
            double[] down = values.value(moved);
            for (int j = 0; j < up.length; j++) {
                up[j] = (up[j] - down[j]) / (2 * STEP);
            }
            columns[k] = up;
        }
        double[][] rows = new double[columns[0].length][p.length];
        for (int j = 0; j < rows.length; j++) {
            for (int k = 0; k < p.length; k++) {
                rows[j][k] = columns[k][j];
            }
        }
        return rows;
    }

    private static int[] usable(RadialProfile profile) {
        return java.util.stream.IntStream.range(0, profile.size())
                .filter(i -> profile.energy(i) > 0 && profile.standardError(i) < NOISY * profile.energy(i))
                .toArray();
    }

    /** Standard error of a number from its values with one group left out each: sqrt((g-1)/g sum (x - mean)^2). */
    private static double jackknife(double[] values) {
        int g = values.length;
        if (g < 2) {
            return Double.NaN;
        }
        double mean = java.util.Arrays.stream(values).average().orElseThrow();
        double sum = 0;
        for (double v : values) {
            sum += (v - mean) * (v - mean);
        }
        return Math.sqrt(sum * (g - 1) / g);
    }

    static double share(RadialProfile profile, RadialModel model, int ring) {
        return model.shareBeyond(profile.edgeUm(ring)) - model.shareBeyond(profile.edgeUm(ring + 1));
    }

    private static List<ProfileFit.Misfit> misfits(RadialProfile profile, RadialModel model) {
        List<ProfileFit.Misfit> list = new ArrayList<>();
        double total = profile.total();
        int i = 0;
        while (i < profile.size()) {
            double from = profile.edgeUm(i);
            // The disc goes with the first decade.
            double to = Math.pow(10, Math.floor(Math.log10(profile.radiusUm(i)) + 1));
            double energy = 0;
            double modelEnergy = 0;
            double squares = 0;
            int count = 0;
            int first = i;
            while (i < profile.size() && (i == first || profile.radiusUm(i) < to)) {
                double m = share(profile, model, i);
                energy += profile.energy(i) / total;
                modelEnergy += m;
                if (profile.energy(i) > 0 && profile.standardError(i) < NOISY * profile.energy(i)) {
                    double d = Math.log10(Math.max(TINY, m) / (profile.energy(i) / total));
                    squares += d * d;
                    count++;
                }
                i++;
            }
            if (count > 0) {
                list.add(new ProfileFit.Misfit(
                        from, profile.edgeUm(i), energy, modelEnergy, Math.sqrt(squares / count)));
            }
        }
        return List.copyOf(list);
    }

    private static double[] logs(double[] p) {
        return java.util.Arrays.stream(p).map(Math::log).toArray();
    }

    private static double[] exps(double[] p) {
        return java.util.Arrays.stream(p).map(Math::exp).toArray();
    }
}
