package evendose.tiles;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import evendose.correction.ContrastCurve;
import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.Criterion;
import evendose.correction.DoseTable;
import evendose.correction.LayerDepth;
import evendose.correction.LayerRole;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.LayoutBuilder;
import evendose.layout.formats.LayoutFiles;
import evendose.pieces.PieceRules;
import evendose.psf.PointSpreadFunction;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** Depths of a grey-tone exposure in tiles against those of a correction without. */
class DepthInTilesTest {
    private static final Layer LAYER = new Layer(1, 0);

    @TempDir
    private Path folder;

    private static CorrectionOptions options() {
        return CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6))
                .criterion(Criterion.MEAN)
                .baseDoseUcPerCm2(100)
                .rules(PieceRules.exact())
                .tolerance(1e-6)
                .build();
    }

    /** As steep as a decade of doses for 1,000 nm. */
    private ContrastCurve curve() throws Exception {
        Path file = folder.resolve("contrast.csv");
        return ContrastCurve.read(Files.writeString(file, "dose_uc_per_cm2,remaining_nm\n10,2000\n100,1000\n1000,0\n"));
    }

    private void agree(Layout layout, List<LayerRole> roles, CorrectionOptions options, int tiles) throws Exception {
        ContrastCurve curve = curve();
        List<LayerDepth> whole = LayerDepth.predict(Corrector.correct(layout, roles, options), curve);
        List<DoseTable> tables =
                TiledCorrectionTest.tiled(folder, Flattener.of(layout), roles, options, Optional.empty(), tiles, 2);
        assertTrue(tiles == 1 || tables.size() > tiles / 2, tables.size() + " tiles");
        List<LayerDepth> parts = tables.stream()
                .map(table -> new LayerDepth.Parts(table, curve))
                .reduce(LayerDepth.Parts::and)
                .orElseThrow()
                .depths();
        assertEquals(whole.size(), parts.size());
        for (int k = 0; k < whole.size(); k++) {
            LayerDepth a = whole.get(k);
            LayerDepth b = parts.get(k);
            assertEquals(a.layer(), b.layer());
            assertEquals(a.wantedNm(), b.wantedNm());
            assertEquals(a.doseUcPerCm2(), b.doseUcPerCm2());
            assertTrue(a.before().rmsError() > 20, a.toString());
            for (boolean after : new boolean[] {false, true}) {
                LayerDepth.Range one = after ? a.after() : a.before();
                LayerDepth.Range many = after ? b.after() : b.before();
                // A dose that is 1e-4 off makes 0.04 nm.
                assertEquals(one.min(), many.min(), 0.05);
                assertEquals(one.mean(), many.mean(), 0.05);
                assertEquals(one.max(), many.max(), 0.05);
                assertEquals(one.rmsError(), many.rmsError(), 0.05);
            }
        }
    }

    @ParameterizedTest
    @Tag("slow")
    @ValueSource(ints = {1, 4, 49})
    void depthsOfARealLayoutAreThoseWithoutTiles(int tiles) throws Exception {
        agree(
                LayoutFiles.read(TestData.file("layouts/cd-500nm.gds")),
                List.of(LayerRole.corrected(LAYER, 0.6)),
                options(),
                tiles);
    }

    /** Stairs of two depths with a layer of fixed dose; the largest shapes reach over several tiles. */
    @ParameterizedTest
    @CsvSource({"1, false", "4, false", "49, false", "4, true"})
    void depthsOfStairsAreThoseWithoutTiles(int tiles, boolean onePerShape) throws Exception {
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        double wide = onePerShape ? 6 : 25;
        for (int k = 0; k < 60; k++) {
            double x = 30 * (k % 3);
            double y = 3 * (k / 3);
            builder.rectangles(new Layer(1 + k % 3, 0), x, y, x + wide - 0.2 * (k / 3), y + 1 + 0.05 * k % 2);
        }
        List<LayerRole> roles = List.of(
                LayerRole.corrected(LAYER, 0.6),
                LayerRole.corrected(new Layer(2, 0), 0.9),
                LayerRole.fixed(new Layer(3, 0), 0.7));
        agree(
                builder.build(),
                roles,
                options().toBuilder().oneDosePerShape(onePerShape).build(),
                tiles);
    }

    /** A part that is added twice counts twice. */
    @Test
    void partsAddUp() throws Exception {
        Layout layout = Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LAYER, 0, 0, 5, 5, 8, 0, 9, 5)
                .build();
        LayerDepth.Parts part = new LayerDepth.Parts(
                Corrector.correct(layout, List.of(LayerRole.corrected(LAYER, 0.6)), options()), curve());
        LayerDepth once = part.depths().get(0);
        LayerDepth twice = part.and(part).depths().get(0);
        assertEquals(once.before().mean(), twice.before().mean(), 1e-9);
        assertEquals(once.before().rmsError(), twice.before().rmsError(), 1e-9);
        assertEquals(once, part.depths().get(0), "adding leaves it as it is");
    }
}
