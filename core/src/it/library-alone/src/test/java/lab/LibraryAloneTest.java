package lab;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DoseTable;
import evendose.correction.DoseTableCsv;
import evendose.correction.DoseTableReader;
import evendose.correction.LayerRole;
import evendose.correction.StoredDoses;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.formats.LayoutFiles;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import evendose.report.LevelPictures;
import evendose.report.MissingLibraryException;
import evendose.verification.Exposure;
import evendose.verification.Verification;
import evendose.verification.Verifier;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.OptionalDouble;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Corrects, writes and verifies a lone line of 1 um and a pad of 400 um, with nothing but what the library brings along. */
class LibraryAloneTest {
    private static final double ETA = 0.6;
    private static final CorrectionOptions OPTIONS =
            CorrectionOptions.of(PointSpreadFunction.doubleGaussian(0.02, 9.5, ETA));

    @TempDir
    Path folder;

    @Test
    void correctsWritesAndVerifies() throws Exception {
        Path file = Path.of(LibraryAloneTest.class.getResource("/line-and-pad.csv").toURI());
        Layout layout = LayoutFiles.read(file);
        Layer layer = Flattener.of(layout).counts().firstKey();
        Polygons polygons = new Polygons();
        Flattener.of(layout).flatten(Map.of(layer, 0), polygons);
        List<LayerRole> roles = List.of(LayerRole.corrected(layer));
        try (Workers workers = Workers.of(2)) {
            double unitUm = layout.unit().um();
            DoseTable doses = Corrector.correct(polygons, unitUm, roles, OPTIONS, workers, Progress.NONE);
            assertTrue(doses.convergence().converged());
            // The middle of a large pad has (1 + eta) / (1 + 2 eta). The line is 1 um wide, so it gives itself the
            // background of its own: erf(0.5 / 9.5) = 0.0593 of the far term in its middle, and (1 + eta) / (1 + eta erf(1 / 9.5))
            // = 1.6 / (1 + 0.6 * 0.1183) = 1.494 at its edges.
            assertEquals((1 + ETA) / (1 + 2 * ETA), doses.minFactor(), 0.01);
            assertEquals(1.494, doses.maxFactor(), 0.03);

            Path table = folder.resolve("doses.csv");
            DoseTableCsv.write(doses, table, workers, Progress.NONE);
            assertTrue(Files.size(table) > 1000);
            StoredDoses stored = DoseTableReader.read(table);
            Verification found = Verifier.verify(
                    Exposure.of(stored, roles, OPTIONS, "doses.csv"),
                    stored,
                    Merge.of(polygons, 1, workers, Progress.NONE),
                    unitUm,
                    OptionalDouble.empty(),
                    null,
                    10,
                    workers,
                    Progress.NONE);
            assertTrue(found.holds(), () -> String.valueOf(found.verdict().sentences()));
        }
    }

    @Test
    void plotsNameTheLibrariesThatTheyNeed() {
        assertThrows(ClassNotFoundException.class, () -> Class.forName("org.knowm.xchart.XYChart"));
        String message = assertThrows(MissingLibraryException.class, () -> LevelPictures.study(List.of()))
                .getMessage();
        assertTrue(message.contains("org.knowm.xchart:xchart"), message);
        assertFalse(LevelPictures.csv(List.of()).isEmpty());
    }
}
