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
import evendose.correction.DrawnPattern;
import evendose.correction.LayerRole;
import evendose.correction.StoredDoses;
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
import java.util.Optional;
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
        List<LayerRole> roles = List.of(LayerRole.corrected(layer));
        DoseTable doses = Corrector.correct(layout, roles, OPTIONS);
        assertTrue(doses.convergence().converged());
        // The middle of a large pad has half of the direct energy and all of the rest: (1 + eta) / (1 + 2 eta). An edge of a line
        // of 1 um has half of the direct energy and erf(1 um / 9.5 um) / 2 of the rest: (1 + eta) / (1 + 0.1183 eta).
        assertEquals((1 + ETA) / (1 + 2 * ETA), factorAt(doses, 400, 200), 0.01);
        assertEquals((1 + ETA) / (1 + 0.1183 * ETA), factorAt(doses, 0.5, 200), 0.01);

        Path table = folder.resolve("doses.csv");
        DoseTableCsv.write(doses, table);
        assertTrue(Files.size(table) > 1000);
        StoredDoses stored = DoseTableReader.read(table);
        try (Workers workers = Workers.of(2)) {
            Verification found = Verifier.verify(
                    Exposure.of(stored, roles, OPTIONS, "doses.csv"),
                    stored,
                    DrawnPattern.of(layout, roles),
                    OptionalDouble.empty(),
                    null,
                    10,
                    Optional.empty(),
                    workers,
                    Progress.NONE);
            assertTrue(found.holds(), () -> String.valueOf(found.verdict().sentences()));
        }
    }

    /** The dose factor of the unit whose box holds a point. */
    private static double factorAt(DoseTable doses, double xUm, double yUm) {
        for (int u = 0; u < doses.pieces().units(); u++) {
            double[] box = doses.pieces().unitBoundsUm(u);
            if (box[0] <= xUm && box[1] <= yUm && box[2] >= xUm && box[3] >= yUm) {
                return doses.factor(u);
            }
        }
        throw new IllegalArgumentException("nothing is drawn there");
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
