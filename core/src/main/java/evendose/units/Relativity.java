package evendose.units;

/** Kinematics of an electron. */
public final class Relativity {
    private Relativity() {}

    /**
     * {@return square of the speed in units of that of light: {@code b^2 = tau (tau + 2) / (tau + 1)^2}, {@code tau} the kinetic over
     * the rest energy}
     *
     * @param energyKev kinetic energy, keV, at least 0
     */
    public static double betaSquared(double energyKev) {
        double tau = energyKev / PhysicalConstants.ELECTRON_REST_KEV;
        return tau * (tau + 2) / ((tau + 1) * (tau + 1));
    }
}
