package evendose.tiles;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DevelopmentLoading;
import evendose.correction.DoseTable;
import evendose.correction.DoseTableReader;
import evendose.correction.DrawnPattern;
import evendose.correction.LayerRole;
import evendose.correction.LevelRule;
import evendose.correction.LongRange;
import evendose.correction.StoredDoses;
import evendose.correction.TilePlace;
import evendose.energy.ExactEnergy;
import evendose.files.CsvTable;
import evendose.layout.Cell;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.Reference;
import evendose.layout.Repetition;
import evendose.layout.Transform;
import evendose.layout.formats.LayoutFiles;
import evendose.layout.formats.LayoutFormat;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.PieceRules;
import evendose.pieces.Pieces;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.SplittableRandom;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** Layouts that repeat: each different tile is corrected once, and all of them get the doses of the whole. */
class EqualTilesTest {
    private static final Layer LAYER = new Layer(1, 0);
    private static final List<LayerRole> ROLES = List.of(LayerRole.corrected(LAYER));

    @TempDir
    private Path folder;

    private static CorrectionOptions options(double betaUm, double tolerance) {
        return CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(0.02, betaUm, 0.6))
                .allowedEdgeError(1)
                .rules(PieceRules.exact())
                .tolerance(tolerance)
                .build();
    }

    private static Repetition grid(int columns, int rows, long stepX, long stepY) {
        return new Repetition.Grid(columns, rows, columns * stepX, 0, 0, rows * stepY);
    }

    private static Layout layout(Cell... cells) {
        return new Layout("arrays", DatabaseUnit.NANOMETRE, List.of(cells), List.of());
    }

    private static Layout blocks() {
        return blocks(new Cell("TOP"));
    }

    /** Arrays of 12 x 12 squares of two sizes, 40 um apart. */
    private static Layout blocks(Cell top) {
        Cell square = new Cell("SQUARE");
        square.on(LAYER).addRectangle(0, 0, 900, 900);
        square.on(LAYER).addRectangle(1000, 0, 1300, 1200);
        Cell block = new Cell("BLOCK");
        block.add(new Reference("SQUARE", new Transform(0, 0, false, 1, 0), grid(12, 12, 2000, 2000)));
        top.add(new Reference("BLOCK", new Transform(500, 700, false, 1, 0), grid(7, 7, 40_000, 40_000)));
        return layout(square, block, top);
    }

    /**
     * With a short range tiles beside the end see no end; with a long one, and a narrow tolerance, more and more tiles part as rounds go by.
     */
    @ParameterizedTest
    @ValueSource(doubles = {3, 15})
    void dosesAreThoseOfTheWhole(double betaUm) throws Exception {
        Layout layout = blocks();
        CorrectionOptions options = options(betaUm, 1e-6);
        int tables = agrees(layout, options, 49);
        // By range 3 um ends are felt for 14 um and less than a tile, by 15 um in two tiles from each end.
        assertTrue(betaUm == 3 ? tables == 9 : tables > 9, tables + " tables");
        // A wide tolerance takes more tiles for equal, and errs by no more than it allows.
        if (betaUm == 15) {
            assertTrue(agrees(layout, options(betaUm, 1e-3), 49) <= 25);
        }
    }

    /**
     * Tiles whose density differs part, though scattering over 3 um makes no difference. A dot beside the blocks moves the borders of tiles between them, so
     * that no tile sees its neighbours' blocks.
     */
    @Test
    void tilesPartWhereTheDensityDiffers() throws Exception {
        Cell top = new Cell("TOP");
        top.on(LAYER).addRectangle(-6000, -6000, -5700, -5700);
        agrees(blocks(top), loaded(options(3, 1e-3), DevelopmentLoading.linear(30, 40, 0.5)), 49);
    }

    /** Tiles that scattering parts later know what the density asks for, here everywhere the same. */
    @Test
    void tilesThatPartLaterKnowTheirDensity() throws Exception {
        DevelopmentLoading even = DevelopmentLoading.of(10, new double[] {0, 1}, 1.2, 1.2);
        int tables = agrees(blocks(), loaded(options(15, 1e-3), even), 49);
        assertTrue(tables > 9, tables + " tables");
    }

    private static CorrectionOptions loaded(CorrectionOptions options, DevelopmentLoading loading) {
        return options.toBuilder()
                .longRange(new LongRange(Optional.empty(), Optional.of(loading)))
                .build();
    }

    /** Tiles are equal but where a window ends, or what is seen through it: the first ends within a tile, the last on a border of tiles. */
    @ParameterizedTest
    @CsvSource({"70, 65, 205, 190", "55, 70, 199, 230", "40.5, 40.7, 200.5, 240.7"})
    void tilesPartWhereAWindowEnds(double x0, double y0, double x1, double y1) throws Exception {
        // Small ones, so that some lie between the window and the end of what is seen.
        int tables = agrees(blocks(), options(3, 1e-6), Optional.of(new double[] {x0, y0, x1, y1}), 250);
        assertTrue(tables > 9 && tables < 100, tables + " tables");
    }

    /** Lines that go on over all tiles along y, and repeat along x: cells of dose units divide whole lines. */
    @Test
    void longLinesGoOnBeyondTheirTiles() throws Exception {
        Cell line = new Cell("LINE");
        line.on(LAYER).addRectangle(0, 0, 400, 100_000);
        Cell top = new Cell("TOP");
        top.add(new Reference("LINE", new Transform(0, 0, false, 1, 0), grid(80, 1, 2000, 0)));
        int tables = agrees(layout(line, top), options(3, 1e-6), 12);
        assertTrue(tables < 10, tables + " tables");
    }

    /** Lines of abutting parts that go on over three tiles: what tiles see is the same, and where cells of the whole lines lie is not. */
    @Test
    void shapesThatEndElsewhereAreToldApart() throws Exception {
        Cell part = new Cell("PART");
        part.on(LAYER).addRectangle(0, 0, 700, 10_000);
        Cell top = new Cell("TOP");
        top.add(new Reference("PART", new Transform(0, 0, false, 1, 0), grid(30, 11, 2000, 10_000)));
        agrees(layout(part, top), options(3, 1e-6), 10);
    }

    /**
     * Levels on a wafer of chips: the same ones to 1e-4, and edges, found from closed forms, no farther off than
     * without tiles. Neighbours count for more than a dot itself, so
     * doses move among levels, and which of two that do as well a dot takes depends on their order.
     */
    @ParameterizedTest
    @Tag("slow")
    @CsvSource({"OPTIMAL, 6", "GEOMETRIC, 4"})
    void levelsAreThoseOfTheWhole(LevelRule.Spacing spacing, int count) throws Exception {
        Cell chip = new Cell("CHIP");
        SplittableRandom random = new SplittableRandom(12);
        for (int k = 0; k < 256; k++) {
            long x = 500 * (k % 16);
            long y = 500 * (k / 16);
            chip.on(LAYER).addRectangle(x, y, x + 150 + random.nextInt(250), y + 150 + random.nextInt(250));
        }
        Cell top = new Cell("TOP");
        top.add(new Reference("CHIP", new Transform(300, 100, false, 1, 0), grid(7, 7, 8000, 8000)));
        Layout layout = layout(chip, top);
        // The middle one reaches from tile to tile by itself, the long one by the shared grids.
        PointSpreadFunction psf = PointSpreadFunction.from(
                List.of(new GaussianTerm(0.32, 0.02), new GaussianTerm(0.08, 0.2), new GaussianTerm(0.6, 1)));
        CorrectionOptions options = CorrectionOptions.builder(psf)
                .allowedEdgeError(1)
                .rules(PieceRules.exact())
                .tolerance(1e-5)
                .maxPieceUm(0.5)
                .levels(new LevelRule(spacing, count, 0))
                .build();
        DoseTable whole = Corrector.correct(layout, ROLES, options);
        Path out = Files.createTempDirectory(folder, "levels");
        TiledCorrection.Written written = write(layout, options, Optional.empty(), 49, out);
        assertTrue(written.parts().size() < written.tiles(), written.parts().size() + " tables");
        assertTrue(written.parts().size() > 25, "tiles part that levels lead apart");
        StoredDoses stored = DoseTableReader.read(out);
        assertArrayEquals(
                whole.levels().factors(),
                Arrays.stream(stored.factors()).sorted().distinct().toArray(),
                1e-4);

        assertEquals(7 * 7 * 256, whole.pieces().size());
        assertEquals(whole.pieces().size(), stored.pieces().size());
        Pieces all = whole.pieces();
        ExactEnergy alone = ExactEnergy.ofUnits(whole.pieces(), whole.factors(), psf);
        ExactEnergy tiled = ExactEnergy.ofUnits(stored.pieces(), stored.factors(), psf);
        double[] squares = new double[2];
        // Each is a dot.
        for (int i = 0; i < all.size(); i++) {
            double x = all.cornerXUm(i, 0);
            double y = all.middleYUm(i);
            squares[0] += Math.pow(alone.at(x, y) / 0.5 - 1, 2);
            squares[1] += Math.pow(tiled.at(x, y) / 0.5 - 1, 2);
        }
        assertTrue(squares[1] < 1.05 * squares[0], squares[1] + " squared errors, " + squares[0] + " without tiles");
    }

    /** Corrects both ways, compares, and tells how many tiles were different. */
    private int agrees(Layout layout, CorrectionOptions options, int tiles) throws Exception {
        return agrees(layout, options, Optional.empty(), tiles);
    }

    private int agrees(Layout layout, CorrectionOptions options, Optional<double[]> window, int tiles)
            throws Exception {
        DoseTable whole = window.map(
                        w -> Corrector.correct(DrawnPattern.around(w, options, Flattener.of(layout), ROLES), options)
                                .within(w[0], w[1], w[2], w[3]))
                .orElseGet(() -> Corrector.correct(layout, ROLES, options));
        Path out = Files.createTempDirectory(folder, "out");
        TiledCorrection.Written written = write(layout, options, window, tiles, out);
        StoredDoses stored = DoseTableReader.read(out);
        Pieces pieces = stored.pieces();
        assertEquals(written.totals().pieces(), pieces.size());
        assertEquals(
                whole.areaUm2(),
                IntStream.range(0, pieces.size()).mapToDouble(pieces::areaUm2).sum(),
                1e-6);
        sameDoses(whole, stored, Math.max(1e-4, options.tolerance()));
        uncorrected(whole, out);
        assertEquals(
                written.totals().pieces(),
                Flattener.of(LayoutFiles.read(out.resolve("corrected.gds"))).counts().values().stream()
                        .mapToLong(n -> n)
                        .sum());
        return written.parts().size();
    }

    private static TiledCorrection.Written write(
            Layout layout, CorrectionOptions options, Optional<double[]> window, int tiles, Path out) throws Exception {
        Flattener all = Flattener.of(layout);
        Flattener flattener =
                window.map(w -> DrawnPattern.part(w, options, all)).orElse(all);
        TileGrid grid = TileGrid.of(flattener, ROLES, options, window, tiles);
        List<Path> parts = IntStream.range(0, grid.tiles())
                .mapToObj(t -> out.resolve(DoseTableReader.part(t)))
                .toList();
        try (Workers workers = Workers.of(2);
                TileRunner runner = new TilesOnDisk(grid.tiles(), out, workers, Progress.NONE)) {
            TiledCorrection correction = TiledCorrection.correct(flattener, ROLES, options, grid, runner, workers);
            assertTrue(correction.convergence().converged());
            Path corrected = out.resolve("corrected.gds");
            return correction.write(
                    parts, out.resolve(TilePlace.FILE), corrected, LayoutFormat.GDSII, Optional.empty(), tile -> null);
        }
    }

    /** Tiles that part late have gone through all rounds: they know what their edges got without correction. */
    private static void uncorrected(DoseTable whole, Path out) {
        double sum = 0;
        double area = 0;
        try (CsvTable places = CsvTable.open(out.resolve(TilePlace.FILE), "part")) {
            while (places.next()) {
                try (CsvTable doses = CsvTable.open(out.resolve(places.text("part")), "energy_uncorrected")) {
                    while (doses.next()) {
                        double of = (doses.number("x3_um") - doses.number("x1_um"))
                                * (doses.number("y3_um") - doses.number("y1_um"));
                        sum += of * doses.number("energy_uncorrected");
                        area += of;
                    }
                }
            }
        }
        double wanted = 0;
        Pieces p = whole.pieces();
        int[] unit = p.unitOfPiece();
        for (int i = 0; i < p.size(); i++) {
            wanted += p.areaUm2(i) * whole.energyUncorrected(unit[i]);
        }
        assertEquals(wanted / whole.areaUm2(), sum / area, 2e-5);
    }

    /** Every piece of the whole lies, with its middle, in one piece of the same dose. */
    private static void sameDoses(DoseTable whole, StoredDoses stored, double within) {
        Pieces tiled = stored.pieces();
        int[] unitOf = tiled.unitOfPiece();
        Integer[] byLeft = IntStream.range(0, tiled.size()).boxed().toArray(Integer[]::new);
        Arrays.sort(byLeft, Comparator.comparingDouble(i -> tiled.cornerXUm(i, 0)));
        double[] left =
                Arrays.stream(byLeft).mapToDouble(i -> tiled.cornerXUm(i, 0)).toArray();
        Pieces all = whole.pieces();
        int[] unit = all.unitOfPiece();
        for (int i = 0; i < all.size(); i++) {
            double x = all.middleXUm(i);
            double y = all.middleYUm(i);
            int found = 0;
            for (int k = Math.abs(Arrays.binarySearch(left, x) + 1) - 1; k >= 0 && left[k] > x - 130; k--) {
                int other = byLeft[k];
                if (tiled.cornerXUm(other, 2) > x && tiled.cornerYUm(other, 0) < y && tiled.cornerYUm(other, 2) > y) {
                    found++;
                    double factor = whole.factor(unit[i]);
                    assertEquals(factor, stored.factor(unitOf[other]), within * factor, "at " + x + ", " + y + " um");
                    break;
                }
            }
            assertEquals(1, found, "pieces at " + x + ", " + y + " um");
        }
    }
}
