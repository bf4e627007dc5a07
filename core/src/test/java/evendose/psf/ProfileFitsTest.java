package evendose.psf;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Fits find again what profiles were made of. */
class ProfileFitsTest {
    private static final double[] EDGES = edges();

    private static double[] edges() {
        double[] edges = new double[130];
        for (int i = 1; i < edges.length; i++) {
            edges[i] = 1e-4 * Math.pow(10, (i - 1) / 20.0);
        }
        return edges;
    }

    private static double[] shares(RadialModel model) {
        double[] e = new double[EDGES.length - 1];
        for (int i = 0; i < e.length; i++) {
            e[i] = model.shareBeyond(EDGES[i]) - model.shareBeyond(EDGES[i + 1]);
        }
        return e;
    }

    private static RadialProfile exact(RadialModel model) {
        double[] e = shares(model);
        return RadialProfile.of(EDGES, e, new double[e.length], new double[0][]);
    }

    /** 20 groups of deposits at random radii; errors and replicates as a simulation makes them. */
    private static RadialProfile noisy(RadialModel model, int deposits, long seed) {
        double[] cumulative = shares(model);
        for (int i = 1; i < cumulative.length; i++) {
            cumulative[i] += cumulative[i - 1];
        }
        Random random = new Random(seed);
        int groups = 20;
        double[][] counts = new double[groups][cumulative.length];
        for (int n = 0; n < deposits; n++) {
            int at = Arrays.binarySearch(cumulative, random.nextDouble() * cumulative[cumulative.length - 1]);
            counts[n % groups][at < 0 ? -at - 1 : at]++;
        }
        double[] sum = new double[cumulative.length];
        for (double[] group : counts) {
            for (int i = 0; i < sum.length; i++) {
                sum[i] += group[i];
            }
        }
        double[] error = Arrays.stream(sum).map(Math::sqrt).toArray();
        double[][] without = new double[groups][sum.length];
        for (int g = 0; g < groups; g++) {
            for (int i = 0; i < sum.length; i++) {
                without[g][i] = sum[i] - counts[g][i];
            }
        }
        return RadialProfile.of(EDGES, sum, error, without);
    }

    @ParameterizedTest
    @CsvSource({"0.003, 31, 0.6", "0.05, 10, 0.6", "0.02, 2, 1.4", "0.1, 4, 0.3"})
    void doubleGaussianIsFoundAgain(double alpha, double beta, double eta) {
        ProfileFit fit = ProfileFits.doubleGaussian(exact(PointSpreadFunction.doubleGaussian(alpha, beta, eta)));
        assertEquals(alpha, fit.parameter("alpha_um").value(), 1e-5 * alpha);
        assertEquals(beta, fit.parameter("beta_um").value(), 1e-5 * beta);
        assertEquals(eta, fit.parameter("eta").value(), 1e-5 * eta);
        assertTrue(fit.misfits().stream().allMatch(m -> m.rmsLog10() < 1e-3));
        assertThrows(IllegalArgumentException.class, () -> fit.parameter("gamma_um"));
    }

    /** Ranges that do not stand apart leave no far part to name, or one that {@code FormFit} refuses. */
    @Test
    void rangesThatRunIntoEachOtherAreNoFarPart() {
        RadialProfile one = exact(PointSpreadFunction.doubleGaussian(0.1, 1, 0));
        assertThrows(IllegalArgumentException.class, () -> ProfileFits.doubleGaussian(one));
        ProfileFit close = ProfileFits.doubleGaussian(exact(PointSpreadFunction.doubleGaussian(0.1, 0.4, 0.3)));
        assertTrue(close.parameter("beta_um").value()
                < 30 * close.parameter("alpha_um").value());
    }

    /** Range and ratio as rings show them are those of the Gaussian where the far part is one. */
    @Test
    void ringsFindTheGaussian() {
        List<ProfileFit.Parameter> rings = ProfileFits.rings(exact(PointSpreadFunction.doubleGaussian(0.01, 25, 0.6)));
        assertEquals(25, rings.get(0).value(), 1e-6 * 25);
        assertEquals(0.6, rings.get(1).value(), 1e-6);
    }

    /** The far term is the same in all forms: eta is its energy over that of all nearer terms, here 0.6/1.3. */
    @Test
    void tripleGaussianIsFoundAgain() {
        PointSpreadFunction psf = PointSpreadFunction.from(
                List.of(new GaussianTerm(1, 0.01), new GaussianTerm(0.3, 0.4), new GaussianTerm(0.6, 25)));
        ProfileFit fit = ProfileFits.tripleGaussian(exact(psf));
        assertEquals(0.01, fit.parameter("alpha_um").value(), 1e-6);
        assertEquals(25, fit.parameter("beta_um").value(), 1e-3);
        assertEquals(0.6 / 1.3, fit.parameter("eta").value(), 1e-4);
        assertEquals(0.4, fit.parameter("gamma_um").value(), 1e-4);
        assertEquals(0.3, fit.parameter("nu").value(), 1e-4);
        PointSpreadFunction found = fit.psf().orElseThrow();
        for (double r = 1e-3; r < 60; r *= 1.3) {
            assertEquals(psf.density(r), found.density(r), 1e-3 * psf.density(r), "at " + r);
        }
        assertEquals(
                fit.parameter("eta").value(),
                ProfileFits.doubleGaussian(exact(psf)).parameter("eta").value());
    }

    @Test
    void exponentialIsFoundAgain() {
        RadialModel model = new DoubleGaussianPlusExponential(0.01, 25, 0.1, 0.6, 0.3);
        ProfileFit fit = ProfileFits.doubleGaussianPlusExponential(exact(model));
        assertEquals(0.01, fit.parameter("alpha_um").value(), 1e-6);
        assertEquals(25, fit.parameter("beta_um").value(), 1e-2);
        assertEquals(0.6 / 1.3, fit.parameter("eta").value(), 1e-3);
        assertEquals(0.1, fit.parameter("gamma_um").value(), 1e-3);
        assertEquals(0.3, fit.parameter("nu").value(), 1e-3);
        assertTrue(fit.psf().isEmpty());
        for (double r = 1e-3; r < 60; r *= 1.3) {
            assertEquals(model.density(r), fit.model().density(r), 1e-2 * model.density(r), "at " + r);
        }
    }

    /**
     * A profile that no double Gaussian holds, with ten thousand times the noise or none: range and ratio stay, in every form, within
     * their scatter. 30 repeats at each size; the mean may be off by 4 of its standard errors.
     */
    @Test
    void farTermDependsNeitherOnTheFormNorOnTheNoise() {
        RadialModel truth = middleHeavy();
        ProfileFit exact = ProfileFits.doubleGaussian(exact(truth));
        double beta = exact.parameter("beta_um").value();
        double eta = exact.parameter("eta").value();
        assertEquals(
                eta, ProfileFits.tripleGaussian(exact(truth)).parameter("eta").value());
        assertEquals(
                beta,
                ProfileFits.doubleGaussianPlusExponential(exact(truth))
                        .parameter("beta_um")
                        .value());
        for (int deposits : new int[] {300, 3_000, 100_000}) {
            int repeats = 30;
            double[][] found = new double[2][repeats];
            for (int k = 0; k < repeats; k++) {
                ProfileFit fit = ProfileFits.doubleGaussian(noisy(truth, deposits, 700 + k));
                found[0][k] = fit.parameter("beta_um").value() / beta - 1;
                found[1][k] = fit.parameter("eta").value() / eta - 1;
            }
            for (double[] off : found) {
                double mean = Arrays.stream(off).average().orElseThrow();
                double scatter = Math.sqrt(
                        Arrays.stream(off).map(v -> (v - mean) * (v - mean)).sum() / (repeats - 1));
                assertEquals(0, mean, 4 * scatter / Math.sqrt(repeats) + 0.002, deposits + " deposits");
                assertTrue(Math.abs(mean) < 0.05, deposits + " deposits: off by " + mean);
            }
        }
    }

    private static RadialModel middleHeavy() {
        return new RadialModel() {
            @Override
            public double density(double r) {
                throw new UnsupportedOperationException("not needed");
            }

            @Override
            public double shareBeyond(double r) {
                return 0.4 * Math.exp(-r * r / 9e-6)
                        + 0.25 / Math.sqrt(1 + r * r / 1e-4) * Math.exp(-r * r / 900)
                        + 0.35 * Math.exp(-r * r / 900);
            }
        };
    }

    /** Mass of the exponential within 2 gamma: 0.593994150 (derived: 1 - 3 exp(-2)). */
    @Test
    void exponentialHoldsItsMass() {
        RadialModel tail = new DoubleGaussianPlusExponential(1e-9, 1e-9, 2, 0, 1e12);
        assertEquals(0.593994150, 1 - tail.shareBeyond(4), 1e-9);
        // The density integrates to the share.
        double sum = 0;
        int n = 100_000;
        for (int i = 0; i < n; i++) {
            double r = (i + 0.5) * 4 / n;
            sum += 2 * Math.PI * r * tail.density(r) * 4 / n;
        }
        assertEquals(0.593994150, sum, 1e-6);
    }

    /** Statistical errors against the scatter of repeated fits: 40 repeats give that to 11 %; 4 of these and those of the errors. */
    @Test
    void jackknifeErrorsAreTheScatter() {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.01, 25, 0.6);
        int repeats = 40;
        double[] beta = new double[repeats];
        double meanError = 0;
        for (int k = 0; k < repeats; k++) {
            ProfileFit.Parameter p =
                    ProfileFits.doubleGaussian(noisy(psf, 20_000, 100 + k)).parameter("beta_um");
            beta[k] = p.value();
            meanError += p.standardError() / repeats;
        }
        double mean = Arrays.stream(beta).average().orElseThrow();
        double scatter =
                Math.sqrt(Arrays.stream(beta).map(b -> (b - mean) * (b - mean)).sum() / (repeats - 1));
        assertEquals(1, meanError / scatter, 0.45);
        assertEquals(25, mean, 4 * scatter / Math.sqrt(repeats) + 0.05);
    }

    /**
     * The ladder follows a profile that no double Gaussian can: a power law between two humps. Its misfit is noise: mean
     * square of (fit - profile)/error near 1. With about 100 rings that scatters by 0.14; 4 of these.
     */
    @Test
    void ladderFollowsTheWholeProfileWithinItsNoise() {
        RadialModel truth = middleHeavy();
        RadialProfile profile = noisy(truth, 200_000, 5);
        ProfileFit fit = ProfileFits.ladder(profile, 0.003);
        PointSpreadFunction psf = fit.psf().orElseThrow();
        assertTrue(psf.terms().stream().allMatch(t -> t.weight() > 0));
        assertEquals(0.003, psf.terms().get(0).rangeUm());
        double[] fitted = shares(psf);
        double sum = 0;
        int rings = 0;
        for (int i = 0; i < profile.size(); i++) {
            if (profile.energy(i) >= 20) {
                double d = (fitted[i] * profile.total() - profile.energy(i)) / profile.standardError(i);
                sum += d * d;
                rings++;
            }
        }
        assertTrue(rings > 80, "rings " + rings);
        assertTrue(sum / rings < 1.56, "mean square misfit " + sum / rings);
        double beyond = truth.shareBeyond(5);
        assertEquals(beyond, psf.shareBeyond(5), 0.01 * beyond);
    }

    /** The active-set method against trying all sets of free unknowns. */
    @Test
    void nonNegativeLeastSquaresAgainstAllSubsets() {
        Random random = new Random(8);
        for (int trial = 0; trial < 50; trial++) {
            int n = 6;
            int m = 12;
            double[][] a = new double[n][m];
            double[] b = new double[m];
            for (int i = 0; i < m; i++) {
                for (int k = 0; k < n; k++) {
                    a[k][i] = random.nextGaussian();
                }
                b[i] = random.nextGaussian();
            }
            double best = Double.MAX_VALUE;
            for (int set = 0; set < 1 << n; set++) {
                double[] x = normalEquations(a, b, set);
                if (Arrays.stream(x).allMatch(v -> v >= 0)) {
                    best = Math.min(best, square(a, b, x));
                }
            }
            double[] x = GaussianLadder.solve(a, b);
            assertTrue(Arrays.stream(x).allMatch(v -> v >= 0));
            assertEquals(best, square(a, b, x), 1e-9 * best);
        }
    }

    private static double square(double[][] a, double[] b, double[] x) {
        double sum = 0;
        for (int i = 0; i < b.length; i++) {
            double r = b[i];
            for (int k = 0; k < a.length; k++) {
                r -= a[k][i] * x[k];
            }
            sum += r * r;
        }
        return sum;
    }

    /** Least squares over the unknowns in {@code set} by Gauss-Jordan elimination. */
    private static double[] normalEquations(double[][] a, double[] b, int set) {
        int n = a.length;
        double[][] m = new double[n][n + 1];
        for (int p = 0; p < n; p++) {
            for (int q = 0; q < n; q++) {
                boolean free = (set >> p & 1) == 1 && (set >> q & 1) == 1;
                m[p][q] = free ? dot(a[p], a[q]) : p == q ? 1 : 0;
            }
            m[p][n] = (set >> p & 1) == 1 ? dot(a[p], b) : 0;
        }
        for (int p = 0; p < n; p++) {
            double pivot = m[p][p];
            for (int q = 0; q <= n; q++) {
                m[p][q] /= pivot;
            }
            for (int r = 0; r < n; r++) {
                double factor = m[r][p];
                for (int q = 0; q <= n && r != p; q++) {
                    m[r][q] -= factor * m[p][q];
                }
            }
        }
        return Arrays.stream(m).mapToDouble(row -> row[n]).toArray();
    }

    private static double dot(double[] p, double[] q) {
        double sum = 0;
        for (int i = 0; i < p.length; i++) {
            sum += p[i] * q[i];
        }
        return sum;
    }

    @Test
    void tooPoorAProfileIsRefused() {
        RadialProfile profile =
                RadialProfile.of(new double[] {0, 1, 2, 3}, new double[] {1, 1, 1}, new double[3], new double[0][]);
        assertThrows(IllegalArgumentException.class, () -> ProfileFits.doubleGaussian(profile));
    }

    @Test
    void momentsOfFunctions() {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.05, 10, 0.6);
        assertEquals(Math.sqrt(0.0025 / 1.6 + 100 * 0.6 / 1.6), psf.rmsRadiusUm(), 1e-12);
        for (double share : new double[] {0.01, 0.5, 0.625, 0.99}) {
            assertEquals(1 - share, psf.shareBeyond(psf.radiusHoldingUm(share)), 1e-8);
        }
        assertThrows(IllegalArgumentException.class, () -> psf.radiusHoldingUm(1));
    }
}
