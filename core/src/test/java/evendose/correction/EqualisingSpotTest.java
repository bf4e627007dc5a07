package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.psf.RadialTable;
import evendose.psf.TableTerm;
import java.util.List;
import java.util.Optional;
import org.apache.commons.math3.special.Erf;
import org.junit.jupiter.api.Test;

class EqualisingSpotTest {
    private static final PointSpreadFunction DOUBLE = PointSpreadFunction.doubleGaussian(0.01, 10, 0.6);
    private static final PointSpreadFunction TRIPLE = PointSpreadFunction.from(
            List.of(new GaussianTerm(0.55, 0.02), new GaussianTerm(0.1, 3), new GaussianTerm(0.35, 9.5)));

    /** Largest background at the edge of a lone line less that at the edge of a half plane, line by line, with another error function. */
    private static double unevenness(PointSpreadFunction psf, double d) {
        double q =
                psf.terms().stream().skip(1).mapToDouble(GaussianTerm::weight).sum();
        double worst = 0;
        for (double w = 0.05; w < 80; w += 0.05) {
            double off = 0;
            for (GaussianTerm t : psf.terms()) {
                double s = t.rangeUm();
                off += (s < 0.1 ? 0 : t.weight() * Erf.erf(w / s) / 2)
                        - q * t.weight() * Erf.erf(w / Math.sqrt(s * s + d * d)) / 2;
            }
            worst = Math.max(worst, Math.abs(off));
        }
        return worst;
    }

    @Test
    void aDoubleGaussianGetsThePublishedSpotAndDose() {
        EqualisingSpot spot = EqualisingSpot.of(DOUBLE);
        assertEquals(EqualisingSpot.Origin.PUBLISHED, spot.origin());
        assertEquals(10 * 0.889139705, spot.rangeUm(), 1e-7);
        assertEquals(0.375, spot.dose(), 1e-12);
        // Full width at half maximum: the density has fallen to a half at half of it.
        assertEquals(0.5, Math.exp(-Math.pow(spot.fwhmUm() / 2 / spot.rangeUm(), 2)), 1e-12);
        assertEquals(unevenness(DOUBLE, spot.rangeUm()), spot.unevenness(), 2e-6);
        // Large pads are exposed as the edge criterion corrects them: (1 + eta) / (1 + 2 eta).
        assertEquals(1.6 / 2.2, spot.patternFactor(0.5), 1e-12);
    }

    @Test
    void moreTermsGetTheSpotThatLeavesLeast() {
        EqualisingSpot spot = EqualisingSpot.of(TRIPLE);
        assertEquals(EqualisingSpot.Origin.FITTED, spot.origin());
        assertEquals(0.45, spot.dose(), 1e-12);
        double best = unevenness(TRIPLE, spot.rangeUm());
        assertEquals(best, spot.unevenness(), 1e-5);
        for (double d = 0.5; d < 20; d += 0.05) {
            assertTrue(unevenness(TRIPLE, d) > best - 1e-5, "range " + d);
        }
        assertTrue(best < 0.5 * unevenness(TRIPLE, EqualisingSpot.publishedUm(TRIPLE)), "better than for two terms");
    }

    /** Of a double Gaussian the fitted spot must come near the published one, and be flatter. */
    @Test
    void theFitAgreesWithTheFormula() {
        for (double eta : new double[] {0.3, 0.6, 1, 1.5}) {
            PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.01, 10, eta);
            double published = EqualisingSpot.publishedUm(psf);
            double fitted = EqualisingSpot.fittedUm(psf);
            assertTrue(fitted < published && fitted > 0.87 * published, eta + ": " + fitted + " um");
            double ratio = unevenness(psf, fitted) / unevenness(psf, published);
            assertEquals(0.52, ratio, 0.03, "eta " + eta);
        }
    }

    @Test
    void aGivenSpotKeepsItsRange() {
        EqualisingSpot spot = EqualisingSpot.of(DOUBLE, 3);
        assertEquals(EqualisingSpot.Origin.GIVEN, spot.origin());
        assertEquals(3, spot.rangeUm());
        assertEquals(unevenness(DOUBLE, 3), spot.unevenness(), 2e-6);
    }

    @Test
    void rangesAddInSquares() {
        PointSpreadFunction blurred =
                EqualisingSpot.of(DOUBLE, 3).blurred(PointSpreadFunction.doubleGaussian(4, 10, 0.6));
        assertEquals(5, blurred.terms().get(0).rangeUm(), 1e-12);
        assertEquals(Math.sqrt(109), blurred.terms().get(1).rangeUm(), 1e-12);
        assertEquals(0.375, blurred.terms().get(1).weight(), 1e-12);
    }

    @Test
    void whatCannotBeEqualisedIsRefused() {
        PointSpreadFunction single = PointSpreadFunction.doubleGaussian(0.01, 10, 0);
        assertTrue(assertThrows(IllegalArgumentException.class, () -> EqualisingSpot.of(single))
                .getMessage()
                .contains("without backscattering"));
        PointSpreadFunction table = PointSpreadFunction.from(
                List.of(new GaussianTerm(0.6, 0.01)),
                Optional.of(new TableTerm(
                        0.4, RadialTable.of(new double[] {1, 2, 5, 10, 20}, new double[] {5, 4, 3, 2, 1}))));
        assertTrue(assertThrows(IllegalArgumentException.class, () -> EqualisingSpot.of(table))
                .getMessage()
                .contains("sum of Gaussians"));
        assertThrows(IllegalArgumentException.class, () -> EqualisingSpot.of(DOUBLE, 0));
    }
}
