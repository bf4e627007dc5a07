package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.psf.PointSpreadFunction;
import org.junit.jupiter.api.Test;

class MomentumTest {
    private static final CorrectionOptions OPTIONS =
            CorrectionOptions.of(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6));

    /** What is left of an error of which the plain step leaves the share {@code mu}, after each of some steps. */
    private static double[] left(double mu, int steps) {
        Momentum momentum = Momentum.plain(OPTIONS);
        double[] left = new double[steps + 1];
        double former = 1;
        double x = 1;
        left[0] = 1;
        for (int k = 1; k <= steps; k++) {
            double next = former + momentum.omega() * (momentum.gamma() * (mu - 1) * x + x - former);
            former = x;
            x = next;
            left[k] = Math.abs(x);
            momentum = momentum.next();
        }
        return left;
    }

    /** eta = 0.6: the plain step leaves up to q = 1.2 / 2.2; Chebyshev's numbers leave 1 / T_n((2 - q) / q) of what the first leaves. */
    @Test
    void stepsLeaveWhatChebyshevPromises() {
        double q = 1.2 / 2.2;
        double argument = (2 - q) / q;
        for (double mu = 0; mu <= q; mu += q / 64) {
            double[] left = left(mu, 8);
            assertEquals(mu, left[1], 1e-12, "the first step is plain");
            for (int n = 1; n <= 7; n++) {
                double most = mu / Math.cosh(n * Math.log(argument + Math.sqrt(argument * argument - 1)));
                assertTrue(left[1 + n] <= most * (1 + 1e-9), "share " + mu + ", " + n + " steps more: " + left[1 + n]);
            }
        }
        double[] slowest = left(q, 8);
        assertEquals(0.195, slowest[8] / slowest[7], 0.002);
    }

    /** Where more is scattered back than the numbers are made for, steps still lead on. */
    @Test
    void beyondTheirRangeStepsStillConverge() {
        for (double mu : new double[] {0.6, 0.8, 0.95}) {
            double[] left = left(mu, 60);
            assertTrue(left[60] < Math.pow(mu, 60), "share " + mu);
        }
    }
}
