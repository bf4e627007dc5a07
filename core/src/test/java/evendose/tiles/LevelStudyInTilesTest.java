package evendose.tiles;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DoseTable;
import evendose.correction.LayerRole;
import evendose.correction.LevelRule;
import evendose.correction.LevelTrial;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.LayoutBuilder;
import evendose.layout.formats.LayoutFiles;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import java.util.concurrent.ConcurrentHashMap;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** What numbers of dose levels cost, told by tiles, against what a correction without tells. */
class LevelStudyInTilesTest {
    private static final Layer LAYER = new Layer(1, 0);
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);

    /** Tables that tiles have handed over, by run. */
    private static final Map<String, Map<Integer, DoseTable>> TABLES = new ConcurrentHashMap<>();

    @TempDir
    private Path folder;

    private static CorrectionOptions options() {
        return TiledCorrectionTest.options(PSF).toBuilder().levelStudy(true).build();
    }

    /** What tiles tell, and their tables. */
    private record Told(List<LevelTrial> study, Map<Integer, DoseTable> tables) {}

    private Told tiled(Layout layout, List<LayerRole> roles, CorrectionOptions options, int tiles) throws Exception {
        Flattener flattener = Flattener.of(layout);
        TileGrid grid = TileGrid.of(flattener, roles, options, tiles);
        Path states = Files.createTempDirectory(folder, "states");
        String run = states.toString();
        try (Workers workers = Workers.of(2);
                TileRunner runner = new TilesOnDisk(grid.tiles(), states, workers, Progress.NONE)) {
            TiledCorrection correction = TiledCorrection.correct(flattener, roles, options, grid, runner, workers);
            TABLES.put(run, new ConcurrentHashMap<>());
            correction.judged("handing over", tile -> {
                TABLES.get(run).put(tile.number(), tile.table());
                return null;
            });
            return new Told(correction.levelStudy(), TABLES.remove(run));
        }
    }

    private static Layout rectangles() {
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        SplittableRandom random = new SplittableRandom(8);
        for (int k = 0; k < 400; k++) {
            double x = 2 * (k % 20);
            double y = 2 * (k / 20);
            builder.rectangles(
                    k % 7 == 0 ? new Layer(2, 0) : LAYER, x, y, x + 0.2 + 0.001 * random.nextInt(1400), y + 1.5);
        }
        // Units inside are judged by no edge.
        return builder.rectangles(LAYER, 0, 50, 7, 57).build();
    }

    /**
     * Levels are placed alike, so what doses do that take the nearest is the same, and so is what one level does, which none can move off. Which level doses then
     * move to depends on their order.
     */
    private static void agree(List<LevelTrial> whole, List<LevelTrial> parts) {
        assertEquals(whole.size(), parts.size());
        for (int k = 0; k < whole.size(); k++) {
            LevelTrial a = whole.get(k);
            LevelTrial b = parts.get(k);
            String both = a + " and in tiles " + b;
            assertEquals(a.rule(), b.rule(), both);
            assertEquals(a.levels(), b.levels(), both);
            boolean one = a.rule().count() <= 2;
            assertEquals(a.snappedRms(), b.snappedRms(), 0.02 * a.snappedRms(), both);
            assertEquals(a.snappedMax(), b.snappedMax(), (one ? 0.01 : 0.1) * a.snappedMax(), both);
            assertEquals(a.rms(), b.rms(), (one ? 0.01 : 0.15) * a.rms(), both);
            assertEquals(a.rmsWidthNm(), b.rmsWidthNm(), (one ? 0.01 : 0.15) * a.rmsWidthNm(), both);
            assertEquals(a.maxWidthNm(), b.maxWidthNm(), (one ? 0.01 : 0.5) * a.maxWidthNm(), both);
        }
    }

    @ParameterizedTest
    @CsvSource({"4, false", "9, true"})
    void studiesAreThoseWithoutTiles(int tiles, boolean onePerShape) throws Exception {
        Layout layout = rectangles();
        List<LayerRole> roles = List.of(LayerRole.corrected(LAYER), LayerRole.fixed(new Layer(2, 0), 1.3));
        CorrectionOptions options =
                options().toBuilder().oneDosePerShape(onePerShape).build();
        Told told = tiled(layout, roles, options, tiles);
        DoseTable whole = Corrector.correct(layout, roles, options);
        assertEquals(2, whole.levelStudy().get(0).rule().count(), "one level is the fixed dose's");
        agree(whole.levelStudy(), told.study);

        // The doses are free again.
        Map<String, Double> alone = new HashMap<>();
        for (int u = 0; u < whole.pieces().units(); u++) {
            alone.put(TiledCorrectionTest.shape(whole.pieces(), u), whole.factor(u));
        }
        int same = 0;
        for (DoseTable part : told.tables.values()) {
            for (int u = 0; u < part.pieces().units(); u++) {
                Double factor = alone.get(TiledCorrectionTest.shape(part.pieces(), u));
                if (factor != null) {
                    assertEquals(factor, part.factor(u), 1e-4);
                    assertEquals(0.5, part.energyCorrected(u), part.factor(u) == 1.3 ? 1 : 1e-5);
                    same++;
                }
            }
        }
        assertTrue(same >= 400, same + " units");
    }

    /** Where neighbours count for more than a dot itself, moving among few levels takes off some of the error; what was there before is told as well. */
    @Test
    void errorsBeforeDosesMoveAreToldApart() throws Exception {
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        SplittableRandom random = new SplittableRandom(9);
        for (int k = 0; k < 1600; k++) {
            double x = 0.5 * (k % 40);
            double y = 0.5 * (k / 40);
            double side = 0.15 + 0.005 * (k % 40) + 0.001 * random.nextInt(100);
            builder.rectangles(LAYER, x, y, x + side, y + side);
        }
        Layout layout = builder.build();
        List<LayerRole> roles = List.of(LayerRole.corrected(LAYER));
        CorrectionOptions options =
                TiledCorrectionTest.options(PointSpreadFunction.doubleGaussian(0.02, 2, 2)).toBuilder()
                        .levelStudy(true)
                        .build();
        Told told = tiled(layout, roles, options, 4);
        List<LevelTrial> whole = Corrector.correct(layout, roles, options).levelStudy();
        assertEquals(whole.size(), told.study.size());
        int better = 0;
        for (int k = 0; k < whole.size(); k++) {
            LevelTrial a = whole.get(k);
            LevelTrial b = told.study.get(k);
            assertEquals(a.snappedRms(), b.snappedRms(), 0.02 * a.snappedRms(), a + " and in tiles " + b);
            better += a.rms() < 0.95 * a.snappedRms() && b.rms() < 0.95 * b.snappedRms() ? 1 : 0;
        }
        assertTrue(better > 2, better + " trials");
    }

    @Test
    @Tag("slow")
    void aStudyOfARealLayoutIsThatWithoutTiles() throws Exception {
        Layout layout = LayoutFiles.read(TestData.file("layouts/cd-500nm.gds"));
        List<LayerRole> roles = List.of(LayerRole.corrected(LAYER));
        CorrectionOptions options =
                options().toBuilder().levels(LevelRule.geometric(5)).build();
        Told told = tiled(layout, roles, options, 4);
        agree(Corrector.correct(layout, roles, options).levelStudy(), told.study);
        // What is imposed comes after the study.
        assertTrue(told.tables.size() > 1);
        for (DoseTable table : told.tables.values()) {
            assertTrue(table.levels().size() <= 5);
            for (int u = 0; u < table.pieces().units(); u++) {
                assertEquals(table.levels().factor(table.level(u)), table.factor(u));
            }
        }
    }
}
