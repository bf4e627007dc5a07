package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DoseTable;
import evendose.correction.LayerRole;
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
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.tiles.JudgedTile;
import evendose.tiles.TileGrid;
import evendose.tiles.TiledCorrection;
import evendose.tiles.TilesOnDisk;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collections;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** What tiles are expected to do, against the correction of the whole: its doses at the same places by closed forms, and what is told of it. */
class PredictionInTilesTest {
    private static final PointSpreadFunction ONE = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);

    /** The term of 0.1 um is on a shared grid of 25 nm. */
    private static final PointSpreadFunction FIVE = PointSpreadFunction.from(List.of(
            new GaussianTerm(0.55, 0.02),
            new GaussianTerm(0.04, 0.1),
            new GaussianTerm(0.04, 0.5),
            new GaussianTerm(0.05, 2),
            new GaussianTerm(0.32, 12)));

    private static final Layer LAYER = new Layer(1, 0);
    private static final List<LayerRole> ROLES = List.of(LayerRole.corrected(LAYER));

    /** What tiles looked at, by run: it is made where the tile is. */
    private static final Map<String, List<Looked>> LOOKED = new ConcurrentHashMap<>();

    @TempDir
    private Path folder;

    /** Places of a tile, where its edges are expected, and what it tells. */
    private record Looked(OutlineEdges edges, EdgeGauges places, OutlineFindings found) {}

    /** Units stay even cells and pieces exact, so that both ways have the same units and the same outline. */
    private static CorrectionOptions options(PointSpreadFunction psf) {
        return CorrectionOptions.builder(psf)
                .allowedEdgeError(1)
                .rules(PieceRules.exact())
                .tolerance(1e-6)
                .build();
    }

    private static OutlineFindings look(
            JudgedTile tile, CorrectionOptions options, int tiles, OptionalDouble allowed, String run) {
        OutlineFindings found = OutlineFindings.ofTile(
                tile.drawn(),
                ROLES,
                options,
                tile.energy(false),
                tile.energy(true),
                tile.density(),
                tiles,
                allowed,
                true,
                tile.workers());
        OutlineSample outline = new OutlineSample(tile.drawn(), tile.workers());
        OutlineEdges edges = outline.edges();
        EdgeGauges places = EdgeGauges.awayFromCorners(
                edges,
                Exposure.ofEnergies(ROLES, options, tile.density()),
                OutlineFindings.Effort.ofPart(tiles, edges.size(), true).places(),
                outline.region(),
                3);
        LOOKED.get(run).add(new Looked(edges, places, found));
        return found;
    }

    /** What all tiles tell together. */
    private Prediction tiled(Layout layout, CorrectionOptions options, int tiles, double allowedNm, String run)
            throws Exception {
        Flattener flattener = Flattener.of(layout);
        TileGrid grid = TileGrid.of(flattener, ROLES, options, tiles);
        CorrectionOptions sent =
                options.toBuilder().threads(1).progress(Progress.NONE).build();
        int count = grid.tiles();
        Path out = Files.createTempDirectory(folder, "out");
        List<Path> parts = IntStream.range(0, count)
                .mapToObj(t -> out.resolve("part-" + t))
                .toList();
        LOOKED.put(run, Collections.synchronizedList(new ArrayList<>()));
        try (Workers workers = Workers.of(2);
                TilesOnDisk runner =
                        new TilesOnDisk(count, Files.createDirectory(out.resolve("states")), workers, Progress.NONE)) {
            TiledCorrection.Written<OutlineFindings> written = TiledCorrection.correct(
                            flattener, ROLES, options, grid, runner, workers)
                    .write(
                            parts,
                            out.resolve("tiles.csv"),
                            out.resolve("all.oas"),
                            LayoutFormat.OASIS,
                            Optional.empty(),
                            tile -> look(tile, sent, count, allowed(allowedNm), run));
            List<OutlineFindings> found = written.made().stream()
                    .map(made -> made.of().moved(made.dxUm(), made.dyUm()))
                    .toList();
            if (run.equals("wafer36true")) {
                assertTrue(written.parts().size() < written.tiles(), "some tiles are equal");
                found.forEach(f -> assertTrue(f.widths.size() > 1, "widths"));
                lieInTilesOfTheirOwn(found, grid);
            }
            return Prediction.joined(found, allowed(allowedNm));
        }
    }

    /** All that a tile tells of lies in one tile, and no other tells of that. */
    private static void lieInTilesOfTheirOwn(List<OutlineFindings> found, TileGrid grid) {
        Set<Integer> tiles = new HashSet<>();
        for (OutlineFindings of : found) {
            Set<Integer> told = new HashSet<>();
            of.concerns.forEach(spot -> told.add(tile(spot.xUm(), spot.yUm(), grid)));
            of.failures.forEach(spot -> told.add(tile(spot.xUm(), spot.yUm(), grid)));
            of.widths.forEach(
                    width -> told.add(tile(width.gauge().xUm(), width.gauge().yUm(), grid)));
            assertEquals(1, told.size(), told.toString());
            assertTrue(tiles.addAll(told), "told of twice: " + told);
        }
    }

    private static int tile(double xUm, double yUm, TileGrid grid) {
        return IntStream.range(0, grid.tiles())
                .filter(t -> grid.tile(t).holds(1e3 * xUm, 1e3 * yUm))
                .findFirst()
                .orElseThrow();
    }

    private static OptionalDouble allowed(double nm) {
        return nm > 0 ? OptionalDouble.of(nm) : OptionalDouble.empty();
    }

    private static Prediction whole(DoseTable table, double allowedNm, Workers workers) {
        Exposure exposure = Exposure.of(table);
        OutlineSample outline = OutlineSample.of(
                table.pattern(), Optional.empty(), Prediction.reachUm(exposure.psf()), workers, Progress.NONE);
        return WholePrediction.of(exposure, outline, allowed(allowedNm), true, workers, Progress.NONE)
                .found();
    }

    /**
     * At the places that tiles look at, edges lie within 0.02 nm of where closed forms over the doses of the whole put them, with and without doses,
     * and energies are off by the same to 1e-3. As many edges are scanned: but of the smallest tiles some own nothing, and look at nothing, and of
     * more than 200,000 edges tiles take some of their surroundings. Statistics of other places agree as samples do.
     */
    @ParameterizedTest
    @Tag("slow")
    @CsvSource({
        "cd-500nm.gds, 1, 5, 0.3, 1e-4, 0",
        "cd-500nm.gds, 4, 1, 0.05, 0.1, 0",
        "cd-500nm.gds, 49, 5, 0.3, 0.15, 0.05",
        "phc-waveguides.gds, 4, 1, 0.05, 0.1, 0.1"
    })
    void edgesComeOutAsWithoutTiles(
            String file, int tiles, int terms, double allowedNm, double sampling, double scanned) throws Exception {
        Layout layout = LayoutFiles.read(TestData.file("layouts/" + file));
        CorrectionOptions options = options(terms == 1 ? ONE : FIVE);
        String run = file + tiles;
        Prediction parts = tiled(layout, options, tiles, allowedNm, run);
        DoseTable table = Corrector.correct(layout, ROLES, options);
        Exposure exposure = Exposure.of(table);
        ContourSearch search = ContourSearch.of(options.psf());
        try (Workers workers = Workers.of(2)) {
            int places = 0;
            for (Looked looked : LOOKED.remove(run)) {
                for (boolean corrected : new boolean[] {false, true}) {
                    PointEnergy exact = looked.places.ready(exposure.exact(corrected), workers);
                    double[] edges = looked.places.awayFromCorners(looked.places.placementsNm(exact, search, workers));
                    double[] energies = looked.places.awayFromCorners(looked.places.energyErrors(exact, workers));
                    assertArrayEquals(
                            edges, corrected ? looked.found.placedAfter : looked.found.placedBefore, 0.02, "nm");
                    assertArrayEquals(energies, corrected ? looked.found.energyAfter : looked.found.energyBefore, 1e-3);
                }
                places += looked.found.placedAfter.length;
            }
            Prediction whole = whole(table, allowedNm, workers);
            assertEquals(places, parts.places());
            assertTrue(places > 0.7 * whole.places(), places + " of " + whole.places());
            assertEquals(whole.edgesScanned(), parts.edgesScanned(), scanned * whole.edgesScanned());
            agree(whole.placementBefore(), parts.placementBefore(), sampling);
            agree(whole.placementAfter(), parts.placementAfter(), 2 * sampling);
            agree(whole.energyBefore(), parts.energyBefore(), sampling);
            double failed = failed(whole.verdict()) / (double) whole.places();
            assertEquals(failed, failed(parts.verdict()) / (double) parts.places(), 0.2 * failed);
            widthsAreThose(parts.widths(), exposure, terms == 1);
            assertTrue(failed > 0.001, failed + " of all places");
            assertEquals(
                    whole.verdict().sentences().get(0).substring(0, 26),
                    parts.verdict().sentences().get(0).substring(0, 26));
            assertEquals(
                    whole.verdict().worst().get(0).size(),
                    parts.verdict().worst().get(0).size(),
                    tiles == 1 ? 0.01 : 0.5 * whole.verdict().worst().get(0).size());
        }
    }

    /** Widths by closed forms over all pieces, and densities where one long term makes them up. */
    private static void widthsAreThose(List<LineWidth> widths, Exposure exposure, boolean isOneTerm) {
        WidthMeasurement measurement = new WidthMeasurement(exposure);
        PointEnergy before = exposure.exact(false);
        PointEnergy after = exposure.exact(true);
        PointEnergy density = exposure.exact(false, PointSpreadFunction::mainAlone);
        assertTrue(widths.size() > 10, widths.size() + " widths");
        for (LineWidth width : widths) {
            WidthGauge g = width.gauge();
            assertEquals(measurement.widthUm(before, g, 1), width.uncorrectedUm(), 5e-5, g.toString());
            assertEquals(measurement.widthUm(after, g, 1), width.correctedUm(), 5e-5, g.toString());
            if (isOneTerm) {
                assertEquals(density.at(g.xUm(), g.yUm()), g.density(), 2e-3, g.toString());
            }
        }
    }

    private static long failed(Verdict verdict) {
        return verdict.lost() + verdict.closed() + verdict.off();
    }

    private static void agree(Spread expected, Spread told, double share) {
        assertEquals(expected.rms(), told.rms(), share * expected.rms(), "rms");
        assertEquals(expected.p95(), told.p95(), share * expected.p95(), "95 %");
    }

    /** A chip of squares with a line that is too thin and a gap that closes, placed in rows by itself. */
    private static LayoutBuilder wafer(int chips, double pitch) {
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        for (int c = 0; c < chips * chips; c++) {
            double x = pitch * (c % chips);
            double y = pitch * (c / chips);
            for (int k = 0; k < 64; k++) {
                double px = x + 1.5 * (k % 8);
                double py = y + 1.5 * (k / 8);
                builder.rectangles(LAYER, px, py, px + 0.5, py + 0.6);
            }
            builder.rectangles(LAYER, x + 14, y + 2, x + 14.01, y + 8);
        }
        return builder;
    }

    /** Where thin lines are lost, all tiles find what the whole finds: the scan misses no edge, and each chip's own line is named where it lies. */
    @ParameterizedTest
    @CsvSource({"36, true", "16, false"})
    void placesAreNamedWhereTheyLie(int tiles, boolean equal) throws Exception {
        int chips = 6;
        double pitch = equal ? 60 : 24;
        Layout layout = equal ? array(chips, pitch) : wafer(chips, pitch).build();
        CorrectionOptions options = options(ONE).toBuilder()
                .maxFactor(1.2)
                .tolerance(equal ? 1e-3 : 1e-6)
                .build();
        Prediction parts = tiled(layout, options, tiles, 0, "wafer" + tiles + equal);
        LOOKED.remove("wafer" + tiles + equal);
        DoseTable table = Corrector.correct(layout, ROLES, options);
        try (Workers workers = Workers.of(2)) {
            Prediction whole = whole(table, 0, workers);
            assertEquals(chips * chips * (64 * 4 + 4), whole.edgesScanned());
            assertEquals(whole.edgesScanned(), parts.edgesScanned());
            Set<String> chipsNamed = new HashSet<>();
            for (TroubleSpot spot : parts.worst()) {
                assertEquals(TroubleSpot.Kind.LOST_LINE, spot.kind());
                double x = spot.xUm() - pitch * Math.floor(spot.xUm() / pitch);
                double y = spot.yUm() - pitch * Math.floor(spot.yUm() / pitch);
                assertEquals(14.005, x, 0.006);
                assertTrue(y >= 2 && y <= 8, spot.toString());
                chipsNamed.add(Math.floor(spot.xUm() / pitch) + " " + Math.floor(spot.yUm() / pitch));
            }
            assertEquals(OutlineFindings.WORST, parts.worst().size());
            assertTrue(chipsNamed.size() > 5, chipsNamed.toString());
            TroubleSpot worst = whole.verdict().worst().get(0);
            TroubleSpot told = parts.verdict().worst().get(0);
            assertEquals(worst.kind(), told.kind());
            assertEquals(worst.size(), told.size(), 2e-3 * worst.size());
            assertEquals(
                    whole.verdict().sentences().get(0).split(":")[0].replaceAll("[0-9,]+", "N"),
                    parts.verdict().sentences().get(0).split(":")[0].replaceAll("[0-9,]+", "N"));
        }
    }

    /** The same as cells in an array, which tiles can tell. */
    private Layout array(int chips, double pitch) throws Exception {
        Path file = folder.resolve("array.gds");
        try (var writer = new evendose.layout.gdsii.GdsiiWriter(
                Files.newOutputStream(file), file.toString(), "WAFER", DatabaseUnit.NANOMETRE)) {
            writer.beginCell("CHIP");
            writer.layer(LAYER);
            for (int k = 0; k < 64; k++) {
                long px = 1500L * (k % 8);
                long py = 1500L * (k / 8);
                writer.rectangle(px, py, px + 500, py + 600);
            }
            writer.rectangle(14_000, 2000, 14_010, 8000);
            writer.endCell();
            writer.beginCell("WAFER");
            for (int k = 0; k < chips * chips; k++) {
                writer.place("CHIP", (long) (1000 * pitch) * (k % chips), (long) (1000 * pitch) * (k / chips));
            }
            writer.endCell();
        }
        return LayoutFiles.read(file);
    }

    /** Of many polygons each tile looks at some in windows of its own, whose outline is the drawn one. */
    @Test
    @Tag("slow")
    void ofManyPolygonsATileLooksAtSome() throws Exception {
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        for (int k = 0; k < 60_024; k++) {
            int column = k % 244;
            double x = 0.5 * column;
            double y = 0.5 * (k / 244);
            if (column / 20 % 2 == 0) {
                // Pads 10 um wide, the last one 2 um, of squares that abut.
                builder.rectangles(LAYER, x, y, x + 0.5, y + 0.5);
            } else if (column % 20 > 1) {
                // Between them every other column abuts the next.
                builder.rectangles(LAYER, x, y, x + (column % 2 == 0 ? 0.5 : 0.2), y + 0.3);
            }
        }
        Prediction parts =
                tiled(builder.build(), options(ONE).toBuilder().tolerance(1e-3).build(), 4, 0, "many");
        int edges = 0;
        for (Looked looked : LOOKED.remove("many")) {
            edges += looked.edges.size();
            for (int g = 0; g < looked.places.size(); g++) {
                int e = looked.places.edge[g];
                boolean upright = Math.abs(looked.edges.outX(e)) > 0.5;
                double x = looked.places.xUm[g] % 1;
                double y = looked.places.yUm[g] % 0.5;
                double off = upright
                        ? Math.min(Math.min(x, 1 - x), Math.abs(x - 0.7))
                        : Math.min(Math.min(y, 0.5 - y), Math.abs(y - 0.3));
                assertEquals(0, off, 1e-6, "on a drawn edge");
            }
        }
        assertTrue(edges > 4000 && edges < 40_000, edges + " edges of 120,000");
        assertTrue(parts.places() > 1000, parts.places() + " places");
        assertTrue(parts.placementAfter().max() < 1, parts.placementAfter() + " nm");
        assertTrue(parts.verdict().good(), parts.verdict().sentences().toString());
        for (LineWidth width : parts.widths()) {
            double um = width.gauge().drawnUm();
            assertTrue(um < 0.71 || Math.abs(um - 2) < 1e-6 || Math.abs(um - 10) < 1e-6, width + " was drawn");
        }
        assertTrue(parts.widths().size() >= 2, parts.widths().size() + " widths");
    }
}
