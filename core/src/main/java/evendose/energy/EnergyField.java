package evendose.energy;

import evendose.parallel.Workers;
import evendose.psf.GaussianTerm;
import java.util.List;

/**
 * Absorbed energy at any point for one set of doses, at the engine's speed: near terms in closed form, far terms from their
 * blurred grids. Error below 1e-4 of the clearing energy 1/2 for factors near 1 (held by {@code EnergyModelTest}).
 *
 * <p>Safe for use by many threads at once.
 */
public final class EnergyField {
    private static final int POINTS_PER_PART = 4096;
    private static final int ROWS_PER_PART = 32;

    private final ExactEnergy near;
    private final List<Smooth> far;

    /**
     * Some far terms.
     *
     * @param grid their grid
     * @param values blurred coverage, spline coefficients, one a node
     * @param factor what they are to be multiplied by
     */
    record Smooth(FarGrid grid, double[] values, double factor) {}

    EnergyField(ExactEnergy near, List<Smooth> far) {
        this.near = near;
        this.far = List.copyOf(far);
    }

    /**
     * {@return energy at a point (um)}
     *
     * @param xUm x of the point, um
     * @param yUm y of the point, um
     */
    public double at(double xUm, double yUm) {
        return near.at(xUm, yUm) + farAt(xUm, yUm, new double[4], new double[4]);
    }

    /** {@return ranges of the near terms, um, rising, a new array} */
    public double[] nearRangesUm() {
        return near.terms().stream().mapToDouble(GaussianTerm::rangeUm).toArray();
    }

    /** {@return sum of the weights of the near terms} */
    public double nearWeight() {
        return near.terms().stream().mapToDouble(GaussianTerm::weight).sum();
    }

    /**
     * {@return what the near terms {@code first} to {@code end - 1} contribute to the energy at a point (um)}
     *
     * @param first number of the first of these terms
     * @param end number after that of the last one
     * @param xUm x of the point, um
     * @param yUm y of the point, um
     */
    public double nearAt(int first, int end, double xUm, double yUm) {
        return near.termsAt(first, end, xUm, yUm);
    }

    /**
     * {@return the far terms' share of the energy at a point (um): a smooth background}
     *
     * @param xUm x of the point, um
     * @param yUm y of the point, um
     */
    public double farAt(double xUm, double yUm) {
        return farAt(xUm, yUm, new double[4], new double[4]);
    }

    private double farAt(double xUm, double yUm, double[] wx, double[] wy) {
        double sum = 0;
        for (Smooth smooth : far) {
            sum += smooth.factor * smooth.grid.interpolate(smooth.values, xUm, yUm, wx, wy);
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

    /**
     * Energies at the centres of pixels, several times faster than point by point; error as above.
     *
     * @param pixels where
     * @param workers who computes; the result does not depend on their number
     * @return one energy a pixel, a new array
     */
    public float[] at(PixelGrid pixels, Workers workers) {
        float[] energy = new float[pixels.columns() * pixels.rows()];
        workers.runRanges(pixels.rows(), ROWS_PER_PART, (from, to, part) -> {
            double[] sum = new double[(to - from) * pixels.columns()];
            RasterKernel kernel = near.raster(pixels);
            for (GaussianTerm term : near.terms()) {
                kernel.add(term, from, to, sum);
            }
            for (Smooth smooth : far) {
                smooth.grid.addTo(pixels, from, to, smooth.values, smooth.factor, sum);
            }
            for (int k = 0; k < sum.length; k++) {
                energy[from * pixels.columns() + k] = (float) sum[k];
            }
        });
        return energy;
    }
}
