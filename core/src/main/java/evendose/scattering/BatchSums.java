package evendose.scattering;

import evendose.psf.RadialProfile;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.IntStream;

/** Sums over batches, taken in the order of their numbers, and what they say about means and errors. */
final class BatchSums {
    /** What is counted once a batch. */
    enum Quantity {
        FORWARD_KEV,
        RETURNING_KEV,
        BEYOND_KEV,
        FAR_KEV,
        RESIST_KEV,
        BACKSCATTERED,
        TRANSMITTED,
        FAST_SECONDARIES_UP,
        BACKSCATTERED_PRIMARY_KEV,
        TRANSMITTED_PRIMARY_KEV,
        UP_SECONDARY_KEV,
        DOWN_SECONDARY_KEV,
        REST_KEV
    }

    private static final int QUANTITIES = Quantity.values().length;

    private static final int LEAVING = 2 * (Tally.SPECTRUM_BINS + Tally.ANGLE_BINS);

    private final double[] edgesUm;
    private final double farRadiusUm;
    private final int rings;
    private final int depths;
    private final int layers;
    /** Per batch: quantities, depth slices, layers, electrons that leave through the surface by energy and by angle. */
    private final List<double[]> batches = new ArrayList<>();

    private final List<Long> counts = new ArrayList<>();
    private final Spread forward;
    private final Spread returning;
    private final Spread both;
    private final Spread byDepth;
    private final double[][] groups;
    private final long[] groupElectrons;
    private long electrons;
    private long elastic;
    private long hard;

    BatchSums(double[] edgesUm, double farRadiusUm, int depths, int layers, int groups) {
        this.edgesUm = edgesUm;
        this.farRadiusUm = farRadiusUm;
        this.rings = edgesUm.length - 1;
        this.depths = depths;
        this.layers = layers;
        forward = new Spread(rings);
        returning = new Spread(rings);
        both = new Spread(rings);
        byDepth = new Spread(rings * depths);
        this.groups = new double[groups][rings];
        groupElectrons = new long[groups];
    }

    /** Sums of values and of their squares over batches. */
    private static final class Spread {
        final double[] sum;
        final double[] squares;

        Spread(int size) {
            sum = new double[size];
            squares = new double[size];
        }

        void add(int i, double value) {
            sum[i] += value;
            squares[i] += value * value;
        }

        /** Standard error of the sum, from the variance between {@code n} batches. */
        double error(int i, int n) {
            return Math.sqrt(Math.max(0, squares[i] - sum[i] * sum[i] / n) * n / (n - 1.0));
        }
    }

    void add(Tally t, int group) {
        double[] batch = new double[QUANTITIES + depths + layers + LEAVING];
        for (int d = 0; d < depths; d++) {
            for (int r = 0; r <= rings; r++) {
                double f = t.resist[(Tally.FORWARD * depths + d) * t.radii + r];
                double b = t.resist[(Tally.RETURNING * depths + d) * t.radii + r];
                set(batch, Quantity.FORWARD_KEV, f);
                set(batch, Quantity.RETURNING_KEV, b);
                set(batch, Quantity.RESIST_KEV, f + b);
                set(batch, Quantity.FAR_KEV, (f + b) * shareBeyondFar(r));
                batch[QUANTITIES + d] += f + b;
                if (r == rings) {
                    set(batch, Quantity.BEYOND_KEV, f + b);
                }
            }
        }
        for (int r = 0; r < rings; r++) {
            double f = 0;
            double b = 0;
            for (int d = 0; d < depths; d++) {
                double fd = t.resist[(Tally.FORWARD * depths + d) * t.radii + r];
                double bd = t.resist[(Tally.RETURNING * depths + d) * t.radii + r];
                byDepth.add(d * rings + r, fd + bd);
                f += fd;
                b += bd;
            }
            forward.add(r, f);
            returning.add(r, b);
            both.add(r, f + b);
            groups[group][r] += f + b;
        }
        set(batch, Quantity.BACKSCATTERED, t.backscattered);
        set(batch, Quantity.TRANSMITTED, t.transmitted);
        set(batch, Quantity.FAST_SECONDARIES_UP, t.backscatteredSecondaries);
        set(batch, Quantity.BACKSCATTERED_PRIMARY_KEV, t.backscatteredPrimaryKev);
        set(batch, Quantity.TRANSMITTED_PRIMARY_KEV, t.transmittedPrimaryKev);
        set(batch, Quantity.UP_SECONDARY_KEV, t.backscatteredKev - t.backscatteredPrimaryKev);
        set(batch, Quantity.DOWN_SECONDARY_KEV, t.transmittedKev - t.transmittedPrimaryKev);
        set(batch, Quantity.REST_KEV, t.restKev);
        System.arraycopy(t.layerKev, 0, batch, QUANTITIES + depths, layers);
        int at = QUANTITIES + depths + layers;
        for (long count : t.spectrum) {
            batch[at++] = count;
        }
        for (long count : t.angles) {
            batch[at++] = count;
        }
        batches.add(batch);
        counts.add(t.electrons);
        groupElectrons[group] += t.electrons;
        electrons += t.electrons;
        elastic += t.elasticCollisions;
        hard += t.hardCollisions;
    }

    /** Share of ring {@code r} that lies beyond the far radius, even in its area. */
    private double shareBeyondFar(int r) {
        if (r == rings || edgesUm[r] >= farRadiusUm) {
            return 1;
        }
        double inner = edgesUm[r] * edgesUm[r];
        double outer = edgesUm[r + 1] * edgesUm[r + 1];
        return Math.max(0, (outer - farRadiusUm * farRadiusUm) / (outer - inner));
    }

    private static void set(double[] batch, Quantity quantity, double value) {
        batch[quantity.ordinal()] += value;
    }

    long electrons() {
        return electrons;
    }

    int batches() {
        return batches.size();
    }

    long elasticCollisions() {
        return elastic;
    }

    long hardCollisions() {
        return hard;
    }

    Estimate perElectron(Quantity quantity) {
        return perElectron(quantity.ordinal());
    }

    Estimate slice(int d) {
        return perElectron(QUANTITIES + d);
    }

    Estimate layer(int i) {
        return perElectron(QUANTITIES + depths + i);
    }

    /** Share of the energy in the resist that lies beyond the far radius. */
    Estimate farShare() {
        return ratio(Quantity.FAR_KEV, Quantity.RESIST_KEV);
    }

    /** Electrons that leave through the surface. */
    LeavingElectrons leavingUp(double beamKev) {
        int at = QUANTITIES + depths + layers;
        int angles = at + 2 * Tally.SPECTRUM_BINS;
        return new LeavingElectrons(
                beamKev,
                bins(at, Tally.SPECTRUM_BINS),
                bins(at + Tally.SPECTRUM_BINS, Tally.SPECTRUM_BINS),
                bins(angles, Tally.ANGLE_BINS),
                bins(angles + Tally.ANGLE_BINS, Tally.ANGLE_BINS));
    }

    private List<Estimate> bins(int from, int count) {
        return IntStream.range(from, from + count).mapToObj(this::perElectron).toList();
    }

    private Estimate perElectron(int index) {
        double[] count = counts.stream().mapToDouble(n -> n).toArray();
        return Estimate.ofRatio(column(index), count);
    }

    Estimate ratio(Quantity upper, Quantity lower) {
        return Estimate.ofRatio(column(upper.ordinal()), column(lower.ordinal()));
    }

    private double[] column(int index) {
        return batches.stream().mapToDouble(b -> b[index]).toArray();
    }

    RadialProfile profile() {
        double[][] without = new double[groups.length][rings];
        for (int g = 0; g < groups.length; g++) {
            for (int r = 0; r < rings; r++) {
                without[g][r] = Math.max(0, both.sum[r] - groups[g][r]) / (electrons - groupElectrons[g]);
            }
        }
        return profile(both, 0, without);
    }

    RadialProfile forward() {
        return profile(forward, 0, new double[0][]);
    }

    RadialProfile returning() {
        return profile(returning, 0, new double[0][]);
    }

    RadialProfile profileOfSlice(int d) {
        return profile(byDepth, d * rings, new double[0][]);
    }

    private RadialProfile profile(Spread spread, int from, double[][] replicates) {
        double[] energy = new double[rings];
        double[] error = new double[rings];
        for (int r = 0; r < rings; r++) {
            energy[r] = spread.sum[from + r] / electrons;
            error[r] = spread.error(from + r, batches.size()) / electrons;
        }
        return RadialProfile.of(edgesUm, energy, error, replicates);
    }
}
