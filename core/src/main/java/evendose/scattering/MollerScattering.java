package evendose.scattering;

import evendose.units.PhysicalConstants;
import evendose.units.Relativity;

/**
 * Hard collisions with electrons taken as free and at rest, which make fast secondaries: the Moller cross-section, as used for
 * resist exposure by K. Murata, D. F. Kyser, C. H. Ting, J. Appl. Phys. 52, 4396 (1981) (from memory). Per electron, x = W/E the
 * share of the energy handed over, from x_c = W_c/E to 1/2:
 *
 * <pre>dsigma/dx = 2 pi r_e^2 mc^2/(b^2 E) [1/x^2 + 1/(1-x)^2 + (tau/(tau+1))^2 - (2 tau+1)/((tau+1)^2 x (1-x))]</pre>
 *
 * <p>What these collisions carry off is taken out of the continuous loss, so that the total stays that of
 * {@link StoppingPower}. Integrals are in closed form.
 */
final class MollerScattering {
    private MollerScattering() {}

    /**
     * {@return cross-section per electron for handing over more than the cut-off, cm^2; 0 if that is impossible}
     *
     * @param energyKev kinetic energy, keV
     * @param cutoffKev smallest energy of a fast secondary, keV
     */
    public static double totalCm2(double energyKev, double cutoffKev) {
        double xc = cutoffKev / energyKev;
        return xc >= 0.5
                ? 0
                : prefactorCm2(energyKev) * (antiderivative(energyKev, 0.5) - antiderivative(energyKev, xc));
    }

    /**
     * {@return mean energy handed over in these collisions times their cross-section, keV cm^2 per electron}
     *
     * @param energyKev kinetic energy of the electron, keV
     * @param cutoffKev least energy handed over, keV
     */
    public static double lossKevCm2(double energyKev, double cutoffKev) {
        double xc = cutoffKev / energyKev;
        return xc >= 0.5
                ? 0
                : prefactorCm2(energyKev)
                        * energyKev
                        * (lossAntiderivative(energyKev, 0.5) - lossAntiderivative(energyKev, xc));
    }

    private static double prefactorCm2(double energyKev) {
        double re = PhysicalConstants.ELECTRON_RADIUS_CM;
        return 2
                * Math.PI
                * re
                * re
                * PhysicalConstants.ELECTRON_REST_KEV
                / (Relativity.betaSquared(energyKev) * energyKev);
    }

    private static double antiderivative(double energyKev, double x) {
        return -1 / x + 1 / (1 - x) + spin(energyKev) * x - exchange(energyKev) * Math.log(x / (1 - x));
    }

    private static double lossAntiderivative(double energyKev, double x) {
        return Math.log(x)
                + 1 / (1 - x)
                + Math.log1p(-x)
                + spin(energyKev) * x * x / 2
                + exchange(energyKev) * Math.log1p(-x);
    }

    /** The factor (tau/(tau+1))^2. */
    static double spin(double energyKev) {
        double share = energyKev / (energyKev + PhysicalConstants.ELECTRON_REST_KEV);
        return share * share;
    }

    /** The factor (2 tau+1)/(tau+1)^2. */
    static double exchange(double energyKev) {
        double tau = energyKev / PhysicalConstants.ELECTRON_REST_KEV;
        return (2 * tau + 1) / ((tau + 1) * (tau + 1));
    }

    /** Square of the sine of the angle by which the faster electron is deflected: {@code 2x/(2 + tau - tau x)}. */
    static double primarySineSquared(double energyKev, double x) {
        double tau = energyKev / PhysicalConstants.ELECTRON_REST_KEV;
        return 2 * x / (2 + tau - tau * x);
    }

    /** Square of the sine of the angle at which the slower electron leaves: {@code 2(1-x)/(2 + tau x)}. */
    static double secondarySineSquared(double energyKev, double x) {
        double tau = energyKev / PhysicalConstants.ELECTRON_REST_KEV;
        return 2 * (1 - x) / (2 + tau * x);
    }

    /** Electrons per volume, 1/cm^3. */
    static double electronsPerCm3(Material material) {
        return material.densityGPerCm3() * PhysicalConstants.AVOGADRO_PER_MOL * material.meanZOverA();
    }
}
