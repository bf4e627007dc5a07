package evendose.verification;

import evendose.energy.EnergyField;
import evendose.energy.PixelGrid;
import evendose.parallel.Workers;

/** The energy of a field of the engine. */
record FieldEnergy(EnergyField field) implements PointEnergy {
    @Override
    public double at(double xUm, double yUm) {
        return field.at(xUm, yUm);
    }

    @Override
    public PointEnergy onLine(double xUm, double yUm, double ux, double uy, double fromUm, double toUm) {
        PointEnergy near =
                new ClosedFormEnergy(field.nearRangesUm(), field::nearAt).onLine(xUm, yUm, ux, uy, fromUm, toUm);
        return (x, y) -> near.at(x, y) + field.farAt(x, y);
    }

    @Override
    public float[] at(PixelGrid pixels, Workers workers) {
        return field.at(pixels, workers);
    }
}
