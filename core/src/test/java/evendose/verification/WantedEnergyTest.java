package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.correction.CorrectionOptions;
import evendose.correction.Criterion;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import org.junit.jupiter.api.Test;

class WantedEnergyTest {
    /** Two derivations of one number, for functions of two terms and of several direct ones. */
    @Test
    void agreesWithTheCorrectionsFormula() {
        for (PointSpreadFunction psf : List.of(
                PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6),
                PointSpreadFunction.from(List.of(
                        new GaussianTerm(0.4, 0.01),
                        new GaussianTerm(0.2, 0.02),
                        new GaussianTerm(0.1, 0.6),
                        new GaussianTerm(0.3, 9))))) {
            for (Criterion criterion : Criterion.values()) {
                for (double density : new double[] {0, 0.3, 0.5, 1}) {
                    double theirs = CorrectionOptions.builder(psf)
                            .criterion(criterion)
                            .referenceDensity(density)
                            .build()
                            .target();
                    assertEquals(theirs, WantedEnergy.of(psf, criterion, density), 1e-12);
                }
            }
        }
        // A large area, and its edge, at factor 1 where that is the reference.
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);
        assertEquals(1, WantedEnergy.of(psf, Criterion.MEAN, 1), 1e-12);
        assertEquals(0.5, WantedEnergy.of(psf, Criterion.EDGE, 0.5), 1e-12);
    }
}
