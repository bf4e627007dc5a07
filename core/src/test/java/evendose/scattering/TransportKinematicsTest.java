package evendose.scattering;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.ArrayList;
import java.util.List;
import org.apache.commons.math3.analysis.integration.SimpsonIntegrator;
import org.apache.commons.math3.stat.descriptive.SummaryStatistics;
import org.apache.commons.rng.simple.RandomSource;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/**
 * Directions of the transport against closed forms and conservation laws, whichever way an electron goes. Seeds are fixed; comparisons of
 * means allow 4 standard errors, false failure below 1e-4 each for a new seed.
 */
class TransportKinematicsTest {
    private static final double REST_KEV = 510.99895;

    private static TransportKernel kernel(
            double[] table,
            double energyKev,
            double cutoffKev,
            double hardCutoffKev,
            double tiltDeg,
            TransportKernel.PathRecorder recorder) {
        return new TransportKernel(
                new double[] {-1e9},
                new double[] {1e9},
                new double[][] {table},
                0,
                energyKev,
                cutoffKev,
                hardCutoffKev,
                0,
                tiltDeg,
                1,
                1,
                recorder);
    }

    private static void run(TransportKernel kernel, int electrons) {
        kernel.run(RandomSource.XO_SHI_RO_256_PP.create(5), electrons, new Tally(1, 1, 10, 1e-4, 20));
    }

    /** Corners of each path, primaries and secondaries. */
    private static final class Paths implements TransportKernel.PathRecorder {
        final List<List<double[]>> primaries = new ArrayList<>();
        final List<List<double[]>> secondaries = new ArrayList<>();
        private List<double[]> path;

        @Override
        public void begin(boolean primary, double xUm, double yUm, double zUm) {
            path = new ArrayList<>();
            (primary ? primaries : secondaries).add(path);
            to(xUm, yUm, zUm);
        }

        @Override
        public void to(double xUm, double yUm, double zUm) {
            path.add(new double[] {xUm, yUm, zUm});
        }
    }

    private static double[] direction(double[] from, double[] to) {
        double[] d = {to[0] - from[0], to[1] - from[1], to[2] - from[2]};
        double length = Math.sqrt(dot(d, d));
        return new double[] {d[0] / length, d[1] / length, d[2] / length};
    }

    private static double dot(double[] a, double[] b) {
        return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    }

    /**
     * After a path of one transport mean free path the mean direction is exp(-1) of the first one and the mean place (1 - exp(-1)) of the
     * path along it, downwards, aslant and upwards; across it both ways are alike.
     */
    @ParameterizedTest
    @ValueSource(doubles = {0, 60, 90, 120, 180})
    void meanDirectionsAndPlacesKeepToTheFirstDirection(double tiltDeg) {
        double energy = 30;
        double cutoff = 29.999;
        double collisions = 50;
        double isotropic = 0.01;
        double a = ElasticScattering.screening(energy);
        double path = 1 / (collisions * (isotropic + (1 - isotropic) * ElasticScattering.meanOneMinusCosine(a)));
        double[] table = new double[4 * TransportTable.STRIDE];
        for (int row = 0; row < 4; row++) {
            table[row * TransportTable.STRIDE + TransportTable.COLLISIONS] = collisions;
            table[row * TransportTable.STRIDE + TransportTable.ISOTROPIC_SHARE] = isotropic;
            table[row * TransportTable.STRIDE + TransportTable.LOSS] = (energy - cutoff) / path;
        }
        Paths paths = new Paths();
        run(kernel(table, energy, cutoff, Double.POSITIVE_INFINITY, tiltDeg, paths), 8000);
        double sine = Math.sin(Math.toRadians(tiltDeg));
        double cosine = Math.cos(Math.toRadians(tiltDeg));
        double[][] axes = {{sine, 0, cosine}, {cosine, 0, -sine}, {0, 1, 0}};
        SummaryStatistics[] turned = new SummaryStatistics[3];
        SummaryStatistics[] moved = new SummaryStatistics[3];
        SummaryStatistics[] squared = new SummaryStatistics[3];
        for (int k = 0; k < 3; k++) {
            turned[k] = new SummaryStatistics();
            moved[k] = new SummaryStatistics();
            squared[k] = new SummaryStatistics();
            for (List<double[]> p : paths.primaries) {
                double[] end = p.get(p.size() - 1);
                turned[k].addValue(dot(axes[k], direction(p.get(p.size() - 2), end)));
                moved[k].addValue(dot(axes[k], end));
                squared[k].addValue(Math.pow(dot(axes[k], end), 2));
            }
            double expected = k == 0 ? 1 : 0;
            assertMean(expected * Math.exp(-1), turned[k], "direction along axis " + k);
            assertMean(expected * path * (1 - Math.exp(-1)), moved[k], "place along axis " + k);
        }
        double error = Math.hypot(standardError(squared[1]), standardError(squared[2]));
        assertEquals(squared[1].getMean(), squared[2].getMean(), 4 * error, "spread across");
    }

    private static double standardError(SummaryStatistics s) {
        return s.getStandardDeviation() / Math.sqrt(s.getN());
    }

    private static void assertMean(double expected, SummaryStatistics found, String what) {
        assertEquals(expected, found.getMean(), 4 * standardError(found), what);
    }

    /**
     * Two electrons of equal mass, one at rest before: their tangents multiply to 2/(gamma + 1) (any text on relativistic kinematics), and
     * across the first direction they go opposite ways, at every azimuth alike.
     */
    @ParameterizedTest
    @ValueSource(doubles = {0, 50, 130, 180})
    void hardCollisionsConserveMomentum(double tiltDeg) {
        double energy = 100;
        double[] table = TransportTable.of(Materials.of("Si"), 0.5, energy, 20);
        long base = TransportTable.base(0.5);
        for (int row = 0; row < table.length / TransportTable.STRIDE; row++) {
            int at = row * TransportTable.STRIDE;
            table[at + TransportTable.COLLISIONS] = 10;
            table[at + TransportTable.HARD_SHARE] = 1;
            // Nearly nothing before the first collision, then all at once.
            table[at + TransportTable.LOSS] = TransportTable.energy(base, row) > 90 ? 1e-9 : 1e9;
        }
        Paths paths = new Paths();
        run(kernel(table, energy, 0.5, 20, tiltDeg, paths), 3000);
        double[] first = {Math.sin(Math.toRadians(tiltDeg)), 0, Math.cos(Math.toRadians(tiltDeg))};
        double[] side = {first[2], 0, -first[0]};
        double gamma = 1 + energy / REST_KEV;
        SummaryStatistics azimuth = new SummaryStatistics();
        SummaryStatistics twice = new SummaryStatistics();
        assertEquals(paths.primaries.size(), paths.secondaries.size());
        for (int n = 0; n < paths.primaries.size(); n++) {
            List<double[]> primary = paths.primaries.get(n);
            List<double[]> secondary = paths.secondaries.get(n);
            double[] fast = direction(primary.get(1), primary.get(2));
            double[] slow = direction(secondary.get(0), secondary.get(1));
            assertEquals(1, dot(first, direction(primary.get(0), primary.get(1))), 1e-12);
            assertEquals(0, Math.abs(primary.get(1)[2] - secondary.get(0)[2]), 1e-15, "born at the collision");
            double along1 = dot(first, fast);
            double along2 = dot(first, slow);
            assertTrue(
                    along1 > 0 && along2 > 0 && along1 >= along2 - 1e-9, "the slower one leaves at the larger angle");
            double across1 = Math.sqrt(1 - along1 * along1);
            double across2 = Math.sqrt(1 - along2 * along2);
            assertEquals(2 / (gamma + 1), across1 / along1 * (across2 / along2), 1e-4);
            double opposite = (dot(fast, slow) - along1 * along2) / (across1 * across2);
            assertEquals(-1, opposite, 1e-6, "opposite sides");
            double cos = dot(side, fast) / across1;
            azimuth.addValue(cos);
            twice.addValue(2 * cos * cos - 1);
        }
        assertMean(0, azimuth, "azimuth");
        assertMean(0, twice, "azimuth, twice");
    }

    /** The share of hard collisions near x = 1/2, where the density is largest, against a quadrature of the published bracket; at the highest energies. */
    @ParameterizedTest
    @ValueSource(doubles = {5, 200, 400})
    void sharesNearOneHalfHaveTheirDensity(double energyKev) {
        double least = 0.4;
        TransportKernel kernel = kernel(new double[TransportTable.STRIDE], energyKev, 0.1, least * energyKev, 0, null);
        double tau = energyKev / REST_KEV;
        double t1 = (tau + 1) * (tau + 1);
        SimpsonIntegrator simpson = new SimpsonIntegrator(1e-9, 1e-12, 8, 20);
        double[] edges = {0.4, 0.43, 0.46, 0.48, 0.49, 0.5};
        double[] expected = new double[5];
        double all = 0;
        for (int k = 0; k < 5; k++) {
            expected[k] = simpson.integrate(
                    100_000,
                    x -> 1 / (x * x) + 1 / ((1 - x) * (1 - x)) + tau * tau / t1 - (2 * tau + 1) / (t1 * x * (1 - x)),
                    edges[k],
                    edges[k + 1]);
            all += expected[k];
        }
        var rng = RandomSource.XO_SHI_RO_256_PP.create(17);
        int n = 400_000;
        int[] counts = new int[5];
        for (int i = 0; i < n; i++) {
            double x = kernel.mollerShare(rng, energyKev);
            int k = 0;
            while (k < 4 && x > edges[k + 1]) {
                k++;
            }
            counts[k]++;
        }
        for (int k = 0; k < 5; k++) {
            double share = expected[k] / all;
            assertEquals(share, counts[k] / (double) n, 4 * Math.sqrt(share * (1 - share) / n), "from " + edges[k]);
        }
    }

    /** Below twice the cut-off no electron can be set free. */
    @Test
    void noShareBelowTwiceTheCutOff() {
        TransportKernel kernel = kernel(new double[TransportTable.STRIDE], 10, 0.1, 2, 0, null);
        var rng = RandomSource.XO_SHI_RO_256_PP.create(1);
        assertEquals(0, kernel.mollerShare(rng, 4));
        assertTrue(kernel.mollerShare(rng, 4.001) >= 2 / 4.001);
    }

    /**
     * What counts as forward does not depend on what lies below: a free membrane of a cover and the resist has all of it, and a substrate
     * adds returning energy only, also by electrons that the cover sends down once more.
     */
    @Test
    void aSubstrateAddsReturningEnergyOnly() {
        LayerStack.Layer cover = new LayerStack.Layer(Materials.of("Au"), 25, false);
        LayerStack.Layer resist = new LayerStack.Layer(Materials.of("PMMA"), 100, true);
        LayerStack.Layer below = new LayerStack.Layer(Materials.of("Au"), Double.POSITIVE_INFINITY, false);
        SummaryStatistics free = new SummaryStatistics();
        SummaryStatistics covered = new SummaryStatistics();
        try (Workers workers = Workers.of(2)) {
            for (int seed = 1; seed <= 8; seed++) {
                ScatteringSettings settings = ScatteringSettings.of(10)
                        .withElectrons(600)
                        .withFastSecondaries(false)
                        .withSeed(seed);
                ScatteringResult membrane = ScatteringSimulation.of(new LayerStack(List.of(cover, resist)), settings)
                        .run(workers, Progress.NONE);
                assertEquals(0, membrane.returning().total());
                free.addValue(membrane.forward().total());
                ScatteringResult whole = ScatteringSimulation.of(
                                new LayerStack(List.of(cover, resist, below)), settings.withSeed(1000 + seed))
                        .run(workers, Progress.NONE);
                assertTrue(whole.returning().total() > 0);
                covered.addValue(whole.forward().total());
            }
        }
        double error = Math.hypot(standardError(free), standardError(covered));
        assertEquals(free.getMean(), covered.getMean(), 4 * error, "forward energy");
        assertTrue(error < 0.035 * free.getMean(), "known to " + error / free.getMean());
    }
}
