package evendose.verification;

import evendose.energy.PixelGrid;
import evendose.parallel.Workers;

/**
 * Energies of two exposures of one resist.
 *
 * @param factor what the first is multiplied by
 * @param first the first
 * @param added what the second adds
 */
record Superposed(double factor, PointEnergy first, PointEnergy added) implements PointEnergy {
    /** Another dose everywhere. */
    static PointEnergy scaled(double factor, PointEnergy energy) {
        return new Superposed(factor, energy, (x, y) -> 0);
    }

    @Override
    public double at(double xUm, double yUm) {
        return factor * first.at(xUm, yUm) + added.at(xUm, yUm);
    }

    @Override
    public float[] at(PixelGrid pixels, Workers workers) {
        float[] energy = first.at(pixels, workers);
        float[] more = added.at(pixels, workers);
        for (int k = 0; k < energy.length; k++) {
            energy[k] = (float) (factor * energy[k] + more[k]);
        }
        return energy;
    }

    @Override
    public PointEnergy onLine(double xUm, double yUm, double ux, double uy, double fromUm, double toUm) {
        return new Superposed(
                factor, first.onLine(xUm, yUm, ux, uy, fromUm, toUm), added.onLine(xUm, yUm, ux, uy, fromUm, toUm));
    }

    @Override
    public PointEnergy inBox(double x0Um, double y0Um, double x1Um, double y1Um, int points) {
        return new Superposed(
                factor, first.inBox(x0Um, y0Um, x1Um, y1Um, points), added.inBox(x0Um, y0Um, x1Um, y1Um, points));
    }

    @Override
    public PointEnergy about(double[] xUm, double[] yUm, int each, Workers workers) {
        return new Superposed(factor, first.about(xUm, yUm, each, workers), added.about(xUm, yUm, each, workers));
    }
}
