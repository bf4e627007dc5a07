package evendose.psf;

import evendose.files.NumberText;
import java.util.ArrayList;
import java.util.List;

/**
 * Fits of point spread functions to simulated radial profiles; measured ones have {@link MeasuredFits}.
 *
 * <p>The few-parameter forms share their far Gaussian. With S(R) the share of the energy beyond R, R_s = beta/10, and the mean
 * taken over the energy beyond R_s,
 *
 * <pre>beta^2 = mean(r^2) - R_s^2,     eta / (1 + eta) = S(R_s) exp(R_s^2 / beta^2)</pre>
 *
 * <p>so that range and ratio depend neither on the form that is given to what lies nearer nor, but for their scatter, on the number
 * of electrons. {@code eta} is the energy of the far term over that of <em>all</em> nearer ones in every form, and {@code nu} the
 * energy of the middle term over the direct one:
 *
 * <pre>f = [ (g_alpha + nu g_gamma) / (1 + nu) + eta g_beta ] / (1 + eta)</pre>
 *
 * <p>What lies within R_s is cut into bands of whole rings that hold a {@value #BANDS}th of the energy there each, and by the
 * method of Levenberg and Marquardt the near numbers minimise
 *
 * <pre>sum over bands of arctan^2(ln(m/p))</pre>
 *
 * <p>with p the energy of a band and m that of the form. All bands weigh the same whatever the noise; the arctangent bounds what a band
 * weighs that the form cannot hold: between its ranges a form of few terms can be orders of magnitude below the profile.
 */
public final class ProfileFits {
    private static final int BANDS = 24;
    private static final double RING_FROM = 0.5;
    private static final double RING_TO = 1.5;
    private static final double NOISY = 0.5;
    private static final double TINY = 1e-300;

    private ProfileFits() {}

    /**
     * {@return the double Gaussian: parameters {@code alpha_um}, {@code beta_um}, {@code eta}}
     *
     * @param profile the profile
     */
    public static ProfileFit doubleGaussian(RadialProfile profile) {
        return fit(
                "double Gaussian",
                profile,
                (near, far) -> PointSpreadFunction.from(List.of(
                        new GaussianTerm(1 - far.weight(), near[0]), new GaussianTerm(far.weight(), far.betaUm()))),
                "alpha_um");
    }

    /**
     * {@return the triple Gaussian: {@code alpha_um}, {@code beta_um}, {@code eta}, {@code gamma_um} and {@code nu}}
     *
     * @param profile the profile
     */
    public static ProfileFit tripleGaussian(RadialProfile profile) {
        return fit(
                "triple Gaussian",
                profile,
                (near, far) -> {
                    double direct = (1 - far.weight()) / (1 + near[2]);
                    return PointSpreadFunction.from(List.of(
                            new GaussianTerm(direct, near[0]),
                            new GaussianTerm(near[2] * direct, near[1]),
                            new GaussianTerm(far.weight(), far.betaUm())));
                },
                "alpha_um",
                "gamma_um",
                "nu");
    }

    /**
     * {@return the double Gaussian plus exponential: {@code alpha_um}, {@code beta_um}, {@code eta}, {@code gamma_um}, {@code nu}}
     *
     * @param profile the profile
     */
    public static ProfileFit doubleGaussianPlusExponential(RadialProfile profile) {
        return fit(
                "double Gaussian + exponential",
                profile,
                (near, far) -> {
                    double ratio = far.weight() / (1 - far.weight()) * (1 + near[2]);
                    return new DoubleGaussianPlusExponential(near[0], far.betaUm(), near[1], ratio, near[2]);
                },
                "alpha_um",
                "gamma_um",
                "nu");
    }

    /**
     * {@return a sum of Gaussians with ranges on a fixed ladder, {@value GaussianLadder#PER_DECADE} to the decade, and weights of at
     * least 0 by least squares, each ring weighted by its error (statistical and {@value GaussianLadder#FLOOR} of its energy)}
     * It follows the whole profile; parameters are {@code weight_k} and {@code range_k_um}.
     *
     * @param profile the profile
     */
    public static ProfileFit ladder(RadialProfile profile) {
        return ladder(profile, GaussianLadder.fit(profile));
    }

    /**
     * As {@link #ladder(RadialProfile)}, with the ladder set up from the range of the beam: nothing is narrower than that, and what
     * is left of the beam itself sits on the first rung.
     *
     * @param profile the profile
     * @param leastRangeUm range of the first rung, um, positive
     * @return the fit
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

    /**
     * {@return range and ratio as a dose test with rings would find them (see {@code calibration}): by least squares of ln S(R)
     * on R^2 over edges R from half to one and a half times the range, each weighted by S(R); parameters {@code beta_rings_um} and
     * {@code eta_rings}} A profile whose far part is no Gaussian gives another range than by its moment.
     *
     * @param profile the profile
     */
    public static List<ProfileFit.Parameter> rings(RadialProfile profile) {
        double[] whole = ringsOf(profile);
        double[][] without = new double[2][profile.replicates()];
        for (int g = 0; g < profile.replicates(); g++) {
            double[] values = ringsOf(profile.replicate(g));
            without[0][g] = Math.log(values[0]);
            without[1][g] = Math.log(values[1]);
        }
        return List.of(parameter("beta_rings_um", whole[0], without[0]), parameter("eta_rings", whole[1], without[1]));
    }

    private static double[] ringsOf(RadialProfile profile) {
        double beta = FarPart.of(profile).betaUm();
        LineSums sums = new LineSums();
        double beyond = 0;
        for (int i = profile.size() - 1; i >= 0; i--) {
            beyond += profile.energy(i);
            double r = profile.edgeUm(i);
            if (beyond > 0 && r >= RING_FROM * beta && r <= RING_TO * beta) {
                double share = beyond / profile.total();
                sums.add(r * r, Math.log(share), share);
            }
        }
        double slope = sums.slope();
        double share = Math.exp(sums.intercept());
        if (!(slope < 0) || !(share < 1)) {
            throw new IllegalArgumentException("the far part falls off too little for a range from rings");
        }
        return new double[] {Math.sqrt(-1 / slope), share / (1 - share)};
    }

    /** Weighted sums of a straight line y = a + b x. */
    private static final class LineSums {
        private double w;
        private double x;
        private double y;
        private double xx;
        private double xy;

        void add(double atX, double atY, double weight) {
            w += weight;
            x += weight * atX;
            y += weight * atY;
            xx += weight * atX * atX;
            xy += weight * atX * atY;
        }

        double slope() {
            return (w * xy - x * y) / (w * xx - x * x);
        }

        double intercept() {
            return (y - slope() * x) / w;
        }
    }

    /** A form with its near numbers free and its far part given. */
    private interface Family {
        RadialModel of(double[] near, FarPart far);
    }

    private static ProfileFit fit(String form, RadialProfile profile, Family family, String... nearNames) {
        FarPart far = FarPart.of(profile);
        double[] near = near(profile, far, family, nearNames.length);
        int groups = profile.replicates();
        double[][] nearLogs = new double[near.length][groups];
        double[][] farLogs = new double[2][groups];
        for (int g = 0; g < groups; g++) {
            RadialProfile replicate = profile.replicate(g);
            FarPart farWithout = FarPart.of(replicate);
            farLogs[0][g] = Math.log(farWithout.betaUm());
            farLogs[1][g] = Math.log(farWithout.weight() / (1 - farWithout.weight()));
            double[] nearWithout = near(replicate, farWithout, family, near.length, near);
            for (int k = 0; k < near.length; k++) {
                nearLogs[k][g] = Math.log(nearWithout[k]);
            }
        }
        double eta = far.weight() / (1 - far.weight());
        List<ProfileFit.Parameter> parameters = new ArrayList<>();
        parameters.add(parameter(nearNames[0], near[0], nearLogs[0]));
        parameters.add(parameter("beta_um", far.betaUm(), farLogs[0]));
        parameters.add(parameter("eta", eta, farLogs[1]));
        for (int k = 1; k < near.length; k++) {
            parameters.add(parameter(nearNames[k], near[k], nearLogs[k]));
        }
        RadialModel model = family.of(near, far);
        return new ProfileFit(form, model, List.copyOf(parameters), misfits(profile, model));
    }

    private static ProfileFit.Parameter parameter(String name, double value, double[] logsWithout) {
        return new ProfileFit.Parameter(name, value, value * jackknife(logsWithout));
    }

    /** The near numbers by bands; {@code start} holds them of a profile much like this one, if there is such. */
    private static double[] near(RadialProfile profile, FarPart far, Family family, int numbers, double[]... start) {
        double limit = FarPart.BEGINS * far.betaUm();
        double total = profile.total();
        List<Double> edges = new ArrayList<>(List.of(0.0));
        List<Double> shares = new ArrayList<>();
        double inside = 0;
        int rings = 0;
        while (rings < profile.size() && profile.edgeUm(rings + 1) <= limit) {
            inside += profile.energy(rings++) / total;
        }
        double sum = 0;
        double nearer = 0;
        double third = 0;
        for (int i = 0; i < rings; i++) {
            sum += profile.energy(i) / total;
            nearer += profile.energy(i) / total;
            if (sum >= inside / BANDS) {
                edges.add(profile.edgeUm(i + 1));
                shares.add(sum);
                sum = 0;
            }
            if (third == 0 && nearer >= inside / 3) {
                third = profile.edgeUm(i + 1);
            }
        }
        int n = shares.size();
        if (n <= numbers) {
            throw new IllegalArgumentException("the part within " + NumberText.plain(limit, 3)
                    + " um holds too little energy, or falls into too few rings, to fit " + numbers + " numbers");
        }
        List<double[]> starts = new ArrayList<>(List.of(start));
        if (starts.isEmpty() && numbers == 1) {
            starts.add(new double[] {third});
        } else if (starts.isEmpty()) {
            // The misfit has more than one valley: the middle term is tried at several places.
            for (double place : new double[] {0.15, 0.3, 0.5, 0.7}) {
                starts.add(new double[] {third, third * Math.pow(limit / third, place), 0.3});
            }
        }
        return ScaledFit.exps(ScaledFit.best(starts, near -> {
                    RadialModel model = family.of(near, far);
                    double[] residuals = new double[n];
                    double before = 1;
                    for (int j = 0; j < n; j++) {
                        double beyond = model.shareBeyond(edges.get(j + 1));
                        residuals[j] = Math.atan(Math.log(Math.max(TINY, before - beyond) / shares.get(j)));
                        before = beyond;
                    }
                    return residuals;
                })
                .getPoint()
                .toArray());
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
}
