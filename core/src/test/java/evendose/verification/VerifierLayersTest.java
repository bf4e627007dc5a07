package evendose.verification;

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
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Doses are verified against the layers that they are for, whatever order these are named in. */
class VerifierLayersTest {
    @TempDir
    Path folder;

    @Test
    void layersInAnotherOrderAreRefused() {
        LayerRole lines = LayerRole.corrected(new Layer(1, 0));
        LayerRole others = LayerRole.corrected(new Layer(1, 5));
        Layout layout = Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(lines.layer(), 0, 0, 0.3, 5)
                .rectangles(others.layer(), 1, 0, 3, 5)
                .build();
        DoseTable table = Corrector.correct(
                layout,
                List.of(lines, others),
                CorrectionOptions.of(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6)));
        DoseTableCsv.write(table, folder.resolve("doses.csv"));
        StoredDoses stored = DoseTableReader.read(folder.resolve("doses.csv"));
        assertTrue(verify(table, stored, table.pattern()).holds());
        DrawnPattern swapped = DrawnPattern.of(layout, List.of(others, lines));
        assertThrows(IllegalArgumentException.class, () -> verify(table, stored, swapped));
    }

    private static Verification verify(DoseTable table, StoredDoses stored, DrawnPattern drawn) {
        try (Workers workers = Workers.of(1)) {
            return Verifier.verify(
                    Exposure.of(table),
                    stored,
                    drawn,
                    OptionalDouble.empty(),
                    null,
                    10,
                    Optional.empty(),
                    workers,
                    Progress.NONE);
        }
    }
}
