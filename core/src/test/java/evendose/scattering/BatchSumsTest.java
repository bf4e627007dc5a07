package evendose.scattering;

import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.psf.RadialProfile;
import evendose.scattering.BatchSums.Quantity;
import java.util.Arrays;
import java.util.SplittableRandom;
import java.util.function.ToDoubleFunction;
import org.apache.commons.math3.stat.StatUtils;
import org.junit.jupiter.api.Test;

/** Means and standard errors of batches of equal size against those of Commons Math: the scatter of batches over the root of their number. */
class BatchSumsTest {
    private static final double[] EDGES = {0, 0.01, 0.1, 1};
    private static final double FAR = 0.05;
    private static final int ELECTRONS = 100;
    private static final int DEPTHS = 2;
    private static final int RADII = 4;

    private final Tally[] tallies = new Tally[6];
    private final BatchSums sums = new BatchSums(EDGES, FAR, DEPTHS, 2, 3);

    BatchSumsTest() {
        SplittableRandom random = new SplittableRandom(9);
        for (int i = 0; i < tallies.length; i++) {
            Tally t = new Tally(2, DEPTHS, RADII, EDGES[1], 1);
            t.electrons = ELECTRONS;
            Arrays.setAll(t.resist, k -> 1 + random.nextDouble());
            Arrays.setAll(t.layerKev, k -> 5 + k + random.nextDouble());
            t.backscattered = 10 + random.nextInt(9);
            t.transmitted = 30 + random.nextInt(9);
            t.backscatteredSecondaries = random.nextInt(9);
            t.backscatteredPrimaryKev = 50 + random.nextDouble();
            t.backscatteredKev = t.backscatteredPrimaryKev + 3 + random.nextDouble();
            t.transmittedPrimaryKev = 70 + random.nextDouble();
            t.transmittedKev = t.transmittedPrimaryKev + 7 + random.nextDouble();
            t.restKev = 20 + random.nextDouble();
            t.elasticCollisions = 1000 + i;
            t.hardCollisions = 10 + i;
            for (int e = 0; e < 5; e++) {
                t.escapeUp(e < 3, 0, 0.2 * e + 0.11, Math.cos(Math.toRadians(18 * e + 3)));
            }
            tallies[i] = t;
            sums.add(t, i / 2);
        }
    }

    private void assertMean(ToDoubleFunction<Tally> each, Estimate found) {
        double[] values = Arrays.stream(tallies)
                .mapToDouble(t -> each.applyAsDouble(t) / ELECTRONS)
                .toArray();
        assertEquals(StatUtils.mean(values), found.value(), 1e-12);
        assertEquals(Math.sqrt(StatUtils.variance(values) / values.length), found.standardError(), 1e-12);
    }

    private static double resist(Tally t, int part, int depth, int radius) {
        return t.resist[(part * DEPTHS + depth) * RADII + radius];
    }

    private static double inRadius(Tally t, int radius) {
        return resist(t, 0, 0, radius) + resist(t, 0, 1, radius) + resist(t, 1, 0, radius) + resist(t, 1, 1, radius);
    }

    @Test
    void quantitiesAreMeansOverElectrons() {
        assertEquals(6 * ELECTRONS, sums.electrons());
        assertEquals(6, sums.batches());
        assertEquals(6 * 1000 + 15, sums.elasticCollisions());
        assertEquals(6 * 10 + 15, sums.hardCollisions());
        assertMean(t -> t.backscattered, sums.perElectron(Quantity.BACKSCATTERED));
        assertMean(t -> t.transmitted, sums.perElectron(Quantity.TRANSMITTED));
        assertMean(t -> t.backscatteredSecondaries, sums.perElectron(Quantity.FAST_SECONDARIES_UP));
        assertMean(t -> t.backscatteredPrimaryKev, sums.perElectron(Quantity.BACKSCATTERED_PRIMARY_KEV));
        assertMean(t -> t.transmittedPrimaryKev, sums.perElectron(Quantity.TRANSMITTED_PRIMARY_KEV));
        assertMean(t -> t.backscatteredKev - t.backscatteredPrimaryKev, sums.perElectron(Quantity.UP_SECONDARY_KEV));
        assertMean(t -> t.transmittedKev - t.transmittedPrimaryKev, sums.perElectron(Quantity.DOWN_SECONDARY_KEV));
        assertMean(t -> t.restKev, sums.perElectron(Quantity.REST_KEV));
        assertMean(t -> t.layerKev[0], sums.layer(0));
        assertMean(t -> t.layerKev[1], sums.layer(1));
    }

    @Test
    void energyInTheResistIsSummedByPartDepthAndRadius() {
        assertMean(t -> Arrays.stream(t.resist, 0, DEPTHS * RADII).sum(), sums.perElectron(Quantity.FORWARD_KEV));
        assertMean(
                t -> Arrays.stream(t.resist, DEPTHS * RADII, 2 * DEPTHS * RADII).sum(),
                sums.perElectron(Quantity.RETURNING_KEV));
        assertMean(t -> Arrays.stream(t.resist).sum(), sums.perElectron(Quantity.RESIST_KEV));
        assertMean(t -> inRadius(t, 3), sums.perElectron(Quantity.BEYOND_KEV));
        for (int d = 0; d < DEPTHS; d++) {
            int depth = d;
            assertMean(
                    t -> {
                        double sum = 0;
                        for (int r = 0; r < RADII; r++) {
                            sum += resist(t, 0, depth, r) + resist(t, 1, depth, r);
                        }
                        return sum;
                    },
                    sums.slice(d));
        }
        // Of the ring from 0.01 to 0.1 um the part of its area beyond 0.05 um.
        double share = (0.1 * 0.1 - FAR * FAR) / (0.1 * 0.1 - 0.01 * 0.01);
        assertMean(t -> share * inRadius(t, 1) + inRadius(t, 2) + inRadius(t, 3), sums.perElectron(Quantity.FAR_KEV));
        double far = sums.perElectron(Quantity.FAR_KEV).value();
        assertEquals(
                far / sums.perElectron(Quantity.RESIST_KEV).value(),
                sums.farShare().value(),
                1e-12);
    }

    private void assertProfile(ToDoubleFunction<Tally> each, RadialProfile found, int ring) {
        assertMean(each, new Estimate(found.energy(ring), found.standardError(ring)));
    }

    @Test
    void profilesHaveTheRingsOfAllBatches() {
        for (int r = 0; r < 3; r++) {
            int ring = r;
            assertProfile(t -> inRadius(t, ring), sums.profile(), r);
            assertProfile(t -> resist(t, 0, 0, ring) + resist(t, 0, 1, ring), sums.forward(), r);
            assertProfile(t -> resist(t, 1, 0, ring) + resist(t, 1, 1, ring), sums.returning(), r);
            assertProfile(t -> resist(t, 0, 1, ring) + resist(t, 1, 1, ring), sums.profileOfSlice(1), r);
        }
    }

    @Test
    void electronsThatLeaveAreCountedByEnergyAndAngle() {
        LeavingElectrons up = sums.leavingUp(20);
        for (int e = 0; e < 5; e++) {
            // Bins of 2 % of the energy, and of 5 degrees.
            int energy = 10 * e + 5;
            int angle = (18 * e + 3) / 5;
            assertEquals(e < 3 ? 0.01 : 0, up.primariesByEnergy().get(energy).value(), 1e-12);
            assertEquals(e < 3 ? 0 : 0.01, up.secondariesByEnergy().get(energy).value(), 1e-12);
            assertEquals(e < 3 ? 0.01 : 0, up.primariesByAngle().get(angle).value(), 1e-12);
            assertEquals(e < 3 ? 0 : 0.01, up.secondariesByAngle().get(angle).value(), 1e-12);
        }
    }

    /** Batches of unequal size: a ratio is that of the sums, and batches that all have it leave no error. */
    @Test
    void ratiosAreThoseOfSums() {
        Estimate exact = Estimate.ofRatio(new double[] {2, 6, 10}, new double[] {1, 3, 5});
        assertEquals(2, exact.value(), 1e-15);
        assertEquals(0, exact.standardError(), 1e-15);
        // Differences from the mean ratio of 1: 1, -2, 1; times 3/2, over the sum of 6.
        Estimate scattered = Estimate.ofRatio(new double[] {2, 1, 3}, new double[] {1, 3, 2});
        assertEquals(1, scattered.value(), 1e-15);
        assertEquals(Math.sqrt(6 * 1.5) / 6, scattered.standardError(), 1e-15);
    }
}
