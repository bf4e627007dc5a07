package evendose.tiles;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DevelopmentLoading;
import evendose.correction.DoseTable;
import evendose.correction.LayerRole;
import evendose.correction.LongRange;
import evendose.correction.OutlineError;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.LayoutBuilder;
import evendose.layout.formats.LayoutFiles;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** The loading of the development in tiles against that of a correction without: the same energies are wanted, and doses give them. */
class LoadingInTilesTest {
    private static final Layer LAYER = new Layer(1, 0);
    private static final List<LayerRole> ROLES = List.of(LayerRole.corrected(LAYER));

    @TempDir
    private Path folder;

    private static CorrectionOptions options(double rangeUm) {
        DevelopmentLoading bent = DevelopmentLoading.of(rangeUm, new double[] {0, 0.3, 1}, 0.9, 1, 1.4);
        return TiledCorrectionTest.options(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6)).toBuilder()
                .longRange(new LongRange(Optional.empty(), Optional.of(bent)))
                .build();
    }

    private List<DoseTable> tiled(Layout layout, List<LayerRole> roles, CorrectionOptions options, int tiles)
            throws Exception {
        return TiledCorrectionTest.tiled(folder, Flattener.of(layout), roles, options, Optional.empty(), tiles, 2);
    }

    @ParameterizedTest
    @Tag("slow")
    @CsvSource({
        "cd-500nm.gds, 1",
        "cd-500nm.gds, 4",
        "cd-500nm.gds, 49",
        "grating-coupler.gds, 1",
        "grating-coupler.gds, 4",
        "grating-coupler.gds, 49"
    })
    void energiesOfRealLayoutsAreThoseWithoutTiles(String file, int tiles) throws Exception {
        Layout layout = LayoutFiles.read(TestData.file("layouts/" + file));
        CorrectionOptions options = options(3);
        DoseTable whole = Corrector.correct(layout, ROLES, options);
        assertSame(whole, tiled(layout, ROLES, options, tiles), 0.4);
    }

    /** Along edges the energy wanted is that of each place. */
    @Test
    void energiesAlongEdgesAreToldAsWithoutTiles() throws Exception {
        Layout layout = LayoutFiles.read(TestData.file("layouts/cd-500nm.gds"));
        CorrectionOptions options = options(3);
        OutlineError whole = Corrector.correct(layout, ROLES, options).outlineError();
        OutlineError parts =
                TiledCorrectionTest.written(folder, layout, options, 4).outlineError();
        assertEquals(whole.rms(), parts.rms(), 0.01 * whole.rms());
        assertEquals(whole.p95(), parts.p95(), 0.02 * whole.p95());
    }

    private static void assertSame(DoseTable whole, List<DoseTable> parts, double share) {
        Map<String, Integer> alone = new HashMap<>();
        for (int u = 0; u < whole.pieces().units(); u++) {
            alone.put(TiledCorrectionTest.shape(whole.pieces(), u), u);
        }
        int same = 0;
        double least = Double.MAX_VALUE;
        double most = 0;
        for (DoseTable part : parts) {
            Pieces p = part.pieces();
            for (int u = 0; u < p.units(); u++) {
                Integer w = alone.get(TiledCorrectionTest.shape(p, u));
                if (w != null) {
                    same++;
                    assertEquals(whole.targetOfUnit(w), part.targetOfUnit(u), 3e-5);
                    assertEquals(whole.energyCorrected(w), part.energyCorrected(u), 3e-5);
                    assertEquals(whole.energyUncorrected(w), part.energyUncorrected(u), 1e-5);
                    assertEquals(whole.factor(w), part.factor(u), 1e-4 * whole.factor(w));
                    assertEquals(whole.status(w), part.status(u));
                    least = Math.min(least, part.targetOfUnit(u));
                    most = Math.max(most, part.targetOfUnit(u));
                }
            }
        }
        assertTrue(most > 1.05 * least, "the loading counts: " + least + " to " + most);
        assertTrue(
                same > share * whole.pieces().units(),
                same + " of " + whole.pieces().units() + " are the same");
    }

    /** Rectangles in groups, 4.5 mm wide, borders of tiles amid some: a grid for a short range would be too large, and each tile finds the density by itself. */
    private static Layout groups() {
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        SplittableRandom random = new SplittableRandom(4);
        for (int k = 0; k < 300; k++) {
            double x = 2250 * random.nextInt(3) + 0.001 * random.nextInt(30_000);
            double y = 2250 * random.nextInt(3) + 2.5 * random.nextInt(12);
            builder.rectangles(
                    k % 5 == 0 ? new Layer(2, 0) : LAYER,
                    x,
                    y,
                    x + 0.3 + 0.001 * random.nextInt(2000),
                    y + 1 + 0.5 * random.nextInt(3));
        }
        return builder.build();
    }

    @ParameterizedTest
    @CsvSource({"3, 4, false", "3, 16, false", "60, 4, false", "60, 16, false", "60, 9, true"})
    void fixedLayersAndShapesCountAsWithoutTiles(double rangeUm, int tiles, boolean onePerShape) throws Exception {
        List<LayerRole> roles = List.of(LayerRole.corrected(LAYER, 0.9), LayerRole.fixed(new Layer(2, 0), 1.2));
        CorrectionOptions options =
                options(rangeUm).toBuilder().oneDosePerShape(onePerShape).build();
        Flattener flattener = Flattener.of(groups());
        assertEquals(
                rangeUm > 10,
                TileGrid.of(flattener, roles, options, tiles).density().isPresent());
        assertSame(
                Corrector.correct(flattener.layout(), roles, options),
                tiled(flattener.layout(), roles, options, tiles),
                0.9);
    }
}
