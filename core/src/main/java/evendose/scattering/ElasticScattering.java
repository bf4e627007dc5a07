package evendose.scattering;

import evendose.units.PhysicalConstants;

/**
 * Elastic scattering by atoms: the empirical form of the Mott cross-section of R. Browning et al., J. Appl. Phys. 76, 2016
 * (1994) (coefficients from memory), with a relativistic factor.
 *
 * <pre>sigma = 3.0e-18 Z^1.7 / (E + 0.005 Z^1.7 sqrt(E) + 0.0007 Z^2 / sqrt(E)) * 4 ((E + mc^2)/(E + 2 mc^2))^2  cm^2, E in keV</pre>
 *
 * <p>The angle follows the screened Rutherford form 1/(sin^2(theta/2) + a)^2 with a = 7.0e-3/E, or is isotropic, in the ratio
 * 300 E^(1 - Z/2000)/Z + Z^3/(3e5 E). As a does not depend on the element, a compound needs one mixture only. The factor is the
 * one by which (p v)^-2 differs from its non-relativistic value.
 *
 * <p>Accuracy: the transport cross-section lies within 10 % of partial-wave values in Moliere's potential from C to Au and
 * from 10 to 100 keV (ElasticScatteringReferenceTest); these themselves are some per cent above those in better potentials.
 */
final class ElasticScattering {
    private ElasticScattering() {}

    /**
     * {@return total cross-section, cm^2}
     *
     * @param atomicNumber Z
     * @param energyKev kinetic energy, keV
     */
    public static double totalCm2(int atomicNumber, double energyKev) {
        double z17 = Math.pow(atomicNumber, 1.7);
        double root = Math.sqrt(energyKev);
        double mc2 = PhysicalConstants.ELECTRON_REST_KEV;
        double relativistic = 2 * (energyKev + mc2) / (energyKev + 2 * mc2);
        return 3.0e-18
                * z17
                / (energyKev + 0.005 * z17 * root + 0.0007 * atomicNumber * atomicNumber / root)
                * relativistic
                * relativistic;
    }

    /**
     * {@return screening parameter a of the Rutherford part}
     *
     * @param energyKev kinetic energy of the electron, keV
     */
    public static double screening(double energyKev) {
        return 7.0e-3 / energyKev;
    }

    /**
     * {@return share of the collisions that scatter isotropically}
     *
     * @param atomicNumber Z
     * @param energyKev kinetic energy of the electron, keV
     */
    public static double isotropicShare(int atomicNumber, double energyKev) {
        double z = atomicNumber;
        double ratio = 300 * Math.pow(energyKev, 1 - z / 2000) / z + z * z * z / (3e5 * energyKev);
        return 1 / (1 + ratio);
    }

    /**
     * {@return mean of 1 - cos(theta) of the Rutherford form: {@code 2a(1+a)[ln((1+a)/a) - 1/(1+a)]}}
     *
     * @param a screening parameter
     */
    public static double meanOneMinusCosine(double a) {
        return 2 * a * (1 + a) * (Math.log((1 + a) / a) - 1 / (1 + a));
    }

    /**
     * {@return transport (first momentum-transfer) cross-section: the integral of 1 - cos(theta), cm^2}
     *
     * @param atomicNumber Z
     * @param energyKev kinetic energy of the electron, keV
     */
    public static double transportCm2(int atomicNumber, double energyKev) {
        double isotropic = isotropicShare(atomicNumber, energyKev);
        return totalCm2(atomicNumber, energyKev)
                * (isotropic + (1 - isotropic) * meanOneMinusCosine(screening(energyKev)));
    }

    /**
     * {@return collisions per path length in a material, 1/um}
     *
     * @param material the material
     * @param energyKev kinetic energy of the electron, keV
     */
    public static double perUm(Material material, double energyKev) {
        double sum = 0;
        for (Material.Component c : material.components()) {
            sum += atomsPerCm3(material, c) * totalCm2(c.element().atomicNumber(), energyKev);
        }
        return sum * 1e-4;
    }

    /**
     * {@return share of isotropic collisions in a material}
     *
     * @param material the material
     * @param energyKev kinetic energy of the electron, keV
     */
    public static double isotropicShare(Material material, double energyKev) {
        double all = 0;
        double isotropic = 0;
        for (Material.Component c : material.components()) {
            int z = c.element().atomicNumber();
            double rate = atomsPerCm3(material, c) * totalCm2(z, energyKev);
            all += rate;
            isotropic += rate * isotropicShare(z, energyKev);
        }
        return isotropic / all;
    }

    private static double atomsPerCm3(Material material, Material.Component c) {
        return material.densityGPerCm3()
                * PhysicalConstants.AVOGADRO_PER_MOL
                * c.massFraction()
                / c.element().atomicWeight();
    }
}
