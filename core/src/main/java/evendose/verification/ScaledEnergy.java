package evendose.verification;

import evendose.parallel.Workers;

/** An energy times a factor, as if all doses were. */
record ScaledEnergy(PointEnergy energy, double factor) implements PointEnergy {
    @Override
    public double at(double xUm, double yUm) {
        return factor * energy.at(xUm, yUm);
    }

    @Override
    public PointEnergy onLine(double xUm, double yUm, double ux, double uy, double fromUm, double toUm) {
        return new ScaledEnergy(energy.onLine(xUm, yUm, ux, uy, fromUm, toUm), factor);
    }

    @Override
    public PointEnergy inBox(double x0Um, double y0Um, double x1Um, double y1Um, int points) {
        return new ScaledEnergy(energy.inBox(x0Um, y0Um, x1Um, y1Um, points), factor);
    }

    @Override
    public PointEnergy about(double[] xUm, double[] yUm, int each, Workers workers) {
        return new ScaledEnergy(energy.about(xUm, yUm, each, workers), factor);
    }
}
