package evendose.psf;

/**
 * Energy by distance from a point exposure, in rings: ring i lies between {@code edgeUm(i)} and {@code edgeUm(i + 1)}, the
 * first edge is 0. Energies are in any unit; fits look at their shares only.
 *
 * <p>Replicates are profiles that each leave out one of g equal parts of the data; fitted numbers get their statistical
 * errors from them (delete-a-group jackknife). Densities measured at points are a {@link MeasuredProfile}.
 */
public final class RadialProfile {
    private final double[] edgesUm;
    private final double[] energy;
    private final double[] standardError;
    private final double[][] replicates;

    private RadialProfile(double[] edgesUm, double[] energy, double[] standardError, double[][] replicates) {
        this.edgesUm = edgesUm;
        this.energy = energy;
        this.standardError = standardError;
        this.replicates = replicates;
    }

    /**
     * {@return a profile of rings; arrays are copied}
     *
     * @param edgesUm n + 1 rising radii from 0, um
     * @param energy energy in each of the n rings, at least 0
     * @param standardError its standard error, at least 0
     * @param replicates g profiles of n energies each, or none
     * @throws IllegalArgumentException if lengths do not fit or a value is out of range
     */
    public static RadialProfile of(double[] edgesUm, double[] energy, double[] standardError, double[][] replicates) {
        int n = energy.length;
        if (n == 0 || edgesUm.length != n + 1 || standardError.length != n) {
            throw new IllegalArgumentException("a profile needs n energies, n errors and n + 1 edges, got " + n + ", "
                    + standardError.length + " and " + edgesUm.length);
        }
        if (edgesUm[0] != 0) {
            throw new IllegalArgumentException("the first edge must be 0, got " + edgesUm[0] + " um");
        }
        double sum = 0;
        for (int i = 0; i < n; i++) {
            if (!(edgesUm[i + 1] > edgesUm[i])) {
                throw new IllegalArgumentException("edges must rise, got " + edgesUm[i] + ", " + edgesUm[i + 1]);
            }
            if (!(energy[i] >= 0) || !(standardError[i] >= 0)) {
                throw new IllegalArgumentException("energies and errors must be at least 0");
            }
            sum += energy[i];
        }
        if (Double.isInfinite(sum)) {
            throw new IllegalArgumentException("the energy of a profile must be finite");
        }
        double[][] copies = new double[replicates.length][];
        for (int g = 0; g < copies.length; g++) {
            if (replicates[g].length != n) {
                throw new IllegalArgumentException(
                        "replicate " + g + " has " + replicates[g].length + " rings, not " + n);
            }
            copies[g] = replicates[g].clone();
        }
        return new RadialProfile(edgesUm.clone(), energy.clone(), standardError.clone(), copies);
    }

    /** {@return number of rings} */
    public int size() {
        return energy.length;
    }

    /**
     * {@return inner radius of ring {@code i}, um; {@code i} may equal {@link #size()}}
     *
     * @param i number of the ring, from 0
     */
    public double edgeUm(int i) {
        return edgesUm[i];
    }

    /**
     * {@return a radius to plot ring {@code i} at: the geometric mean of its edges, two thirds of the radius for the disc}
     *
     * @param i number of the ring, from 0
     */
    public double radiusUm(int i) {
        return i == 0 ? edgesUm[1] * 2 / 3 : Math.sqrt(edgesUm[i] * edgesUm[i + 1]);
    }

    /**
     * {@return area of ring {@code i}, um^2}
     *
     * @param i number of the ring, from 0
     */
    public double areaUm2(int i) {
        return Math.PI * (edgesUm[i + 1] - edgesUm[i]) * (edgesUm[i + 1] + edgesUm[i]);
    }

    /**
     * {@return energy in ring {@code i}}
     *
     * @param i number of the ring, from 0
     */
    public double energy(int i) {
        return energy[i];
    }

    /**
     * {@return standard error of the energy in ring {@code i}}
     *
     * @param i number of the ring, from 0
     */
    public double standardError(int i) {
        return standardError[i];
    }

    /**
     * Variance of the energy in ring {@code i} over that energy, smoothed over three rings to either side. Fits take their
     * weights from it: a ring's own error rises and falls with its energy by chance, and weights that follow it pull a fit
     * below the data.
     */
    double variancePerEnergy(int i) {
        double variance = 0;
        double sum = 0;
        for (int j = Math.max(0, i - 3); j <= Math.min(energy.length - 1, i + 3); j++) {
            variance += standardError[j] * standardError[j];
            sum += energy[j];
        }
        return sum > 0 ? variance / sum : 0;
    }

    /** {@return energy in all rings} */
    public double total() {
        double sum = 0;
        for (double e : energy) {
            sum += e;
        }
        return sum;
    }

    /**
     * {@return radius that holds the given share (0 to 1) of the energy, um, linear in the area within a ring}
     *
     * @param share share of the energy, 0 to 1
     */
    public double radiusHoldingUm(double share) {
        double wanted = share * total();
        double sum = 0;
        for (int i = 0; i < energy.length; i++) {
            if (sum + energy[i] >= wanted && energy[i] > 0) {
                double r2 = edgesUm[i] * edgesUm[i];
                return Math.sqrt(r2 + (wanted - sum) / energy[i] * (edgesUm[i + 1] * edgesUm[i + 1] - r2));
            }
            sum += energy[i];
        }
        return edgesUm[energy.length];
    }

    /** Number of replicates. */
    int replicates() {
        return replicates.length;
    }

    /** The profile that leaves out part {@code g}, with the errors of the whole. */
    RadialProfile replicate(int g) {
        return new RadialProfile(edgesUm, replicates[g], standardError, new double[0][]);
    }
}
