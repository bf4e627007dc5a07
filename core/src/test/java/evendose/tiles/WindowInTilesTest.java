package evendose.tiles;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DoseTable;
import evendose.correction.DrawnPattern;
import evendose.correction.LayerRole;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.formats.LayoutFiles;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** A window in tiles against the window of a correction without. */
class WindowInTilesTest {
    private static final Layer LAYER = new Layer(1, 0);
    private static final List<LayerRole> ROLES = List.of(LayerRole.corrected(LAYER));

    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);

    @TempDir
    private Path folder;

    private static DoseTable whole(Flattener flattener, CorrectionOptions options, double[] window) {
        return Corrector.correct(DrawnPattern.around(window, options, flattener, ROLES), options)
                .within(window[0], window[1], window[2], window[3]);
    }

    @ParameterizedTest
    @CsvSource({
        "cd-500nm.gds, 1, 5, 2, 9, 4.5",
        "cd-500nm.gds, 4, 5, 2, 9, 4.5",
        "cd-500nm.gds, 49, 5, 2, 9, 4.5",
        "bragg-gratings.gds, 1, 200, 100, 240, 130",
        "bragg-gratings.gds, 4, 200, 100, 240, 130",
        "bragg-gratings.gds, 49, 200, 100, 240, 130"
    })
    @Tag("slow")
    void dosesOfAWindowAreThoseWithoutTiles(String file, int tiles, double x0, double y0, double x1, double y1)
            throws Exception {
        Flattener flattener = Flattener.of(LayoutFiles.read(TestData.file("layouts/" + file)));
        double[] window = {x0, y0, x1, y1};
        CorrectionOptions options = TiledCorrectionTest.options(PSF);
        DoseTable whole = whole(flattener, options, window);
        List<DoseTable> parts =
                TiledCorrectionTest.tiled(folder, flattener, ROLES, options, Optional.of(window), tiles, 2);
        agree(whole, parts, window);
        assertTrue(
                tiles == 1 ? parts.size() == 1 : parts.size() < tiles,
                "tiles beside the window write nothing, " + parts.size() + " do");
    }

    private static void agree(DoseTable whole, List<DoseTable> parts, double[] window) {
        Map<String, Integer> alone = new HashMap<>();
        for (int u = 0; u < whole.pieces().units(); u++) {
            alone.put(TiledCorrectionTest.shape(whole.pieces(), u), u);
        }
        int same = 0;
        double area = 0;
        for (DoseTable part : parts) {
            area += part.areaUm2();
            Pieces p = part.pieces();
            for (int u = 0; u < p.units(); u++) {
                Integer w = alone.get(TiledCorrectionTest.shape(p, u));
                if (w != null) {
                    same++;
                    assertEquals(whole.factor(w), part.factor(u), 1e-4 * whole.factor(w));
                    assertEquals(whole.energyUncorrected(w), part.energyUncorrected(u), 1e-5);
                    assertEquals(whole.energyCorrected(w), part.energyCorrected(u), 1e-5);
                }
            }
        }
        assertTrue(
                same > 0.4 * whole.pieces().units(),
                same + " of " + whole.pieces().units() + " units are the same");
        // Units that borders part are written whole or not at all.
        assertEquals(whole.areaUm2(), area, 1e-9 * area);
    }
}
