package evendose.energy;

import evendose.parallel.Workers;

/**
 * Absorbed energy at any point for one set of doses, at the engine's speed: near terms in closed form, far terms from their
 * blurred grids. Error below 1e-4 of the clearing energy 1/2 for factors near 1 (held by {@code EnergyModelTest}).
 *
 * <p>Safe for use by many threads at once.
 */
public final class EnergyField {
    private static final int POINTS_PER_PART = 4096;

    private final ExactEnergy near;
    private final FarGrid[] grids;
    private final double[] weights;
    private final double[][] values;

    EnergyField(ExactEnergy near, FarGrid[] grids, double[] weights, double[][] values) {
        this.near = near;
        this.grids = grids;
        this.weights = weights;
        this.values = values;
    }

    /** Energy at a point (um). */
    public double at(double xUm, double yUm) {
        return near.at(xUm, yUm) + farAt(xUm, yUm, new double[4], new double[4]);
    }

    /** The far terms' share of the energy at a point (um): a smooth background. */
    public double farAt(double xUm, double yUm) {
        return farAt(xUm, yUm, new double[4], new double[4]);
    }

    private double farAt(double xUm, double yUm, double[] wx, double[] wy) {
        double sum = 0;
        for (int f = 0; f < grids.length; f++) {
            sum += weights[f] * grids[f].interpolate(values[f], xUm, yUm, wx, wy);
        }
        return sum;
    }

    /**
     * Energies at many points.
     *
     * @param xUm x of each point, um
     * @param yUm y of each point, um
     * @param workers who computes; the result does not depend on their number
     * @return energy at each point, a new array
     * @throws IllegalArgumentException if the arrays differ in length
     */
    public double[] at(double[] xUm, double[] yUm, Workers workers) {
        double[] energy = near.at(xUm, yUm, workers);
        workers.runRanges(xUm.length, POINTS_PER_PART, (from, to, part) -> {
            double[] wx = new double[4];
            double[] wy = new double[4];
            for (int j = from; j < to; j++) {
                energy[j] += farAt(xUm[j], yUm[j], wx, wy);
            }
        });
        return energy;
    }
}
