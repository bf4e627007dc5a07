package evendose.tiles;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertDoesNotThrow;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.Criterion;
import evendose.correction.DoseStatus;
import evendose.correction.DoseTable;
import evendose.correction.DrawnPattern;
import evendose.correction.EdgeMove;
import evendose.correction.LayerRole;
import evendose.correction.LevelRule;
import evendose.correction.LevelTrial;
import evendose.correction.OutlineError;
import evendose.correction.TileTotals;
import evendose.energy.ExactEnergy;
import evendose.files.BadInputException;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.LayoutBuilder;
import evendose.layout.formats.LayoutFiles;
import evendose.layout.formats.LayoutFormat;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.PieceRules;
import evendose.pieces.Pieces;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.psf.RadialTable;
import evendose.psf.TableTerm;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.ObjectInputStream;
import java.io.Serializable;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.SplittableRandom;
import java.util.concurrent.ConcurrentHashMap;
import java.util.function.BiConsumer;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * Tiles against the correction of the whole: the same units get the same doses, and edges, found from closed forms over all pieces, lie
 * where those of the whole lie.
 */
class TiledCorrectionTest {
    private static final PointSpreadFunction ONE = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);
    private static final PointSpreadFunction FIVE = PointSpreadFunction.from(List.of(
            new GaussianTerm(0.55, 0.02),
            new GaussianTerm(0.04, 0.1),
            new GaussianTerm(0.04, 0.5),
            new GaussianTerm(0.05, 2),
            new GaussianTerm(0.12, 6),
            new GaussianTerm(0.2, 12)));
    private static final Layer LAYER = new Layer(1, 0);
    private static final List<LayerRole> ROLES = List.of(LayerRole.corrected(LAYER));

    /** Doses that tiles have handed over, by run: what is handed over is made where the tile is. */
    private static final Map<String, Map<Integer, DoseTable>> TABLES = new ConcurrentHashMap<>();

    @TempDir
    private Path folder;

    /** Units stay even cells and pieces exact, so that both ways have the same units and the same outline. */
    static CorrectionOptions options(PointSpreadFunction psf) {
        return CorrectionOptions.builder(psf)
                .allowedEdgeError(1)
                .rules(PieceRules.exact())
                .tolerance(1e-6)
                .build();
    }

    private List<DoseTable> tiled(
            Layout layout, List<LayerRole> roles, CorrectionOptions options, int tiles, int threads) throws Exception {
        return tiled(folder, Flattener.of(layout), roles, options, Optional.empty(), tiles, threads);
    }

    /** The tables of tiles that have shapes to write, in their order. */
    static List<DoseTable> tiled(
            Path folder,
            Flattener flattener,
            List<LayerRole> roles,
            CorrectionOptions options,
            Optional<double[]> windowUm,
            int tiles,
            int threads)
            throws Exception {
        Flattener part =
                windowUm.map(w -> DrawnPattern.part(w, options, flattener)).orElse(flattener);
        TileGrid grid = TileGrid.of(part, roles, options, windowUm, tiles);
        Path states = Files.createTempDirectory(folder, "states");
        try (Workers workers = Workers.of(threads)) {
            try (TileRunner runner = new TilesOnDisk(grid.tiles(), states, workers, Progress.NONE)) {
                return tables(part, roles, options, grid, runner, workers, states.toString());
            } finally {
                assertArrayEquals(new String[0], states.toFile().list(), "nothing is left behind");
            }
        }
    }

    private static List<DoseTable> tables(
            Flattener flattener,
            List<LayerRole> roles,
            CorrectionOptions options,
            TileGrid grid,
            TileRunner runner,
            Workers workers,
            String run) {
        TABLES.put(run, new ConcurrentHashMap<>());
        TiledCorrection correction = TiledCorrection.correct(flattener, roles, options, grid, runner, workers);
        assertTrue(
                correction.convergence().converged(), correction.convergence().toString());
        if (roles.stream().anyMatch(role -> role.target() != 1)) {
            // The doses that were found come back after it.
            correction.judgeWideDoses();
        }
        correction.judged("handing over", tile -> {
            TABLES.get(run).put(tile.number(), tile.table());
            return null;
        });
        Map<Integer, DoseTable> tables = TABLES.remove(run);
        List<DoseTable> inOrder = new ArrayList<>();
        for (int t = 0; t < grid.tiles(); t++) {
            if (tables.containsKey(t)) {
                inOrder.add(tables.get(t));
            }
        }
        return inOrder;
    }

    @ParameterizedTest
    @Tag("slow")
    @CsvSource({"cd-500nm.gds, 1, 5", "cd-500nm.gds, 49, 1", "grating-coupler.gds, 4, 5", "grating-coupler.gds, 49, 1"})
    void realLayoutsComeOutAsWithoutTiles(String file, int tiles, int terms) throws Exception {
        agrees(LayoutFiles.read(TestData.file("layouts/" + file)), terms == 1 ? ONE : FIVE, tiles);
    }

    @ParameterizedTest
    @Tag("slow")
    @CsvSource({"4, 1", "49, 1", "1, 5", "49, 5"})
    void aFieldOfRectanglesComesOutAsWithoutTiles(int tiles, int terms) throws Exception {
        agrees(field(20_000, 100), terms == 1 ? ONE : FIVE, tiles);
    }

    /**
     * Teeth that lie in one cell are one unit also in tiles that do not see the back where they hang together. Teeth differ, so that doses would as
     * well. A tooth that reaches a little across a border of cells is cut there with the back, and not without it: edges beside it move by 0.03 nm.
     */
    @Test
    @Tag("slow")
    void combsComeOutAsWithoutTiles() throws Exception {
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        for (int comb = 0; comb < 4; comb++) {
            double x = 26 * (comb % 2);
            double y = 54 * (comb / 2);
            double back = comb % 2 == 0 ? y : y + 49;
            builder.rectangles(LAYER, x, back, x + 24, back + 1);
            for (int tooth = 0; tooth < 30; tooth++) {
                double left = nm(x + 0.8 * tooth);
                builder.rectangles(LAYER, left, y, nm(left + 0.2 + 0.08 * (tooth % 5)), y + 50);
            }
        }
        // What combs face: where both sides trade doses, units that differ show most.
        builder.rectangles(LAYER, 0, 50.008, 60, 53.9);
        agrees(builder.build(), ONE, 49, 2e-4, 0.05);
    }

    /** Gratings, pads of abutting squares, dots and lone lines, like the layout that whole runs are measured on. */
    private static Layout field(int rectangles, int fieldUm) {
        SplittableRandom random = new SplittableRandom(11);
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        int blocks = fieldUm / 20;
        int each = rectangles / (blocks * blocks);
        for (int b = 0; b < blocks * blocks; b++) {
            double x = 21 * (b % blocks);
            double y = 21 * (b / blocks);
            int side = (int) Math.sqrt(each);
            double step = Math.floor(20_000.0 / side) / 1000;
            double density = 0.2 + 0.6 * random.nextDouble();
            for (int k = 0; k < side * side; k++) {
                double px = x + step * (k % side);
                double py = y + step * (k / side);
                switch (b % 3) {
                    case 0 -> builder.rectangles(LAYER, nm(px), nm(y), nm(px + density * step), nm(y + 20));
                    case 1 ->
                        builder.rectangles(
                                LAYER,
                                nm(px),
                                nm(py),
                                nm(px + Math.sqrt(density) * step),
                                nm(py + Math.sqrt(density) * step));
                    default -> builder.rectangles(LAYER, nm(px), nm(py), nm(px + step), nm(py + step));
                }
            }
        }
        return builder.build();
    }

    private static double nm(double um) {
        return Math.rint(1000 * um) / 1000;
    }

    private void agrees(Layout layout, PointSpreadFunction psf, int tiles) throws Exception {
        agrees(layout, psf, tiles, 1e-4, 0.02);
    }

    private void agrees(Layout layout, PointSpreadFunction psf, int tiles, double dose, double edgeNm)
            throws Exception {
        CorrectionOptions options = options(psf);
        DoseTable whole = Corrector.correct(layout, ROLES, options);
        List<DoseTable> parts = tiled(layout, ROLES, options, tiles, 2);
        assertTrue(tiles == 1 || parts.size() > tiles / 2, parts.size() + " tiles have shapes");

        Map<String, Double> alone = new HashMap<>();
        for (int u = 0; u < whole.pieces().units(); u++) {
            alone.put(shape(whole.pieces(), u), whole.factor(u));
        }
        int same = 0;
        double area = 0;
        Pieces pieces = null;
        double[] doses = new double[0];
        for (DoseTable part : parts) {
            area += part.areaUm2();
            for (int u = 0; u < part.pieces().units(); u++) {
                Double before = alone.get(shape(part.pieces(), u));
                if (before != null) {
                    assertEquals(before, part.factor(u), dose * before);
                    same++;
                }
            }
            pieces = pieces == null ? part.pieces() : pieces.and(part.pieces());
            doses = Arrays.copyOf(doses, doses.length + part.factors().length);
            System.arraycopy(part.factors(), 0, doses, pieces.units() - part.factors().length, part.factors().length);
        }
        assertTrue(same > 0.4 * whole.pieces().units(), same + " units are the same");
        assertEquals(whole.areaUm2(), area, 1e-12 * area, "nothing is lost or doubled at borders");
        edgesLieTheSame(
                whole.pieces(),
                psf,
                ExactEnergy.ofUnits(whole.pieces(), whole.factors(), psf),
                ExactEnergy.ofUnits(pieces, doses, psf),
                edgeNm);
    }

    /**
     * Energies along edges, told tile by tile, against those that the correction of the whole measures by its own model. Points are others, since
     * how close they lie follows from the outline that is seen.
     */
    @ParameterizedTest
    @Tag("slow")
    @CsvSource({
        "cd-500nm.gds, 1, 5",
        "cd-500nm.gds, 4, 1",
        "cd-500nm.gds, 49, 5",
        "grating-coupler.gds, 4, 5",
        "grating-coupler.gds, 49, 1"
    })
    void energiesAlongEdgesAreToldAsWithoutTiles(String file, int tiles, int terms) throws Exception {
        Layout layout = LayoutFiles.read(TestData.file("layouts/" + file));
        CorrectionOptions options = options(terms == 1 ? ONE : FIVE);
        OutlineError whole = Corrector.correct(layout, ROLES, options).outlineError();
        OutlineError parts = written(folder, layout, options, tiles).outlineError();
        assertEquals(whole.rms(), parts.rms(), 0.005 * whole.rms());
        assertEquals(whole.p95(), parts.p95(), 0.01 * whole.p95());
        assertEquals(whole.max(), parts.max(), 1e-3 * whole.max());
        assertEquals(Math.abs(parts.places().get(0).off()), parts.max());
    }

    static TileTotals written(Path folder, Layout layout, CorrectionOptions options, int tiles) throws Exception {
        Flattener flattener = Flattener.of(layout);
        TileGrid grid = TileGrid.of(flattener, ROLES, options, tiles);
        Path states = Files.createTempDirectory(folder, "states");
        Path out = Files.createTempDirectory(folder, "written");
        try (Workers workers = Workers.of(2);
                TileRunner runner = new TilesOnDisk(grid.tiles(), states, workers, Progress.NONE)) {
            List<Path> names = IntStream.range(0, grid.tiles())
                    .mapToObj(t -> out.resolve("part-" + t))
                    .toList();
            return TiledCorrection.correct(flattener, ROLES, options, grid, runner, workers)
                    .write(
                            names,
                            out.resolve("tiles.csv"),
                            out.resolve("all.oas"),
                            LayoutFormat.OASIS,
                            Optional.empty(),
                            tile -> null)
                    .totals();
        }
    }

    /** The same unit has the same pieces. */
    static String shape(Pieces p, int u) {
        StringBuilder text = new StringBuilder();
        for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
            for (int k = 0; k < 4; k++) {
                text.append(p.cornerXUm(i, k))
                        .append(',')
                        .append(p.cornerYUm(i, k))
                        .append(' ');
            }
        }
        return text.toString();
    }

    private static void edgesLieTheSame(
            Pieces pieces, PointSpreadFunction psf, ExactEnergy whole, ExactEnergy tiles, double withinNm) {
        double[] ones = new double[pieces.units()];
        Arrays.fill(ones, 1);
        // What falls off at an edge is the direct term; the others make the slope less by a thousandth.
        double weight = psf.direct().weight();
        ExactEnergy direct = ExactEnergy.ofUnits(
                pieces, ones, PointSpreadFunction.from(psf.terms().subList(0, psf.directTerms())));
        SplittableRandom random = new SplittableRandom(5);
        int edges = 0;
        for (int n = 0; n < 1000; n++) {
            int i = random.nextInt(pieces.size());
            int k = random.nextInt(4);
            double f = 0.1 + 0.8 * random.nextDouble();
            double dx = pieces.cornerXUm(i, (k + 1) % 4) - pieces.cornerXUm(i, k);
            double dy = pieces.cornerYUm(i, (k + 1) % 4) - pieces.cornerYUm(i, k);
            double length = Math.hypot(dx, dy);
            double x = pieces.cornerXUm(i, k) + f * dx;
            double y = pieces.cornerYUm(i, k) + f * dy;
            double perUm = length > 0.05 ? -weight * direct.slopeAt(x, y, dy / length, -dx / length) : 0;
            // Sides between pieces are no edges: the energy hardly changes across.
            if (perUm > 5) {
                edges++;
                double offNm = 1e3 * (tiles.at(x, y) - whole.at(x, y)) / perUm;
                assertEquals(0, offNm, withinNm, "edge at (" + x + ", " + y + ") um, nm");
            }
        }
        assertTrue(edges > 100, edges + " edges");
    }

    /** The same doses to the last bit for any number of threads and any order of the tiles. */
    @Test
    void threadsAndOrderDoNotMatter() throws Exception {
        Layout layout = LayoutFiles.read(TestData.file("layouts/cd-500nm.gds"));
        List<DoseTable> one = tiled(layout, ROLES, options(ONE), 12, 1);
        List<DoseTable> three = tiled(layout, ROLES, options(ONE), 12, 3);
        Flattener flattener = Flattener.of(layout);
        TileGrid grid = TileGrid.of(flattener, ROLES, options(ONE), 12);
        try (Workers workers = Workers.of(2)) {
            List<DoseTable> backwards =
                    tables(flattener, ROLES, options(ONE), grid, new Backwards(grid.tiles()), workers, "backwards");
            assertEquals(one.size(), three.size());
            assertEquals(one.size(), backwards.size());
            for (int t = 0; t < one.size(); t++) {
                assertArrayEquals(one.get(t).factors(), three.get(t).factors());
                assertArrayEquals(one.get(t).factors(), backwards.get(t).factors());
            }
        }
    }

    /** Tiles in memory, as bytes, the last first. */
    private record Backwards(int tiles, List<Map<Class<?>, byte[]>> states) implements TileRunner {
        Backwards(int tiles) {
            this(tiles, new ArrayList<>());
            for (int t = 0; t < tiles; t++) {
                states.add(new HashMap<>());
            }
        }

        @Override
        public <I, R> List<R> each(String stage, List<I> inputs, Work<I, R> work) {
            List<R> results = new ArrayList<>(Collections.nCopies(tiles, null));
            try (Workers two = Workers.of(2)) {
                for (int t = tiles - 1; t >= 0; t--) {
                    Map<Class<?>, byte[]> values = states.get(t);
                    results.set(
                            t,
                            work.of(
                                    t,
                                    new State() {
                                        @Override
                                        public <T extends Serializable> T get(Class<T> kind) {
                                            return kind.cast(value(values.get(kind)));
                                        }

                                        @Override
                                        public <T extends Serializable> T take(Class<T> kind) {
                                            return kind.cast(value(values.remove(kind)));
                                        }

                                        @Override
                                        public void put(Serializable value) {
                                            values.put(value.getClass(), bytes(value));
                                        }
                                    },
                                    inputs.get(t),
                                    two));
                }
            }
            return results;
        }

        private static byte[] bytes(Serializable value) {
            ByteArrayOutputStream bytes = new ByteArrayOutputStream();
            try (StateStream out = new StateStream(bytes)) {
                out.writeObject(value);
            } catch (IOException e) {
                throw new UncheckedIOException(e);
            }
            return bytes.toByteArray();
        }

        private static Object value(byte[] bytes) {
            if (bytes == null) {
                return null;
            }
            try (ObjectInputStream in = new ObjectInputStream(new ByteArrayInputStream(bytes))) {
                return in.readObject();
            } catch (IOException | ClassNotFoundException e) {
                throw new AssertionError(e);
            }
        }

        @Override
        public <T extends Serializable> void fetch(Class<T> kind, BiConsumer<Integer, T> use) {
            throw new AssertionError("nothing is fetched");
        }

        @Override
        public void close() {
            states.clear();
        }
    }

    /** A long part as a table: an exponential, which no Gaussian resembles. */
    private static PointSpreadFunction withTable() {
        double[] r = IntStream.range(0, 90)
                .mapToDouble(k -> 0.05 * Math.pow(10, k / 30.0))
                .toArray();
        double[] density = Arrays.stream(r).map(x -> Math.exp(-x / 3)).toArray();
        return PointSpreadFunction.from(
                List.of(new GaussianTerm(0.6, 0.02)), Optional.of(new TableTerm(0.4, RadialTable.of(r, density))));
    }

    /** Fixed doses, targets and bounds, the other criterion, a bias either way, and a table. */
    @Test
    void optionsHoldInTiles() throws Exception {
        Layer fixed = new Layer(2, 0);
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        for (int k = 0; k < 200; k++) {
            double x = 2 * (k % 20);
            double y = 4 * (k / 20);
            builder.rectangles(k % 3 == 0 ? fixed : LAYER, x, y, x + 0.3 + 0.006 * k, y + 3);
        }
        builder.rectangles(LAYER, 0, 50, 40, 50.4);
        // Inside a pad no edge tells the direct share, and with a bias it is not half.
        builder.rectangles(LAYER, 0, 60, 15, 70);
        Layout layout = builder.build();
        List<LayerRole> roles = List.of(LayerRole.corrected(LAYER, 0.8), LayerRole.fixed(fixed, 1.3));
        for (CorrectionOptions options : List.of(
                options(ONE).toBuilder().maxFactor(1.1).build(),
                options(ONE).toBuilder().referenceDensity(1).build(),
                options(ONE).toBuilder().biasUm(0.02).build(),
                options(ONE).toBuilder().biasUm(-0.005).build(),
                options(withTable()),
                CorrectionOptions.builder(ONE)
                        .criterion(Criterion.MEAN)
                        .tolerance(1e-6)
                        .build())) {
            DoseTable whole = Corrector.correct(layout, roles, options);
            Map<String, Integer> units = new HashMap<>();
            for (int u = 0; u < whole.pieces().units(); u++) {
                units.put(shape(whole.pieces(), u), u);
            }
            int found = 0;
            int inside = 0;
            boolean held = false;
            for (DoseTable part : tiled(layout, roles, options, 4, 2)) {
                for (int u = 0; u < part.pieces().units(); u++) {
                    Integer alone = units.get(shape(part.pieces(), u));
                    if (alone != null) {
                        found++;
                        double[] box = part.pieces().unitBoundsUm(u);
                        inside += box[0] > 1 && box[1] > 61 && box[2] < 14 && box[3] < 69 ? 1 : 0;
                        assertEquals(whole.factor(alone), part.factor(u), 1e-5);
                        assertEquals(whole.status(alone), part.status(u));
                        assertEquals(whole.energyUncorrected(alone), part.energyUncorrected(u), 1e-5);
                        assertEquals(whole.energyCorrected(alone), part.energyCorrected(u), 1e-5);
                        held |= part.status(u) == DoseStatus.AT_MAXIMUM;
                    }
                }
            }
            assertTrue(found - inside > 190, found + " units are the same");
            assertTrue(inside > 12, inside + " of them inside the pad");
            assertEquals(options.maxFactor() == 1.1, held);
        }
    }

    /**
     * The same levels to 1e-4, nearly all units on the same one, and no more error: which of two levels that do as well a unit takes depends on
     * the order in which units move.
     */
    @ParameterizedTest
    @CsvSource({"OPTIMAL, 6, false", "GEOMETRIC, 12, false", "STEP, 0, false", "OPTIMAL, 5, true"})
    void levelsAreThoseWithoutTiles(LevelRule.Spacing spacing, int count, boolean onePerShape) throws Exception {
        Layer fixed = new Layer(2, 0);
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        SplittableRandom random = new SplittableRandom(8);
        for (int k = 0; k < 400; k++) {
            double x = 2 * (k % 20);
            double y = 2 * (k / 20);
            builder.rectangles(k % 7 == 0 ? fixed : LAYER, x, y, nm(x + 0.2 + 1.4 * random.nextDouble()), y + 1.5);
        }
        Layout layout = builder.build();
        List<LayerRole> roles = List.of(LayerRole.corrected(LAYER), LayerRole.fixed(fixed, 1.3));
        CorrectionOptions options = options(ONE).toBuilder()
                .levels(new LevelRule(spacing, count, spacing == LevelRule.Spacing.STEP ? 2.5 : 0))
                .oneDosePerShape(onePerShape)
                .build();
        DoseTable whole = Corrector.correct(layout, roles, options);
        Map<String, Integer> units = new HashMap<>();
        for (int u = 0; u < whole.pieces().units(); u++) {
            units.put(shape(whole.pieces(), u), u);
        }
        double[] levels = whole.levels().factors();
        int same = 0;
        int found = 0;
        double[] squares = new double[2];
        for (DoseTable part : tiled(layout, roles, options, 4, 2)) {
            assertArrayEquals(levels, part.levels().factors(), 1e-4);
            for (int u = 0; u < part.pieces().units(); u++) {
                int alone = units.get(shape(part.pieces(), u));
                found++;
                assertEquals(part.levels().factor(part.level(u)), part.factor(u));
                same += part.level(u) == whole.level(alone) ? 1 : 0;
                if (part.status(u) == DoseStatus.FIXED) {
                    assertEquals(1.3, part.factor(u));
                } else {
                    boolean isMet = Math.abs(part.energyCorrected(u) / 0.5 - 1) <= 1e-6;
                    assertEquals(!isMet, part.status(u) == DoseStatus.COARSE_LEVEL);
                    squares[0] += Math.pow(whole.energyCorrected(alone) / 0.5 - 1, 2);
                    squares[1] += Math.pow(part.energyCorrected(u) / 0.5 - 1, 2);
                }
            }
        }
        assertEquals(whole.pieces().units(), found);
        assertTrue(same > 0.9 * found, same + " of " + found + " on the same level");
        assertTrue(squares[1] < 1.05 * squares[0], squares[1] + " squared errors, " + squares[0] + " without tiles");
    }

    /** Where neighbours count for more than a dot itself, moving among few levels takes off a quarter of the squared error, in tiles as well. */
    @Test
    void dosesMoveAmongLevelsAsWithoutTiles() throws Exception {
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        SplittableRandom random = new SplittableRandom(9);
        for (int k = 0; k < 1600; k++) {
            double x = 0.5 * (k % 40);
            double y = 0.5 * (k / 40);
            double side = nm(0.15 + 0.005 * (k % 40) + 0.1 * random.nextDouble());
            builder.rectangles(LAYER, x, y, nm(x + side), nm(y + side));
        }
        Layout layout = builder.build();
        CorrectionOptions options = options(PointSpreadFunction.doubleGaussian(0.02, 2, 2)).toBuilder()
                .levels(LevelRule.geometric(4))
                .build();
        DoseTable whole = Corrector.correct(layout, ROLES, options);
        LevelTrial cost = whole.levelCost().orElseThrow();
        assertTrue(cost.rms() < 0.9 * cost.snappedRms(), cost.toString());
        double[] squares = new double[2];
        for (int u = 0; u < whole.pieces().units(); u++) {
            squares[0] += Math.pow(whole.energyCorrected(u) / 0.5 - 1, 2);
        }
        for (DoseTable part : tiled(layout, ROLES, options, 4, 2)) {
            for (int u = 0; u < part.pieces().units(); u++) {
                squares[1] += Math.pow(part.energyCorrected(u) / 0.5 - 1, 2);
            }
        }
        assertTrue(
                squares[1] < 1.1 * squares[0],
                squares[1] + " squared errors, " + squares[0] + " without tiles; " + cost);
    }

    @Test
    void shapesThatFitATileCanHaveOneDose() throws Exception {
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        for (int k = 0; k < 300; k++) {
            double x = 2 * (k % 25);
            double y = 9 * (k / 25);
            builder.rectangles(LAYER, x, y, x + 0.3 + 0.004 * k, y + 8);
        }
        Layout layout = builder.build();
        CorrectionOptions options =
                options(ONE).toBuilder().oneDosePerShape(true).build();
        DoseTable whole = Corrector.correct(layout, ROLES, options);
        Map<String, Double> alone = new HashMap<>();
        for (int u = 0; u < whole.pieces().units(); u++) {
            alone.put(shape(whole.pieces(), u), whole.factor(u));
        }
        int units = 0;
        for (DoseTable part : tiled(layout, ROLES, options, 2, 2)) {
            for (int u = 0; u < part.pieces().units(); u++) {
                assertEquals(alone.get(shape(part.pieces(), u)), part.factor(u), 1e-5);
                units++;
            }
        }
        assertEquals(whole.pieces().units(), units, "no shape is cut");
    }

    @Test
    void aShapeThatFitsNoTileIsNamed() {
        Layout layout = Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LAYER, 0, 0, 40, 1, 0, 2, 1, 40)
                .build();
        CorrectionOptions options =
                options(ONE).toBuilder().oneDosePerShape(true).build();
        BadInputException e = assertThrows(BadInputException.class, () -> tiled(layout, ROLES, options, 4, 1));
        assertTrue(e.getMessage().contains("shape from (0.000, 0.000) to (40.000, 1.000) um"), e.getMessage());
    }

    /** Each place is told of by the tile that it lies in, and no other place at borders. */
    @Test
    void aBiasThatClosesAGapIsRefused() {
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        // Wide shapes of thin strips: a tile sees a part of the strips only.
        for (int k = 0; k < 2000; k++) {
            builder.rectangles(LAYER, 0.02 * k, 0, 0.02 * (k + 1), 40);
        }
        builder.rectangles(LAYER, 33, 40.03, 34, 41);
        Layout layout = builder.build();
        CorrectionOptions closing = options(ONE).toBuilder().biasUm(0.016).build();
        BadInputException e = assertThrows(BadInputException.class, () -> tiled(layout, ROLES, closing, 9, 1));
        assertTrue(e.getMessage().contains("of 16 nm closes a gap about (33.500, 40.015) um"), e.getMessage());
        CorrectionOptions shrinking = options(ONE).toBuilder().biasUm(-0.016).build();
        assertDoesNotThrow(() -> tiled(layout, ROLES, shrinking, 9, 1));
    }

    @Test
    void whatDoesNotGoInTilesIsRefused() {
        CorrectionOptions moved = options(ONE).toBuilder()
                .moves(List.of(new EdgeMove(LAYER, 0, 1, 0, 0, 0.01)))
                .build();
        assertEquals("moved edges", TiledCorrection.refused(moved).orElseThrow());
        assertTrue(TiledCorrection.refused(options(FIVE)).isEmpty());
    }
}
