package evendose;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DoseTable;
import evendose.correction.LayerRole;
import evendose.geometry.Polygons;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.formats.LayoutFiles;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;

/** The library example of the README, on the demo chip. */
class LibraryExampleTest {
    @Test
    void theReadmesExampleWorks() {
        Path chip = TestData.file("demo/tidepool-spectrometer.gds");

        Layout layout = LayoutFiles.read(chip);
        Layer layer = new Layer(1, 0);
        Polygons polygons = new Polygons();
        Flattener.of(layout).flatten(Map.of(layer, 0), polygons);
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.012, 31, 0.6);
        try (Workers workers = Workers.of(2)) {
            DoseTable doses = Corrector.correct(
                    polygons,
                    layout.unit().um(),
                    List.of(LayerRole.corrected(layer)),
                    CorrectionOptions.of(psf),
                    workers,
                    Progress.NONE);
            assertTrue(doses.convergence().converged());
            // Between the middle of a large pad and a lone line: (1 + eta) / (1 + 2 eta) and, for the dots, a little
            // above
            // 1 + eta.
            assertEquals(1.6 / 2.2, doses.minFactor(), 0.02);
            assertEquals(1.6, doses.maxFactor(), 0.06);
        }
    }
}
