package evendose.scattering;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.units.PhysicalConstants;
import org.apache.commons.rng.simple.RandomSource;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Hard collisions: closed integrals, kinematics and sampling. */
class MollerScatteringTest {
    private static final double MC2 = PhysicalConstants.ELECTRON_REST_KEV;

    /** The bracket of the Moller cross-section as published, written again from the formula. */
    private static double bracket(double energyKev, double x) {
        double tau = energyKev / MC2;
        double t1 = tau + 1;
        return 1 / (x * x) + 1 / ((1 - x) * (1 - x)) + tau * tau / (t1 * t1) - (2 * tau + 1) / (t1 * t1 * x * (1 - x));
    }

    @ParameterizedTest
    @ValueSource(doubles = {0.5, 5, 30, 100, 200})
    void closedIntegralsAgainstQuadrature(double energyKev) {
        double cutoff = 0.2;
        double xc = cutoff / energyKev;
        int n = 200_000;
        double h = Math.log(0.5 / xc) / n;
        double number = 0;
        double loss = 0;
        for (int i = 0; i < n; i++) {
            double x = xc * Math.exp((i + 0.5) * h);
            number += bracket(energyKev, x) * x * h;
            loss += bracket(energyKev, x) * x * x * h;
        }
        double re = PhysicalConstants.ELECTRON_RADIUS_CM;
        double tau = energyKev / MC2;
        double b2 = 1 - 1 / ((1 + tau) * (1 + tau));
        double prefactor = 2 * Math.PI * re * re * MC2 / (b2 * energyKev);
        assertEquals(1, MollerScattering.totalCm2(energyKev, cutoff) / (prefactor * number), 1e-7);
        assertEquals(1, MollerScattering.lossKevCm2(energyKev, cutoff) / (prefactor * energyKev * loss), 1e-7);
    }

    /** Both electrons together carry the momentum of the first, along and across its way. */
    @ParameterizedTest
    @ValueSource(doubles = {1, 30, 100, 200})
    void anglesConserveMomentum(double energyKev) {
        for (double x : new double[] {0.002, 0.1, 0.3, 0.5}) {
            double before = momentum(energyKev);
            double fast = momentum(energyKev * (1 - x));
            double slow = momentum(energyKev * x);
            double s1 = MollerScattering.primarySineSquared(energyKev, x);
            double s2 = MollerScattering.secondarySineSquared(energyKev, x);
            assertEquals(before, fast * Math.sqrt(1 - s1) + slow * Math.sqrt(1 - s2), 1e-10 * before);
            assertEquals(fast * Math.sqrt(s1), slow * Math.sqrt(s2), 1e-10 * before);
        }
    }

    private static double momentum(double energyKev) {
        return Math.sqrt(energyKev * (energyKev + 2 * MC2));
    }

    /** Mean energy drawn is the ratio of the closed integrals: 4 standard errors, false failure 6e-5 a case (fixed seed). */
    @ParameterizedTest
    @ValueSource(doubles = {0.6, 20, 100, 200})
    void samplingHasTheRightMean(double energyKev) {
        ScatteringSettings settings =
                ScatteringSettings.of(Math.max(5, energyKev)).withFastSecondaries(true);
        TransportKernel kernel = ScatteringSimulation.of(LayerStack.bulk(Materials.of("Si")), settings)
                .kernel(null);
        var rng = RandomSource.XO_SHI_RO_256_PP.create(7);
        int n = 200_000;
        double sum = 0;
        double squares = 0;
        for (int i = 0; i < n; i++) {
            double w = kernel.mollerShare(rng, energyKev) * energyKev;
            assertTrue(w >= 0.2 * (1 - 1e-12) && w <= energyKev / 2 * (1 + 1e-12));
            sum += w;
            squares += w * w;
        }
        double mean = sum / n;
        double error = Math.sqrt((squares / n - mean * mean) / n);
        double expected = MollerScattering.lossKevCm2(energyKev, 0.2) / MollerScattering.totalCm2(energyKev, 0.2);
        assertEquals(expected, mean, 4 * error);
    }
}
