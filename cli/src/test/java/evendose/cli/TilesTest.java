package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.LayerRole;
import evendose.files.JsonInput;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.gdsii.GdsiiWriter;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class TilesTest {
    private static final Path LAYOUT = Tool.testdata("layouts/cd-500nm.gds");

    @TempDir
    Path folder;

    private Tool tiled(Path out, Object... more) {
        List<Object> words = new ArrayList<>(List.of("--tiles", 4, "--out", out));
        words.addAll(List.of(more));
        return Tool.correct(LAYOUT, words.toArray());
    }

    @Test
    void partsAreOneResult() throws IOException {
        Path out = folder.resolve("out");
        Tool run =
                tiled(out, "--base-dose-uc-per-cm2", 300, "--format", "oasis").ends(0);
        assertTrue(run.err().contains("corrected in 3 tiles, 2 at a time"), run.err());
        assertTrue(run.out().contains("3 x 1 tiles"), run.out());
        assertTrue(run.out().contains("never replace a dose test"), run.out());
        assertTrue(run.out().contains("energy along edges off by "), run.out());
        assertEquals(
                List.of(
                        "corrected.oas",
                        "doses-part-000000.csv.gz",
                        "doses-part-000001.csv.gz",
                        "doses-part-000002.csv.gz",
                        "levels.csv",
                        "report.html",
                        "summary.json",
                        "tiles.csv"),
                Tool.names(out).stream().sorted().toList());
        JsonInput summary = JsonInput.read(out.resolve("summary.json"));
        assertEquals(3, summary.get("tiles").get("columns").number());
        assertTrue(summary.get("converged").truth());
        String verdict = run.out().lines().findFirst().orElseThrow();
        assertTrue(verdict.startsWith("Comes out as drawn: at "), run.out());
        assertTrue(summary.get("verdict").get("text").text().startsWith(verdict), verdict);

        String page = Files.readString(out.resolve("report.html"));
        assertTrue(page.contains("<section class=\"verdict good\"><p>" + verdict), "the verdict stands first");
        assertEquals(
                List.of("doses", "widths", "edges", "places", "job", "convergence", "repeat"),
                Pattern.compile("<section id=\"(\\w+)\"")
                        .matcher(page)
                        .results()
                        .map(found -> found.group(1))
                        .toList());
        assertEquals(5, page.split("<img", -1).length - 1, "map, widths, function, convergence, histogram");
        assertFalse(page.contains("<script"), "nothing to click");
        assertTrue(run.out().contains("next: look at " + out.resolve("report.html")), run.out());

        // The check knows nothing of tiles: areas are all there once, and edges lie where they are drawn.
        Tool check = Tool.run("verify", out, LAYOUT).ends(0);
        assertTrue(check.out().contains("all accounted for"), check.out());
        Tool.run("plan", out, "--current-na", 1, "--step-nm", 4, "--out", folder.resolve("plan"))
                .ends(0);
    }

    /** The check judges doses on levels, and edges of what is exposed with a bias, without knowing of tiles. */
    @Test
    void levelsAndABiasAreThoseOfTheWholeRun() throws IOException {
        String[] options = {"--levels", "8", "--bias-nm", "-2", "--base-dose-uc-per-cm2", "300", "--no-report"};
        Path whole = folder.resolve("whole");
        Path parts = folder.resolve("parts");
        List<Object> alone = new ArrayList<>(List.of("--out", whole));
        alone.addAll(List.of(options));
        Tool.correct(LAYOUT, alone.toArray()).ends(0);
        Tool run = tiled(parts, (Object[]) options).ends(0);
        assertTrue(run.out().contains("8 dose levels, which add "), run.out());
        assertFalse(Files.exists(parts.resolve("report.html")));
        assertTrue(run.out().contains("next: evendose verify " + parts), run.out());
        JsonInput one = JsonInput.read(whole.resolve("summary.json"));
        JsonInput many = JsonInput.read(parts.resolve("summary.json"));
        for (JsonInput told : List.of(one, many)) {
            assertTrue(told.get("verdict").get("as_drawn").truth());
            assertTrue(told.get("verdict").get("notes").elements().get(0).text().startsWith("8 dose levels leave "));
        }
        assertEquals(8, many.get("levels").number());
        // Pieces are others as well, and with a bias corners lie off the grid: that is 3e-5 here.
        double area = one.get("area_um2").number();
        assertEquals(area, many.get("area_um2").number(), 1e-4 * area);
        double rms = one.get("level_cost").get("added_rms_error").number();
        // Units are others, since the whole is divided along edges.
        double inTiles = many.get("level_cost").get("added_rms_error").number();
        assertTrue(inTiles > 0 && inTiles < 1.2 * rms, inTiles + " rms, " + rms + " without tiles");
        assertEquals(9, Files.readAllLines(parts.resolve("levels.csv")).size());
        Tool check = Tool.run("verify", parts, LAYOUT).ends(0);
        assertTrue(check.out().contains("all accounted for"), check.out());
    }

    /** Tiles beside the window write nothing; what is written is told as for the whole. */
    @Test
    void aWindowIsWrittenAsOfTheWholeRun() throws IOException {
        // Units as large as bars: the whole divides none along edges.
        List<Object> options =
                List.of("--window", "5,1,10,5", "--allowed-edge-percent", 100, "--outline-tolerance-nm", 0);
        Path whole = folder.resolve("whole");
        List<Object> alone = new ArrayList<>(List.of("--no-report", "--out", whole));
        alone.addAll(options);
        Tool.correct(LAYOUT, alone.toArray()).ends(0);
        Path parts = folder.resolve("parts");
        List<Object> nine = new ArrayList<>(List.of("--tiles", 9, "--out", parts));
        nine.addAll(options);
        Tool run = Tool.correct(LAYOUT, nine.toArray()).ends(0);
        assertTrue(run.err().contains("corrected in 8 tiles"), run.err());
        JsonInput one = JsonInput.read(whole.resolve("summary.json"));
        JsonInput many = JsonInput.read(parts.resolve("summary.json"));
        assertEquals(1, many.get("window_um").elements().get(1).number());
        assertEquals(one.get("area_um2").number(), many.get("area_um2").number(), 1e-9);
        double dosed = one.get("dosed_area_um2").number();
        assertEquals(dosed, many.get("dosed_area_um2").number(), 1e-4 * dosed);
        assertTrue(Tool.names(parts).stream().filter(n -> n.contains("part")).count() < 8, Tool.names(parts) + "");
        Tool check = Tool.run("verify", parts, LAYOUT).ends(3);
        assertTrue(check.err().contains("holds the doses of a window only"), check.err());
    }

    /** The check takes the loading from the summary, and finds the density by itself. */
    @Test
    void theLoadingOfTheDevelopmentIsThatOfTheWholeRun() throws IOException {
        Path table = Files.writeString(folder.resolve("loading.csv"), "density,target_percent\n0.1,95\n0.3,101\n");
        Object[] options = {"--loading-table", table, "--loading-range-um", 2, "--max-piece-um", 1};
        Path whole = folder.resolve("whole");
        List<Object> alone = new ArrayList<>(List.of("--no-report", "--out", whole));
        alone.addAll(List.of(options));
        Tool before = Tool.correct(LAYOUT, alone.toArray()).ends(0);
        Path parts = folder.resolve("parts");
        Tool run = tiled(parts, options).ends(0);
        String known = "; the loading is known from 0.100 to 0.300 only and held constant beyond";
        assertTrue(before.err().contains(known), before.err());
        assertTrue(run.err().contains(known), run.err());
        assertTrue(run.out().contains("energy wanted: 95.00 to 101.00 % of the usual"), run.out());
        double dosed = JsonInput.read(whole.resolve("summary.json"))
                .get("dosed_area_um2")
                .number();
        JsonInput many = JsonInput.read(parts.resolve("summary.json"));
        assertEquals(dosed, many.get("dosed_area_um2").number(), 2e-3 * dosed);
        assertEquals(2, many.get("options").get("loading").get("range_um").number());
        Tool check = Tool.run("verify", parts, LAYOUT, "--json");
        assertTrue(check.out().contains("\"area_error_um2\""), check.err());
    }

    /** Stairs of four depths: the table of depths is that of the whole run to a tenth of a nanometre. */
    @Test
    void depthsAreThoseOfTheWholeRun() throws IOException {
        Path whole = folder.resolve("whole");
        Path parts = folder.resolve("parts");
        String[] psf = {"--psf", "si-50kv", "--tolerance", "1e-5"};
        Tool.stairs(whole, psf).ends(0);
        List<String> tiled = new ArrayList<>(List.of(psf));
        tiled.addAll(List.of("--tiles", "4"));
        Tool run = Tool.stairs(parts, tiled.toArray(String[]::new)).ends(0);
        assertTrue(run.out().contains("depth 12/0: 300.0 nm wanted; "), run.out());
        assertTrue(Files.exists(parts.resolve("grey-tone.png")));
        List<String> one = Files.readAllLines(whole.resolve("depths.csv"));
        List<String> many = Files.readAllLines(parts.resolve("depths.csv"));
        assertEquals(5, one.size());
        assertEquals(one.size(), many.size());
        assertEquals(one.get(0), many.get(0));
        for (int k = 1; k < one.size(); k++) {
            String[] a = one.get(k).split(",");
            String[] b = many.get(k).split(",");
            for (int c = 0; c < a.length; c++) {
                assertEquals(
                        Double.parseDouble(a[c]),
                        Double.parseDouble(b[c]),
                        0.1,
                        one.get(0).split(",")[c]);
            }
        }
    }

    /** One row a trial, of the same levels; doses are free as without a study. */
    @Test
    void aStudyOfLevelsIsWritten() throws IOException {
        Object[] even = {"--allowed-edge-percent", 100, "--outline-tolerance-nm", 0, "--tolerance", 1e-6};
        Path whole = folder.resolve("whole");
        List<Object> alone = new ArrayList<>(List.of("--level-study", "--no-report", "--out", whole));
        alone.addAll(List.of(even));
        Tool.correct(LAYOUT, alone.toArray()).ends(0);
        Path parts = folder.resolve("parts");
        List<Object> studied = new ArrayList<>(List.of(even));
        studied.add("--level-study");
        tiled(parts, studied.toArray()).ends(0);
        assertTrue(Files.exists(parts.resolve("level-study.png")));
        List<String> one = Files.readAllLines(whole.resolve("level-study.csv"));
        List<String> many = Files.readAllLines(parts.resolve("level-study.csv"));
        assertEquals(19, one.size());
        assertEquals(one.size(), many.size());
        assertEquals(one.get(0), many.get(0));
        for (int k = 1; k < one.size(); k++) {
            String[] a = one.get(k).split(",");
            String[] b = many.get(k).split(",");
            assertEquals(a[0], b[0]);
            // The rms width error, which is the last column, spans decades.
            double expected = Double.parseDouble(a[7]);
            assertEquals(expected, Double.parseDouble(b[7]), 0.3 * expected, one.get(k) + " and " + many.get(k));
        }
        Path free = folder.resolve("free");
        tiled(free, even).ends(0);
        JsonInput without = JsonInput.read(free.resolve("summary.json"));
        JsonInput with = JsonInput.read(parts.resolve("summary.json"));
        assertEquals(
                without.get("dosed_area_um2").number(),
                with.get("dosed_area_um2").number(),
                1e-9);
    }

    @Test
    void aWindowWithoutShapesIsRefused() {
        for (String window : List.of("0.5,-1,1.5,-0.5", "500,500,501,501")) {
            Tool run = tiled(folder.resolve("out"), "--window", window);
            assertEquals(3, run.code(), run.err());
            assertTrue(run.err().contains("window"), run.err());
            assertFalse(Files.exists(folder.resolve("out")));
        }
    }

    /** A wafer of one chip, each placed by itself. */
    @Test
    void tilesThatRepeatAreWrittenOnce() throws IOException {
        Path wafer = folder.resolve("wafer.gds");
        try (GdsiiWriter writer =
                new GdsiiWriter(Files.newOutputStream(wafer), wafer.toString(), "WAFER", DatabaseUnit.NANOMETRE)) {
            writer.beginCell("CHIP");
            writer.layer(new Layer(1, 0));
            for (int k = 0; k < 100; k++) {
                writer.rectangle(1500L * (k % 10), 1500L * (k / 10), 1500L * (k % 10) + 500, 1500L * (k / 10) + 600);
            }
            writer.endCell();
            writer.beginCell("WAFER");
            for (int k = 0; k < 36; k++) {
                writer.place("CHIP", 60_000L * (k % 6), 60_000L * (k / 6));
            }
            writer.endCell();
        }
        Path out = folder.resolve("out");
        Tool run = Tool.run(
                        "correct",
                        wafer,
                        "--psf",
                        "si-50kv",
                        "--base-dose-uc-per-cm2",
                        300,
                        "--tiles",
                        36,
                        "--out",
                        out)
                .ends(0);
        assertTrue(run.err().contains("25 tiles that hold 9 different patterns"), run.err());
        assertTrue(run.out().contains("25 tiles, 9 different ones: 36 % of the work"), run.out());
        Path whole = folder.resolve("whole");
        Tool.run("correct", wafer, "--psf", "si-50kv", "--base-dose-uc-per-cm2", 300, "--no-report", "--out", whole)
                .ends(0);
        JsonInput one = JsonInput.read(whole.resolve("summary.json")).get("edge_error");
        JsonInput many = JsonInput.read(out.resolve("summary.json")).get("edge_error");
        // Points lie closer the less outline a tile sees; 9 of 25 tiles would have fewer than the whole.
        assertTrue(many.get("points").number() >= one.get("points").number(), "tiles that are equal count, too");
        for (String key : List.of("rms", "p95", "max")) {
            double expected = one.get(key).number();
            assertEquals(expected, many.get(key).number(), 0.02 * expected, key);
        }
        float[] ofWhole = map(whole);
        float[] ofTiles = map(out);
        assertEquals(ofWhole.length, ofTiles.length);
        for (int p = 0; p < ofWhole.length; p++) {
            assertEquals(ofWhole[p], ofTiles[p], 1e-4, "energy at a pixel, to the engine's accuracy");
        }
        for (Path doses : List.of(whole, out)) {
            Tool plan = Tool.run(
                            "plan",
                            doses,
                            "--current-na",
                            1,
                            "--step-nm",
                            4,
                            "--out",
                            folder.resolve("plan-" + doses.getFileName()))
                    .ends(0);
            assertTrue(plan.out().contains("1,080.00 um^2 in 1 copy"), plan.out());
            assertTrue(plan.out().contains("settling at 3,600 pieces"), plan.out());
        }
        assertEquals(9, Tool.names(out).stream().filter(n -> n.contains("part")).count());
        assertEquals(
                3600, JsonInput.read(out.resolve("summary.json")).get("pieces").number());
        for (Path doses : List.of(out, out.resolve("corrected.gds"))) {
            Tool check = Tool.run("verify", doses, wafer).ends(0);
            assertTrue(check.out().contains("all accounted for"), check.out());
            assertTrue(check.out().contains("doses judged   3,600"), check.out());
        }
    }

    /** The energies of a map with the doses. */
    private float[] map(Path doses) throws IOException {
        Path to = folder.resolve("map-" + doses.getFileName());
        Tool.run("map", doses, "--out", to).ends(0);
        ByteBuffer npy = ByteBuffer.wrap(Files.readAllBytes(to.resolve("energy-corrected.npy")))
                .order(ByteOrder.LITTLE_ENDIAN);
        npy.position(10 + npy.getShort(8));
        float[] energies = new float[npy.remaining() / Float.BYTES];
        npy.asFloatBuffer().get(energies);
        return energies;
    }

    @Test
    void threadsDoNotMatter() throws IOException {
        tiled(folder.resolve("one"), "--threads", 1).ends(0);
        Tool scripts = tiled(folder.resolve("three"), "--threads", 3, "--json").ends(0);
        assertEquals(Files.readString(folder.resolve("three").resolve("summary.json")), scripts.out());
        for (String name : Tool.names(folder.resolve("one"))) {
            assertEquals(
                    Tool.lasting(folder.resolve("one").resolve(name)),
                    Tool.lasting(folder.resolve("three").resolve(name)),
                    name);
        }
    }

    @Test
    void aRunReplacesAllOfTheOneBefore() throws IOException {
        Path out = folder.resolve("out");
        Tool.correct(LAYOUT, "--no-report", "--out", out).ends(0);
        Tool refused = tiled(out);
        assertEquals(3, refused.code());
        assertTrue(refused.err().contains("use --force"), refused.err());
        tiled(out, "--force").ends(0);
        assertFalse(Files.exists(out.resolve("doses.csv")));
        assertFalse(Files.exists(out.resolve("corrected-levels.lyp")));
        Tool.correct(LAYOUT, "--no-report", "--out", out, "--force").ends(0);
        assertTrue(Tool.names(out).stream().noneMatch(n -> n.contains("part")), Tool.names(out) + "");
    }

    @ParameterizedTest
    @CsvSource({"--move-edges, --move-edges", "--bias-nm auto, --bias-nm auto"})
    void whatDoesNotGoInTilesIsRefused(String options, String named) {
        Tool run = tiled(folder.resolve("out"), (Object[]) options.split(" "));
        assertEquals(2, run.code(), run.err());
        assertTrue(run.err().contains("--tiles does not go with " + named), run.err());
        assertFalse(Files.exists(folder.resolve("out")));
    }

    @Test
    void valuesThatAreNoneAreRefused() {
        assertEquals(
                2,
                Tool.correct(LAYOUT, "--tiles", "many", "--out", folder.resolve("out"))
                        .code());
        assertEquals(
                2,
                Tool.correct(LAYOUT, "--tiles", "0", "--out", folder.resolve("out"))
                        .code());
        assertEquals(
                2,
                Tool.correct(LAYOUT, "--memory-gb", "0.1", "--out", folder.resolve("out"))
                        .code());
    }

    /** Two pads of 50.4 mm^2 together, in cells of 3.5 um. */
    @Test
    void unitsOfLargeShapesCount() {
        Layer layer = new Layer(1, 0);
        Layout layout = Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(layer, 0, 0, 9000, 4000, 0, 5000, 9000, 6600)
                .build();
        Flattener flattener = Flattener.of(layout);
        PatternChoice.Chosen chosen =
                new PatternChoice.Chosen(layout, flattener, flattener.counts(), List.of(LayerRole.corrected(layer)));
        CorrectionOptions options = CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(0.01, 28, 0.5))
                .maxPieceUm(3.5)
                .build();
        double units = TileChoice.units(chosen.measured(), layout.unit(), options);
        assertEquals(2 + 9000 * 5600 / 12.25, units, 1e-3);
        assertTrue(new TileChoice().plan(units / 1000, 2, List.of()).isEmpty());
        // 5 TB.
        assertTrue(new TileChoice().plan(1000 * units, 2, List.of()).isPresent());
        assertEquals("", TileChoice.time(units / 1000));
        assertEquals("; takes about 2 min of processor time", TileChoice.time(1.2e7));
    }

    /** 134,940 squares need 0.22 GB of heap as a whole, and Java more than that. */
    @Test
    @Tag("slow")
    void tilesAreTakenWhereMemoryAsksForThem() throws Exception {
        List<String> command = Tool.java("-Xmx400m");
        Path out = folder.resolve("out");
        command.addAll(
                List.of("correct", Tool.testdata("layouts/pad-arrays.gds").toString()));
        command.addAll(List.of("--layer", "19/0", "--psf", "si-50kv", "--memory-gb", "0.2", "--out", out.toString()));
        Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
        String text = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertEquals(0, process.waitFor(), text);
        assertTrue(text.contains("the whole would need about 0.28 GB of memory, 0.20 GB are allowed"), text);
        assertTrue(Tool.names(out).stream().filter(n -> n.contains("part")).count() > 1, text);
        assertTrue(Tool.names(folder).stream().noneMatch(n -> n.startsWith(".evendose")), "no unfinished files");
    }
}
