package evendose.psf;

import evendose.files.NumberText;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Random;
import java.util.stream.IntStream;
import org.apache.commons.math3.fitting.leastsquares.LeastSquaresOptimizer.Optimum;
import org.apache.commons.math3.linear.RealMatrix;
import org.apache.commons.math3.linear.SingularMatrixException;
import org.apache.commons.math3.stat.descriptive.moment.StandardDeviation;
import org.ejml.data.DMatrixRMaj;
import org.ejml.dense.row.CommonOps_DDRM;

/**
 * Fits of sums of Gaussians to densities measured at points, by weighted least squares on the densities themselves, so that values
 * below 0 count as any other.
 *
 * <p>Weights come from the stated errors. Where there are none, a point is taken to be known to {@value #RELATIVE_ERROR} of the
 * fitted density and to what values below 0 scatter by, and errors of the result are scaled by the misfit, though no point counts as
 * known to better than {@value #LEAST_RELATIVE_ERROR}. The few-parameter forms have the numbers of {@link ProfileFits}; they start from
 * the best sets of ranges on a grid and are then free. A level that lies under the whole profile is a number of its own wherever
 * it takes off more than noise would, so that it is not taken for a term of any range.
 *
 * <p>A form of few terms that does not describe the points (chi^2 a degree of freedom above {@value #DESCRIBES}, and above so many times that of a free sum) would follow its nearest
 * points only; it gets the energy of the free sum of Gaussians instead, by the rules of {@link ProfileFits}, and says so.
 *
 * <p>What the points cannot determine is refused: a direct term that they do not reach into, a term wider than the profile, numbers
 * known to less than {@value #DETERMINED} of themselves.
 */
public final class MeasuredFits {
    static final double RELATIVE_ERROR = 0.05;
    static final double LEAST_RELATIVE_ERROR = 0.02;
    static final double DETERMINED = 0.3;

    private static final double LEAST_ERROR = 1e-12;
    private static final int LADDER_PER_DECADE = 12;
    private static final int GRID_PER_DECADE = 8;
    /** Above this chi^2 a form does not describe the points, and least squares of densities would see the nearest only. */
    private static final double DESCRIBES = 4;

    /** Errors by which a density must exceed 0 to count as seen. */
    private static final double SIGNIFICANT = 3;

    private static final int REPEATS = 20;
    private static final int RINGS_PER_DECADE = 20;
    private static final int MOST_RINGS = 400;
    private static final int ROUNDS = 4;
    private static final int STARTS = 3;
    /** A level must lower chi^2 by this many standard deviations, squared, to be believed. */
    private static final double LEVEL_GAIN = 12;
    /** A profile that rises inward more steeply than r^-1 at its first points does not reach its direct term. */
    private static final double STEEPEST = -1;

    private static final int FIRST_POINTS = 4;
    /** Beams are seldom narrower; a profile that begins farther out cannot see them. */
    private static final double NARROW_BEAM_UM = 0.01;

    private final MeasuredProfile profile;
    private final double first;
    private final double last;
    private final double noise;
    /** The last radius at which the profile stands out from its noise: what reaches farther is not in it. */
    private final double reach;

    private MeasuredFits(MeasuredProfile profile) {
        this.profile = profile;
        first = profile.radiusUm(0);
        last = profile.radiusUm(profile.size() - 1);
        double squares = 0;
        int count = 0;
        for (int i = 0; i < profile.size(); i++) {
            if (profile.density(i) <= 0) {
                squares += profile.density(i) * profile.density(i);
                count++;
            }
        }
        noise = count == 0 ? 0 : Math.sqrt(squares / count);
        double[] error = errors(roughly());
        int i = profile.size() - 1;
        while (i > 0 && !(profile.density(i) > SIGNIFICANT * error[i])) {
            i--;
        }
        reach = profile.radiusUm(i);
        refuseSteepBeginning();
    }

    /**
     * {@return the double Gaussian: parameters {@code alpha_um}, {@code beta_um}, {@code eta}}
     *
     * @param profile the profile
     * @throws IllegalArgumentException saying what the profile does not determine
     */
    public static MeasuredFit doubleGaussian(MeasuredProfile profile) {
        return new MeasuredFits(profile).fewTerms("double Gaussian", 2);
    }

    /**
     * {@return the triple Gaussian: {@code alpha_um}, {@code beta_um}, {@code eta}, {@code gamma_um}, {@code nu}}
     *
     * @param profile the profile
     * @throws IllegalArgumentException saying what the profile does not determine
     */
    public static MeasuredFit tripleGaussian(MeasuredProfile profile) {
        return new MeasuredFits(profile).fewTerms("triple Gaussian", 3);
    }

    /**
     * {@return a sum of Gaussians that follows the whole profile, as {@link ProfileFits#ladder(RadialProfile)}: parameters {@code
     * range_k_um} and {@code weight_k}}
     *
     * @param profile the profile
     * @throws IllegalArgumentException saying what the profile does not determine
     */
    public static MeasuredFit ladder(MeasuredProfile profile) {
        return new MeasuredFits(profile).ladder();
    }

    private void refuseSteepBeginning() {
        int[] rising = IntStream.range(0, FIRST_POINTS)
                .filter(i -> profile.density(i) > 0)
                .toArray();
        if (rising.length < 2) {
            throw new IllegalArgumentException("its first points are not above 0");
        }
        double x = 0;
        double y = 0;
        for (int i : rising) {
            x += Math.log(profile.radiusUm(i)) / rising.length;
            y += Math.log(profile.density(i)) / rising.length;
        }
        double xx = 0;
        double xy = 0;
        for (int i : rising) {
            double d = Math.log(profile.radiusUm(i)) - x;
            xx += d * d;
            xy += d * (Math.log(profile.density(i)) - y);
        }
        if (xy / xx < STEEPEST) {
            throw new IllegalArgumentException(String.format(
                    Locale.ROOT,
                    "at its first radius, %s um, it still rises inward as r^%.1f, so the direct term is not in it and no"
                            + " weight is determined; measure nearer, until it levels off",
                    NumberText.plain(first, 3),
                    xy / xx));
        }
    }

    /** Errors of the points, where {@code expected} is what a fit expects. */
    private double[] errors(double[] expected) {
        // Far out in the tail of a fit nothing is expected, and no error would divide by nothing.
        double least = LEAST_ERROR * Arrays.stream(expected).max().orElseThrow();
        return IntStream.range(0, profile.size())
                .mapToDouble(i -> profile.hasErrors()
                        ? profile.standardError(i)
                        : Math.max(least, Math.hypot(RELATIVE_ERROR * expected[i], noise)))
                .toArray();
    }

    private double[] measured() {
        return IntStream.range(0, profile.size()).mapToDouble(profile::density).toArray();
    }

    /** What to take errors of points from before anything is fitted. */
    private double[] roughly() {
        return Arrays.stream(measured()).map(Math::abs).toArray();
    }

    private double[] grid(int perDecade, double from, double to) {
        int low = (int) Math.ceil(perDecade * Math.log10(from) - 1e-9);
        int high = (int) Math.floor(perDecade * Math.log10(to) + 1e-9);
        return IntStream.rangeClosed(low, high)
                .mapToDouble(k -> Math.pow(10, (double) k / perDecade))
                .toArray();
    }

    private double[] column(double rangeUm, double[] error) {
        double[] column = new double[error.length];
        for (int i = 0; i < column.length; i++) {
            double u = profile.radiusUm(i) / rangeUm;
            column[i] = Math.exp(-u * u) / (Math.PI * rangeUm * rangeUm) / error[i];
        }
        return column;
    }

    private static double[] level(double[] error) {
        return Arrays.stream(error).map(e -> 1 / e).toArray();
    }

    private double[] scaled(double[] error) {
        double[] b = measured();
        for (int i = 0; i < b.length; i++) {
            b[i] /= error[i];
        }
        return b;
    }

    private static double misfit(double[][] a, double[] b, double[] x) {
        double sum = 0;
        for (int i = 0; i < b.length; i++) {
            double d = b[i];
            for (int k = 0; k < x.length; k++) {
                d -= a[k][i] * x[k];
            }
            sum += d * d;
        }
        return sum;
    }

    /** Weights of the columns, and the errors of the points that go with what they make. */
    private record Weights(double[][] columns, double[] x, double[] error, double misfit) {
        double[] expected() {
            double[] sum = new double[error.length];
            for (int k = 0; k < x.length; k++) {
                for (int i = 0; i < sum.length; i++) {
                    sum[i] += x[k] * columns[k][i] * error[i];
                }
            }
            return sum;
        }
    }

    private Weights weights(double[] ranges, boolean withLevel) {
        double[] error = errors(roughly());
        Weights found = null;
        for (int round = 0; round < ROUNDS; round++) {
            double[][] columns = new double[ranges.length + (withLevel ? 1 : 0)][];
            for (int k = 0; k < ranges.length; k++) {
                columns[k] = column(ranges[k], error);
            }
            if (withLevel) {
                columns[ranges.length] = level(error);
            }
            double[] b = scaled(error);
            double[] x = GaussianLadder.solve(columns, b);
            found = new Weights(columns, x, error, misfit(columns, b, x));
            if (profile.hasErrors()) {
                break;
            }
            error = errors(found.expected());
        }
        return found;
    }

    /** Ranges that a profile of these radii can tell from a peak within it and from a level under it. */
    private double[] ladderRanges(int perDecade, boolean withLevel) {
        return grid(perDecade, 0.7 * first, reach / (withLevel ? 2.5 : 1.2));
    }

    /** Whether a level lies under the profile, seen by the form that can follow anything else. */
    private boolean hasLevel() {
        Weights without = weights(ladderRanges(GaussianLadder.PER_DECADE, false), false);
        Weights with = weights(ladderRanges(GaussianLadder.PER_DECADE, true), true);
        double scale = profile.hasErrors()
                ? 1
                : Math.max(with.misfit() / profile.size(), Math.pow(LEAST_RELATIVE_ERROR / RELATIVE_ERROR, 2));
        return (without.misfit() - with.misfit()) / scale > LEVEL_GAIN;
    }

    private MeasuredFit ladder() {
        boolean level = hasLevel();
        double[] ranges = ladderRanges(LADDER_PER_DECADE, level);
        Weights w = weights(ranges, level);
        int[] used = IntStream.range(0, w.x().length).filter(k -> w.x()[k] > 0).toArray();
        double total =
                IntStream.range(0, ranges.length).mapToDouble(k -> w.x()[k]).sum();
        if (!(total > 0)) {
            throw new IllegalArgumentException("it is level: no term is determined");
        }
        DMatrixRMaj normal = new DMatrixRMaj(used.length, used.length);
        for (int p = 0; p < used.length; p++) {
            for (int q = 0; q < used.length; q++) {
                double dot = 0;
                for (int i = 0; i < profile.size(); i++) {
                    dot += w.columns()[used[p]][i] * w.columns()[used[q]][i];
                }
                normal.set(p, q, dot);
            }
        }
        DMatrixRMaj covariance = normal.copy();
        boolean known = CommonOps_DDRM.invert(normal, covariance);
        double freedom = Math.max(1, profile.size() - used.length);
        double scale = errorScale(w.misfit() / freedom);
        List<GaussianTerm> terms = new ArrayList<>();
        List<ProfileFit.Parameter> parameters = new ArrayList<>();
        for (int p = 0; p < used.length; p++) {
            if (used[p] == ranges.length) {
                continue;
            }
            terms.add(new GaussianTerm(w.x()[used[p]] / total, ranges[used[p]]));
            double error = known ? scale * Math.sqrt(Math.max(0, covariance.get(p, p))) / total : Double.NaN;
            parameters.add(new ProfileFit.Parameter("range_" + terms.size() + "_um", ranges[used[p]], 0));
            parameters.add(new ProfileFit.Parameter("weight_" + terms.size(), w.x()[used[p]] / total, error));
        }
        PointSpreadFunction psf = PointSpreadFunction.from(terms);
        double background = level ? w.x()[ranges.length] : 0;
        return done("Gaussian ladder", psf, parameters, total, background, w.misfit() / freedom, w.error());
    }

    private double errorScale(double chiSquarePerFreedom) {
        return profile.hasErrors()
                ? Math.sqrt(Math.max(1, chiSquarePerFreedom))
                : Math.max(Math.sqrt(chiSquarePerFreedom), LEAST_RELATIVE_ERROR / RELATIVE_ERROR);
    }

    /** Numbers of a form: scale, alpha, beta, eta, then gamma, nu if there are three terms, then the level if there is one. */
    private MeasuredFit fewTerms(String form, int count) {
        boolean level = hasLevel();
        int numbers = 2 * count + (level ? 1 : 0);
        if (profile.size() <= numbers) {
            throw new IllegalArgumentException(profile.size() + " points are too few to fit " + numbers + " numbers");
        }
        List<double[]> starts = starts(count, level);
        double[] best = starts.get(0);
        Optimum optimum = null;
        double[] error = null;
        for (int round = 0; round < (profile.hasErrors() ? 1 : ROUNDS); round++) {
            double[] now = errors(expected(best, count, level));
            error = now;
            optimum = ScaledFit.best(round == 0 ? starts : List.of(best), p -> {
                double[] residuals = expected(p, count, level);
                for (int i = 0; i < residuals.length; i++) {
                    residuals[i] = (residuals[i] - profile.density(i)) / now[i];
                }
                return residuals;
            });
            best = ScaledFit.exps(optimum.getPoint().toArray());
        }
        double chiSquare = optimum.getCost() * optimum.getCost() / (profile.size() - numbers);
        if (chiSquare > DESCRIBES) {
            MeasuredFit free = ladder();
            if (chiSquare > DESCRIBES * free.chiSquarePerFreedom()) {
                return byEnergy(form, count, free, chiSquare);
            }
        }
        double[] p = best;
        List<String> names = new ArrayList<>(List.of("alpha_um", "beta_um", "eta"));
        if (count == 3) {
            names.addAll(List.of("gamma_um", "nu"));
        }
        double[] relative = relativeErrors(optimum, errorScale(chiSquare));
        List<ProfileFit.Parameter> parameters = new ArrayList<>();
        for (int k = 0; k < names.size(); k++) {
            parameters.add(new ProfileFit.Parameter(names.get(k), p[k + 1], p[k + 1] * relative[k + 1]));
        }
        refuseUndetermined(form, parameters);
        PointSpreadFunction psf = psf(p, count);
        return done(form, psf, parameters, p[0], level ? p[numbers - 1] : 0, chiSquare, error);
    }

    /**
     * A form that does not describe the points, with the energy of the free sum of Gaussians that does: its rings are fitted as those
     * of a simulated profile are. Errors are the scatter of repeats with noise of the points' errors.
     */
    private MeasuredFit byEnergy(String form, int count, MeasuredFit free, double chiSquare) {
        ProfileFit fit = asRings(free.psf(), count);
        double[] error = errors(IntStream.range(0, profile.size())
                .mapToDouble(i -> free.expected(profile.radiusUm(i)))
                .toArray());
        double scale = errorScale(free.chiSquarePerFreedom());
        double[][] logs = new double[fit.parameters().size()][REPEATS];
        Random random = new Random(1);
        for (int k = 0; k < REPEATS; k++) {
            double[] radius = new double[profile.size()];
            double[] moved = new double[profile.size()];
            for (int i = 0; i < moved.length; i++) {
                radius[i] = profile.radiusUm(i);
                moved[i] = free.expected(radius[i]) + scale * error[i] * random.nextGaussian();
            }
            MeasuredProfile repeat = MeasuredProfile.of(radius, moved, error);
            ProfileFit again = asRings(ladder(repeat).psf(), count);
            for (int j = 0; j < logs.length; j++) {
                logs[j][k] = Math.log(again.parameters().get(j).value());
            }
        }
        List<ProfileFit.Parameter> parameters = new ArrayList<>();
        for (int j = 0; j < logs.length; j++) {
            ProfileFit.Parameter p = fit.parameters().get(j);
            double spread = new StandardDeviation().evaluate(logs[j]);
            parameters.add(new ProfileFit.Parameter(p.name(), p.value(), p.value() * spread));
        }
        refuseUndetermined(form, parameters);
        List<String> notes = new ArrayList<>(free.notes());
        notes.add(String.format(
                Locale.ROOT,
                "a %s does not describe the points (chi^2 per degree of freedom %.3g; the free sum of Gaussians %.3g): its numbers"
                        + " hold the energy, as those of simulated profiles do, not the density between its ranges",
                form,
                chiSquare,
                free.chiSquarePerFreedom()));
        return new MeasuredFit(
                form,
                fit.psf().orElseThrow(),
                parameters,
                free.scale(),
                free.background(),
                chiSquare,
                misfit(fit.psf().orElseThrow(), free.scale(), free.background(), error),
                notes);
    }

    private ProfileFit asRings(PointSpreadFunction psf, int count) {
        double from = psf.terms().get(0).rangeUm() / 30;
        double to = 6 * psf.terms().get(psf.terms().size() - 1).rangeUm();
        int n = Math.min(MOST_RINGS, (int) Math.ceil(RINGS_PER_DECADE * Math.log10(to / from)));
        double[] edges = new double[n + 1];
        double[] energy = new double[n];
        for (int i = 1; i <= n; i++) {
            edges[i] = from * Math.pow(to / from, (i - 1.0) / (n - 1));
            energy[i - 1] = psf.shareBeyond(edges[i - 1]) - psf.shareBeyond(edges[i]);
        }
        RadialProfile rings = RadialProfile.of(edges, energy, new double[n], new double[0][]);
        return count == 2 ? ProfileFits.doubleGaussian(rings) : ProfileFits.tripleGaussian(rings);
    }

    private static double[] relativeErrors(Optimum optimum, double scale) {
        try {
            RealMatrix covariance = optimum.getCovariances(1e-14);
            double[] errors = new double[covariance.getRowDimension()];
            for (int k = 0; k < errors.length; k++) {
                errors[k] = scale * Math.sqrt(covariance.getEntry(k, k));
            }
            return errors;
        } catch (SingularMatrixException e) {
            throw new IllegalArgumentException("it does not determine the numbers of this form; fit fewer terms", e);
        }
    }

    private void refuseUndetermined(String form, List<ProfileFit.Parameter> parameters) {
        for (ProfileFit.Parameter p : parameters) {
            if (!(p.standardError() < DETERMINED * p.value())) {
                throw new IllegalArgumentException(String.format(
                        Locale.ROOT,
                        "it does not determine %s of the %s (%.3g +- %.2g); fit fewer terms, or measure nearer or farther"
                                + " or with less noise",
                        p.name(),
                        form,
                        p.value(),
                        p.standardError()));
            }
            if (p.name().endsWith("_um") && p.value() > last) {
                throw new IllegalArgumentException(String.format(
                        Locale.ROOT,
                        "%s of the %s, %.3g um, exceeds its last radius, %.3g um: a level or a tail that it does not reach the"
                                + " end of; measure farther, or subtract the background",
                        p.name(),
                        form,
                        p.value(),
                        last));
            }
        }
    }

    private static PointSpreadFunction psf(double[] p, int count) {
        double nearer = 1 / (1 + p[3]);
        double direct = count == 3 ? nearer / (1 + p[5]) : nearer;
        List<GaussianTerm> terms =
                new ArrayList<>(List.of(new GaussianTerm(direct, p[1]), new GaussianTerm(1 - nearer, p[2])));
        if (count == 3) {
            terms.add(new GaussianTerm(nearer - direct, p[4]));
        }
        return PointSpreadFunction.from(terms);
    }

    private double[] expected(double[] p, int count, boolean level) {
        double[] sum = new double[profile.size()];
        double nearer = p[0] / (1 + p[3]);
        double direct = count == 3 ? nearer / (1 + p[5]) : nearer;
        for (int i = 0; i < sum.length; i++) {
            double r = profile.radiusUm(i);
            sum[i] = density(r, direct, p[1]) + density(r, nearer * p[3], p[2]);
            if (count == 3) {
                sum[i] += density(r, nearer - direct, p[4]);
            }
            sum[i] += level ? p[2 * count] : 0;
        }
        return sum;
    }

    private static double density(double rUm, double energy, double rangeUm) {
        double u = rUm / rangeUm;
        return energy / (Math.PI * rangeUm * rangeUm) * Math.exp(-u * u);
    }

    /** The best sets of ranges on a grid, as numbers to start from. */
    private List<double[]> starts(int count, boolean level) {
        double[] grid = grid(GRID_PER_DECADE, 0.5 * first, last);
        double[] error = errors(
                weights(ladderRanges(GaussianLadder.PER_DECADE, level), level).expected());
        double[] b = scaled(error);
        List<double[]> found = new ArrayList<>();
        List<Double> misfits = new ArrayList<>();
        int[] set = IntStream.range(0, count).toArray();
        double[][] all = Arrays.stream(grid).mapToObj(s -> column(s, error)).toArray(double[][]::new);
        while (set[count - 1] < grid.length) {
            double[][] columns = new double[count + (level ? 1 : 0)][];
            for (int k = 0; k < count; k++) {
                columns[k] = all[set[k]];
            }
            if (level) {
                columns[count] = level(error);
            }
            double[] x = GaussianLadder.solve(columns, b);
            if (Arrays.stream(x).allMatch(v -> v > 0)) {
                double misfit = misfit(columns, b, x);
                int at = 0;
                while (at < misfits.size() && misfits.get(at) <= misfit) {
                    at++;
                }
                if (at < STARTS) {
                    misfits.add(at, misfit);
                    found.add(at, start(x, set, grid, count));
                }
            }
            int k = 0;
            while (k < count - 1 && set[k] + 1 == set[k + 1]) {
                set[k] = k;
                k++;
            }
            set[k]++;
        }
        if (found.isEmpty()) {
            throw new IllegalArgumentException("fewer terms than " + count + " describe it");
        }
        return List.copyOf(found.subList(0, Math.min(STARTS, found.size())));
    }

    private static double[] start(double[] x, int[] set, double[] grid, int count) {
        double[] p = new double[count + count + (x.length - count)];
        double far = x[count - 1];
        double nearer = x[0] + (count == 3 ? x[1] : 0);
        p[0] = far + nearer;
        p[1] = grid[set[0]];
        p[2] = grid[set[count - 1]];
        p[3] = far / nearer;
        if (count == 3) {
            p[4] = grid[set[1]];
            p[5] = x[1] / x[0];
        }
        if (x.length > count) {
            p[2 * count] = x[count];
        }
        return p;
    }

    private MeasuredFit done(
            String form,
            PointSpreadFunction psf,
            List<ProfileFit.Parameter> parameters,
            double scale,
            double background,
            double chiSquare,
            double[] error) {
        return new MeasuredFit(
                form,
                psf,
                parameters,
                scale,
                background,
                chiSquare,
                misfit(psf, scale, background, error),
                notes(psf, scale, background));
    }

    /** Root mean square of the misfit over the larger of density and fit, where a density exceeds three errors. */
    private double misfit(PointSpreadFunction psf, double scale, double background, double[] error) {
        double squares = 0;
        int count = 0;
        for (int i = 0; i < profile.size(); i++) {
            double expected = scale * psf.density(profile.radiusUm(i)) + background;
            if (profile.density(i) > SIGNIFICANT * error[i]) {
                double d = (profile.density(i) - expected) / Math.max(profile.density(i), expected);
                squares += d * d;
                count++;
            }
        }
        return count == 0 ? Double.NaN : Math.sqrt(squares / count);
    }

    private List<String> notes(PointSpreadFunction psf, double scale, double background) {
        List<String> notes = new ArrayList<>();
        if (first > NARROW_BEAM_UM) {
            notes.add("the profile begins at " + NumberText.plain(first, 3)
                    + " um: a beam narrower than that leaves no trace in it, and eta holds only if there is none");
        }
        double within = 1 - psf.shareBeyond(first);
        if (within > 0.2) {
            notes.add(String.format(
                    Locale.ROOT,
                    "%.0f %% of the energy lie within the first radius, where nothing was measured",
                    100 * within));
        }
        double beyond = psf.shareBeyond(last);
        if (beyond > 0.02) {
            notes.add(String.format(
                    Locale.ROOT,
                    "%.0f %% of the energy lie beyond the last radius, where nothing was measured",
                    100 * beyond));
        }
        if (background > 0) {
            notes.add(String.format(
                    Locale.ROOT,
                    "a level of %.3g (%.2g of the peak) lies under the whole profile and is left out: background, or a tail"
                            + " longer than the profile",
                    background,
                    background / (scale * psf.density(0))));
        }
        return notes;
    }
}
