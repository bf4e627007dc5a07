package evendose.scattering;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Elastic scattering against partial waves. */
class ElasticScatteringReferenceTest {
    /**
     * Transport cross-sections, cm^2, at 10, 30 and 100 keV from a relativistic partial-wave calculation (made once with a
     * reference code, +-3 %). Tolerance 12 % (C, Si) and 15 % (Au).
     */
    @ParameterizedTest
    @CsvSource({
        "6, 6.60e-20, 9.03e-21, 1.06e-21, 0.12",
        "14, 3.01e-19, 4.33e-20, 5.24e-21, 0.12",
        "79, 4.38e-18, 8.76e-19, 1.41e-19, 0.15"
    })
    void transportCrossSection(int z, double at10, double at30, double at100, double tolerance) {
        assertEquals(at10, ElasticScattering.transportCm2(z, 10), tolerance * at10);
        assertEquals(at30, ElasticScattering.transportCm2(z, 30), tolerance * at30);
        assertEquals(at100, ElasticScattering.transportCm2(z, 100), tolerance * at100);
    }

    /**
     * The same for elements between, which stand for substrates such as GaAs: partial waves of the Dirac equation in the potential of G.
     * Moliere, Z. Naturforsch. 2a, 133 (1947) (a sum of three exponentials; constants from memory), computed once with NumPy and SciPy.
     * That calculation gives the values above to 1 % (C), 4 % (Si) and 7 % (Au). Tolerance 12 %; found, ours over theirs, at 10, 30, 100
     * keV: Ti 1.05 .99 .95, Cu 1.08 1.00 .96, Ge 1.08 1.01 .97, Mo 1.09 1.02 .97, Ag 1.09 1.02 .98.
     */
    @ParameterizedTest
    @CsvSource({
        "22, 6.858e-19, 1.038e-19, 1.288e-20",
        "29, 1.077e-18, 1.715e-19, 2.192e-20",
        "32, 1.259e-18, 2.044e-19, 2.649e-20",
        "42, 1.911e-18, 3.283e-19, 4.49e-20",
        "47, 2.258e-18, 3.974e-19, 5.534e-20"
    })
    void transportCrossSectionBetween(int z, double at10, double at30, double at100) {
        assertEquals(at10, ElasticScattering.transportCm2(z, 10), 0.12 * at10);
        assertEquals(at30, ElasticScattering.transportCm2(z, 30), 0.12 * at30);
        assertEquals(at100, ElasticScattering.transportCm2(z, 100), 0.12 * at100);
    }

    /**
     * Free path at 100 keV in Si: 68 nm (derived). That in Au depends on the model of the total cross-section, which transport
     * does not feel: 8 nm was derived elsewhere and 8.9 nm follow from screened Rutherford with a = 3.4e-3 Z^0.67/E (from
     * memory), but 5.2 nm from the empirical Mott form used here. Its transport cross-section agrees, see above.
     */
    @Test
    void freePathAt100Kev() {
        assertEquals(0.068, 1 / ElasticScattering.perUm(Materials.of("Si"), 100), 0.05 * 0.068);
        double a = 3.4e-3 * Math.pow(79, 0.67) / 100;
        double rutherfordCm2 = 5.21e-21 * 0.79 * 0.79 * 4 * Math.PI / (a * (1 + a)) * Math.pow(611.0 / 1122, 2);
        double atomsPerCm3 = 19.32 * 6.02214e23 / 196.97;
        assertEquals(8.9e-7, 1 / (atomsPerCm3 * rutherfordCm2), 0.01 * 8.9e-7);
        assertEquals(0.0052, 1 / ElasticScattering.perUm(Materials.of("Au"), 100), 0.01 * 0.0052);
    }

    /** The closed mean of 1 - cos(theta) against a plain sum over the angular distribution. */
    @Test
    void meanAngleAgainstQuadrature() {
        for (double a : new double[] {7e-5, 7e-4, 7e-3, 0.07}) {
            // With y = (1 - cos)/2 the distribution is 1/(y + a)^2; substitute y = a (e^t - 1).
            double end = Math.log((1 + a) / a);
            int n = 100_000;
            double sum = 0;
            double norm = 0;
            for (int i = 0; i < n; i++) {
                double t = (i + 0.5) * end / n;
                double weight = Math.exp(-t);
                norm += weight;
                sum += weight * 2 * a * Math.expm1(t);
            }
            assertEquals(sum / norm, ElasticScattering.meanOneMinusCosine(a), 1e-7 * sum / norm);
        }
    }
}
