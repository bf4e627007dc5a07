package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.DrawnPattern;
import evendose.correction.LayerRole;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import java.util.Optional;
import org.apache.commons.math3.special.Erf;
import org.junit.jupiter.api.Test;

class BiasStudyTest {
    private static final double ALPHA = 0.02;
    private static final double ETA = 0.6;
    private static final double ALLOWED = 0.01;

    private static BiasStudy study(double beta, double maxFactor, double low, double high) {
        Layer layer = new Layer(1, 0);
        Layout layout = Layout.builder(DatabaseUnit.NANOMETRE)
                // So long that its ends are less than the 5 % of edges that the window leaves out.
                .rectangles(layer, 0, 0, 4, 1000)
                .build();
        CorrectionOptions options = CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(ALPHA, beta, ETA))
                // One unit across, so that all of it has one dose as in the closed form.
                .maxPieceUm(10)
                .allowedEdgeError(1)
                .maxFactor(maxFactor)
                .threads(2)
                .build();
        try (Workers workers = Workers.of(2)) {
            DrawnPattern drawn = DrawnPattern.of(layout, List.of(LayerRole.corrected(layer)));
            OutlineSample outline = OutlineSample.of(drawn, Optional.empty(), 20, workers, Progress.NONE);
            return BiasStudy.of(drawn, options, outline, low, high, ALLOWED, workers, Progress.NONE);
        }
    }

    /** Energy at {@code out} outside the drawn edge of a wide area exposed b larger, with the dose that gives 1/2 on it. */
    private static double energy(double beta, double b, double out) {
        double[] range = {ALPHA, beta};
        double[] weight = {1 / (1 + ETA), ETA / (1 + ETA)};
        double at = 0;
        double on = 0;
        for (int k = 0; k < 2; k++) {
            at += weight[k] * (1 + Erf.erf((b - out) / range[k]));
            on += weight[k] * (1 + Erf.erf(b / range[k]));
        }
        return 0.5 * at / on;
    }

    /** All doses times f move the edge inwards by no more than allowed if f E(-a) reaches 1/2, outwards likewise with E(a). */
    @Test
    void theWindowOfAWideEdgeIsThatOfItsErrorFunctions() {
        double beta = 0.4;
        BiasStudy study = study(beta, 20, -0.03, 0.02);
        assertEquals(10, study.allowedNm(), 1e-9);
        assertTrue(study.places() > 900, study.places() + " places");
        for (BiasStudy.Trial trial : study.trials()) {
            double b = 1e-3 * trial.biasNm();
            double low = 0.5 / energy(beta, b, -ALLOWED);
            double high = 0.5 / energy(beta, b, ALLOWED);
            double expected = (high - low) / (high + low);
            assertEquals(expected, trial.doseWindow(), 0.01 * expected, trial.biasNm() + " nm");
            assertTrue(trial.counts(), trial.why());
        }
        double best = study.best().orElseThrow().biasNm();
        // The closed form's own maximum, found by looking at each nm.
        double largest = -1;
        int at = 0;
        for (int nm = -30; nm <= 20; nm++) {
            double low = 0.5 / energy(beta, 1e-3 * nm, -ALLOWED);
            double high = 0.5 / energy(beta, 1e-3 * nm, ALLOWED);
            if ((high - low) / (high + low) > largest) {
                largest = (high - low) / (high + low);
                at = nm;
            }
        }
        assertEquals(at, best, 2);
        assertTrue(at > -30 && at < 0, at + " nm");
    }

    @Test
    void dosesBeyondTheirBoundsDoNotCount() {
        BiasStudy study = study(0.4, 1.02, -0.02, 0.02);
        for (BiasStudy.Trial trial : study.trials()) {
            assertEquals(trial.biasNm() >= 0, trial.counts(), trial.biasNm() + " nm: " + trial.maxFactor());
        }
        assertFalse(study.best().orElseThrow().biasNm() < 0);
    }
}
