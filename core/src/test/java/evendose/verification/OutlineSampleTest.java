package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.DoseTable;
import evendose.correction.LayerRole;
import evendose.correction.TestPatterns;
import evendose.geometry.Polygons;
import evendose.layout.Layer;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;

class OutlineSampleTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.02, 4, 0.6);

    /** What tiles of a large layout give must be what the whole gives at the same places. */
    @Test
    void tilesShowTheWholeLayout() {
        Polygons polygons = new Polygons();
        for (int i = 0; i < 260; i++) {
            for (int j = 0; j < 260; j++) {
                // Rectangles of changing width, some touching the next one.
                long x = 2000L * i;
                polygons.addRectangle(0, x, 2000L * j, x + 200 + 200 * ((i + j) % 10), 2000L * j + 1000);
            }
        }
        assertTrue(polygons.size() > evendose.correction.DrawnSample.MOST_POLYGONS);
        Workers one = Workers.of(1);
        OutlineSample sample = OutlineSample.of(
                TestPatterns.of(polygons, 0.001, List.of(LayerRole.corrected(new Layer(1, 0)))),
                Optional.empty(),
                Prediction.reachUm(PSF),
                one,
                Progress.NONE);
        assertTrue(sample.windowsUm().size() >= 3);
        DoseTable table = TestPatterns.correct(
                polygons,
                0.001,
                List.of(LayerRole.corrected(new Layer(1, 0))),
                CorrectionOptions.of(PSF),
                one,
                Progress.NONE);
        Exposure whole = Exposure.of(table);
        Exposure near = whole.near(sample.windowsUm(), Prediction.reachUm(PSF));
        assertTrue(near.pieces().size() < whole.pieces().size() / 2);
        EdgeGauges places = EdgeGauges.random(sample.edges(), whole, 200, sample.region(), 1);
        assertEquals(200, places.size());
        double[] expected = places.energyErrors(whole.exact(true), one);
        double[] found = places.energyErrors(near.exact(true), one);
        for (int g = 0; g < places.size(); g++) {
            assertEquals(expected[g], found[g], 1e-9);
            // Drawn edges are where the corrected energy meets the threshold; a cut-off neighbour would show.
            if (!places.corner[g]) {
                assertEquals(0, found[g], 0.1);
            }
        }
    }
}
