package evendose.verification;

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
}
