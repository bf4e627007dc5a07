package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import org.apache.commons.math3.special.Erf;
import org.junit.jupiter.api.Test;

/** Seams of half planes: sums of error functions, worked out here on their own. */
class BeamSeamTest {
    private static PointSpreadFunction beam(double alpha) {
        return PointSpreadFunction.doubleGaussian(alpha, 20, 0.6);
    }

    private static double step(double x, double range) {
        return 0.5 * (1 + Erf.erf(x / range));
    }

    @Test
    void twoHalfPlanesThatAbutAreOffByTheDifferenceOfTheirBlurs() {
        // The slopes of both steps are equal where x^2 (1/a^2 - 1/b^2) = ln(b / a).
        double a = 0.02;
        double b = 0.0204;
        BeamSeam seam = BeamSeam.of(beam(a), beam(b), 0.3, 0.01, 0.001);
        assertEquals(0, seam.steps());
        assertEquals(0, seam.overlapUm());
        double x = Math.sqrt(Math.log(b / a) / (1 / (a * a) - 1 / (b * b)));
        assertEquals(step(x, a) - step(x, b), seam.deviation(), 1e-4);
    }

    @Test
    void stepsFillWhatAWiderBeamLacks() {
        double a = 0.012;
        double b = 0.06;
        // One edge alone is off by far more than a seam may be.
        double x = Math.sqrt(Math.log(b / a) / (1 / (a * a) - 1 / (b * b)));
        assertTrue(step(x, a) - step(x, b) > 0.3);
        BeamSeam seam = BeamSeam.of(beam(a), beam(b), 0.5, 0.01, 0.001);
        double[] edges = seam.edgesUm();
        double[] shares = seam.shares();
        assertEquals(edges.length - 1, shares.length);
        double worst = 0;
        for (double t = -0.3; t < 0.3; t += 5e-4) {
            double sum = step(t, b) + 1 - step(t - edges[0], a);
            for (int m = 0; m < shares.length; m++) {
                sum += shares[m] * (step(t - edges[m], a) - step(t - edges[m + 1], a));
            }
            worst = Math.max(worst, Math.abs(sum - 1));
        }
        assertTrue(worst <= BeamSeam.WANTED + 1e-4, "off by " + worst);
        assertEquals(worst, seam.deviation(), 2e-4);
        for (int m = 0; m <= shares.length; m++) {
            assertEquals(Math.rint(edges[m] * 1e3), edges[m] * 1e3, 1e-9);
            assertTrue(m == 0 || edges[m] - edges[m - 1] >= 0.01 - 1e-12);
        }
    }

    @Test
    void stepsKeepToHalfOfTheRim() {
        BeamSeam seam = BeamSeam.of(beam(0.012), beam(0.06), 0.05, 0.01, 0.001);
        assertTrue(seam.edgesUm()[0] >= -0.025);
        // 0.1 % of the plateau: erfc(x / b) / 2 = 1e-3 at x = 2.1851 b.
        assertEquals(2.1851 * 0.06, seam.sensibleRimUm(), 1e-5);
        assertEquals(1e-3, 1 - step(seam.sensibleRimUm(), 0.06), 1e-9);
        assertEquals(1.2, seam.coreUm(), 1e-12);
    }

    @Test
    void aShiftChangesTheEnergyByTheDifferenceOfTwoSteps() {
        PointSpreadFunction psf = beam(0.05);
        assertEquals(Erf.erf(0.02 / 0.1), BeamSeam.ofShift(psf, 0.02), 1e-9);
        double most = 0;
        for (double x = -0.2; x < 0.2; x += 1e-4) {
            most = Math.max(most, step(x + 0.02, 0.05) - step(x, 0.05));
        }
        assertEquals(most, BeamSeam.ofShift(psf, 0.02), 1e-6);
    }

    @Test
    void directTermsCountByTheirWeights() {
        PointSpreadFunction psf = PointSpreadFunction.from(
                List.of(new GaussianTerm(0.3, 0.04), new GaussianTerm(0.2, 0.08), new GaussianTerm(0.5, 30)));
        assertEquals(2, psf.directTerms());
        assertEquals(0.6 * step(0.03, 0.04) + 0.4 * step(0.03, 0.08), BeamSeam.risen(psf, 0.03), 1e-9);
    }

    @Test
    void aRimHasAWidth() {
        assertThrows(IllegalArgumentException.class, () -> BeamSeam.of(beam(0.01), beam(0.05), 0, 0.01, 0.001));
        assertArrayEquals(
                BeamSeam.of(beam(0.01), beam(0.05), 0.4, 0.01, 0.001).shares(),
                BeamSeam.of(beam(0.01), beam(0.05), 0.4, 0.01, 0.001).shares());
    }
}
