package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.ComplementExposure;
import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DrawnPattern;
import evendose.correction.EqualisingSpot;
import evendose.correction.LayerRole;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.LayoutBuilder;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import java.util.Optional;
import org.apache.commons.math3.special.Erf;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;

/** A pad, a grating and lone lines, whose edges are straight: what each way does to them follows from closed forms. */
class BackgroundComparisonTest {
    private static final double ALPHA = 0.02;
    private static final double ETA = 0.8;
    private static final double ALLOWED = 0.005;

    private static BackgroundComparison found;
    private static double promised;

    @BeforeAll
    static void compare() {
        Layer layer = new Layer(1, 0);
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(layer, 0, 0, 30, 30, 90, 0, 90.2, 30, 110, 0, 110.2, 30, 130, 0, 130.2, 30);
        for (int k = 0; k < 60; k++) {
            builder.rectangles(layer, 45 + 0.4 * k, 0, 45.2 + 0.4 * k, 30);
        }
        DrawnPattern drawn = DrawnPattern.of(builder.build(), List.of(LayerRole.corrected(layer)));
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(ALPHA, 4, ETA);
        // Doses finer than the usual goal asks for: what they can do at most is compared.
        CorrectionOptions options =
                CorrectionOptions.builder(psf).allowedEdgeError(0.005).build();
        try (Workers workers = Workers.of(2)) {
            ComplementExposure complement = ComplementExposure.of(drawn, options, EqualisingSpot.of(psf), 14, workers);
            promised = complement.spot().unevenness() * complement.patternFactor() / 0.5;
            OutlineSample outline = OutlineSample.of(drawn, Optional.empty(), 20, workers, Progress.NONE);
            found = BackgroundComparison.of(
                    Exposure.of(Corrector.correct(drawn, options)),
                    complement,
                    outline,
                    ALLOWED,
                    workers,
                    Progress.NONE);
        }
    }

    @Test
    void theComplementEqualisesAndADoseAPieceDoesBetter() {
        assertTrue(found.places() > 1000, found.places() + " places");
        assertTrue(found.single().energyError().rms() > 0.1, found.toString());
        assertEquals(0, found.single().energyError().mean(), 1e-9, "the best single dose");
        assertTrue(found.equalised().energyError().max() < promised + 2e-3, found.equalised() + " of " + promised);
        assertTrue(
                found.equalised().energyError().rms()
                        < found.single().energyError().rms() / 20,
                found.toString());
        assertTrue(
                found.corrected().energyError().rms()
                        < 0.7 * found.equalised().energyError().rms(),
                found.toString());
        assertTrue(found.corrected().placementNm().rms()
                < 0.5 * found.equalised().placementNm().rms());
        assertTrue(found.equalised().placementNm().rms()
                < found.single().placementNm().rms() / 5);
    }

    /** Energy of a straight edge at factor 1 / (1 + 2 eta) of the direct term, over a background that fills it up to 1/2. */
    private static double equalisedAt(double outUm) {
        return 1 / (1 + 2 * ETA) * 0.5 * (1 - Erf.erf(outUm / ALPHA)) + ETA / (1 + 2 * ETA);
    }

    @Test
    void edgesAreFlatterByTheBackground() {
        double slope = 2 / (ALPHA * Math.sqrt(Math.PI) * (1 + 2 * ETA));
        assertEquals(1, found.equalised().slopePerUm() / slope, 0.004);
        assertEquals(1, found.equalised().leastSlopePerUm() / slope, 0.02);
        double low = 0.5 / equalisedAt(-ALLOWED);
        double high = 0.5 / equalisedAt(ALLOWED);
        // The spread of the background takes its part.
        double window = (high - low) / (high + low);
        assertEquals(window, found.equalised().doseWindow(), promised + 2e-3);
        assertTrue(found.equalised().doseWindow() < window);
        assertTrue(found.corrected().slopePerUm() > 1.2 * found.equalised().slopePerUm(), found.toString());
        assertTrue(found.corrected().doseWindow() > 1.1 * found.equalised().doseWindow(), found.toString());
        assertTrue(found.single().doseWindow() < 0, "no single dose does for lone lines and the pad");
        assertEquals(0, found.equalised().lost());
    }
}
