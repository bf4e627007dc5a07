package evendose.psf;

/**
 * The far Gaussian of a profile: what lies beyond a tenth of its range, and nothing else, says how wide it is and how much it
 * holds. With S(R) the share of the energy beyond R, R_s = beta/10 and the mean over the energy beyond R_s,
 *
 * <pre>beta^2 = mean(r^2) - R_s^2,     weight = S(R_s) exp(R_s^2 / beta^2)</pre>
 *
 * <p>which holds exactly for a Gaussian. Both are sums over rings: noise of single rings, however large, moves them no more than
 * it moves the energy, and what lies nearer, or the form that it is given, does not move them at all.
 *
 * @param betaUm range, um
 * @param weight share of the whole energy, above 0 and below 1
 */
record FarPart(double betaUm, double weight) {
    /** Where it begins, over its range. */
    static final double BEGINS = 0.1;

    private static final int ROUNDS = 200;

    /**
     * The far part of a profile.
     *
     * @throws IllegalArgumentException if there is none
     */
    static FarPart of(RadialProfile profile) {
        int n = profile.size();
        double[] beyond = new double[n + 1];
        for (int i = n - 1; i >= 0; i--) {
            beyond[i] = beyond[i + 1] + profile.energy(i);
        }
        // Integral of 2 R S(R) from each edge on; ln S goes straight in R^2 within a ring, as that of a Gaussian does.
        double[] moment = new double[n + 1];
        for (int i = n - 1; i >= 0; i--) {
            double width = profile.edgeUm(i + 1) * profile.edgeUm(i + 1) - profile.edgeUm(i) * profile.edgeUm(i);
            moment[i] = moment[i + 1] + width * logarithmicMean(beyond[i], beyond[i + 1]);
        }
        double beta = profile.radiusHoldingUm(0.98);
        for (int round = 0; round < ROUNDS; round++) {
            double from = BEGINS * beta;
            int i = 0;
            while (i < n - 1 && profile.edgeUm(i + 1) <= from) {
                i++;
            }
            double inner = profile.edgeUm(i) * profile.edgeUm(i);
            double outer = profile.edgeUm(i + 1) * profile.edgeUm(i + 1);
            double place = Math.min(1, (from * from - inner) / (outer - inner));
            double share = beyond[i + 1] > 0
                    ? beyond[i] * Math.pow(beyond[i + 1] / beyond[i], place)
                    : beyond[i] * (1 - place);
            double rest = moment[i + 1] + (outer - from * from) * logarithmicMean(share, beyond[i + 1]);
            double next = Math.sqrt(rest / share);
            if (!(next > 0)) {
                break;
            }
            if (Math.abs(next / beta - 1) < 1e-12) {
                double weight = share / beyond[0] * Math.exp(BEGINS * BEGINS);
                if (weight < 1) {
                    return new FarPart(next, weight);
                }
                break;
            }
            beta = next;
        }
        throw new IllegalArgumentException("the profile has no far part that stands apart from the near one");
    }

    private static double logarithmicMean(double a, double b) {
        return b <= 0 || a - b < 1e-9 * a ? (a + b) / 2 : (a - b) / Math.log(a / b);
    }

    /** Share of the energy of the whole beyond a radius that this part holds. */
    double beyond(double rUm) {
        double u = rUm / betaUm;
        return weight * Math.exp(-u * u);
    }
}
