package evendose.verification;

import evendose.energy.PixelGrid;
import evendose.parallel.Workers;

/** Absorbed energy at any point; may be called from many threads. */
@FunctionalInterface
public interface PointEnergy {
    /**
     * {@return energy at a point (um), relative to a uniformly exposed plane at factor 1}
     *
     * @param xUm x of the point, um
     * @param yUm y of the point, um
     */
    double at(double xUm, double yUm);

    /**
     * {@return the same energy for many points of one line: those at ({@code xUm + t ux}, {@code yUm + t uy})} What this one can
     * compute once for the whole line, the other one has ready.
     *
     * @param xUm x of the point that lengths are taken from, um
     * @param yUm y of this point, um
     * @param ux x of the unit direction
     * @param uy y of it
     * @param fromUm smallest {@code t} asked for, um
     * @param toUm largest {@code t} asked for, um
     */
    default PointEnergy onLine(double xUm, double yUm, double ux, double uy, double fromUm, double toUm) {
        return this;
    }

    /**
     * {@return the same energy for many points of a box} As {@link #onLine}.
     *
     * @param x0Um left of the box, um
     * @param y0Um bottom, um
     * @param x1Um right, um
     * @param y1Um top, um
     * @param points about how many points will be asked for
     */
    default PointEnergy inBox(double x0Um, double y0Um, double x1Um, double y1Um, int points) {
        return this;
    }

    /**
     * {@return the same energy for many points at or near given places} As {@link #onLine}; a line or a box may be asked of it in turn.
     *
     * @param xUm x of each place, um
     * @param yUm y of each place, um
     * @param each about how many points will be asked for at each place
     * @param workers threads to compute on
     */
    default PointEnergy about(double[] xUm, double[] yUm, int each, Workers workers) {
        return this;
    }

    /**
     * The energies at the centres of pixels.
     *
     * @param pixels the pixels
     * @param workers threads to compute on
     * @return one energy a pixel, a new array
     */
    default float[] at(PixelGrid pixels, Workers workers) {
        float[] energy = new float[pixels.columns() * pixels.rows()];
        workers.run(pixels.rows(), r -> {
            for (int c = 0; c < pixels.columns(); c++) {
                energy[r * pixels.columns() + c] = (float) at(pixels.xUm(c), pixels.yUm(r));
            }
        });
        return energy;
    }
}
