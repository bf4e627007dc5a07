package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.JsonInput;
import evendose.geometry.Polygons;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.formats.LayoutFiles;
import evendose.layout.gdsii.GdsiiWriter;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.function.UnaryOperator;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Doses of a real layout, sound and with planted faults. */
class VerifyCommandTest {
    private static final Path REAL = Tool.testdata("layouts/cd-500nm.gds");
    /** A pad, lines and a slanted shape; small, so that each check takes little. */
    private static final String SHAPES = """
            wkt,layer
            "POLYGON ((0 0, 6 0, 6 6, 0 6, 0 0))",1
            "POLYGON ((7 0, 7.5 0, 7.5 6, 7 6, 7 0))",1
            "POLYGON ((8 0, 8.5 0, 8.5 6, 8 6, 8 0))",1
            "POLYGON ((14 0, 14.2 0, 14.2 6, 14 6, 14 0))",1
            "POLYGON ((16 0, 17 1, 16 4, 15.5 2, 16 0))",1
            """;

    private static final int FACTOR = 13;

    @TempDir
    private static Path folder;

    private static Path layout;
    private static Path doses;

    @BeforeAll
    static void correct() throws IOException {
        layout = Files.writeString(folder.resolve("layout.csv"), SHAPES);
        doses = folder.resolve("doses");
        Tool.correct(layout, "--out", doses, "--no-report").ends(0);
    }

    /** A folder like the corrected one, with the rows of its table changed. */
    private static Path planted(String name, UnaryOperator<List<String>> change) throws IOException {
        Path copy = Files.createDirectories(folder.resolve(name));
        Files.copy(doses.resolve("summary.json"), copy.resolve("summary.json"));
        List<String> rows = Files.readAllLines(doses.resolve("doses.csv"));
        List<String> changed = new ArrayList<>(List.of(rows.get(0)));
        changed.addAll(change.apply(new ArrayList<>(rows.subList(1, rows.size()))));
        Files.write(copy.resolve("doses.csv"), changed);
        return copy;
    }

    private static JsonInput verify(Path what, int expectedCode, Object... more) {
        List<Object> words = new ArrayList<>(List.of("verify", what, layout, "--json"));
        words.addAll(List.of(more));
        return JsonInput.parse(
                "stdout", Tool.run(words.toArray()).ends(expectedCode).out());
    }

    private static double rms(JsonInput json, String what, String when) {
        return json.get(what).get(when).get("rms").number();
    }

    private static String[] cells(String row) {
        return row.split(",", -1);
    }

    @Test
    void soundDosesPassAndStructuresOf500NmComeOutRight() throws IOException {
        Path real = folder.resolve("real");
        Tool.correct(REAL, "--out", real, "--no-report").ends(0);
        Tool checked = Tool.run("verify", real, REAL, "--json").ends(0);
        JsonInput json = JsonInput.parse("stdout", checked.out());
        // testdata/reference/layouts.csv, from KLayout.
        assertEquals(32.966, json.get("layout_area_um2").number(), 1e-4);
        assertEquals(0, json.get("area_error_um2").number(), 1e-6);
        assertEquals(0, json.get("overlap_um2").number(), 1e-6);
        assertTrue(rms(json, "edge_placement_nm", "before") > 9);
        // Half of what is left is the cut: bars turned by 5 degrees, whose sides bend by up to 0.5 nm where units meet;
        // the rest is what the goal
        // along edges, 0.3 nm for 95 %, leaves to fewer pieces.
        assertTrue(rms(json, "edge_placement_nm", "after") < 0.12);
        assertTrue(rms(json, "edge_energy", "before") > 0.3);
        assertTrue(rms(json, "edge_energy", "after") < 0.006);
        int measured = 0;
        for (JsonInput width : json.get("widths").elements()) {
            double drawn = width.get("drawn_nm").number();
            if (Math.abs(drawn - 500) < 60) {
                assertTrue(Math.abs(width.get("corrected_nm").number() - drawn) < 2);
                assertTrue(Math.abs(width.get("uncorrected_nm").number() - drawn) > 10);
                measured++;
            }
        }
        assertTrue(measured > 0);
    }

    /** The tolerance that pieces were made with is the one they are judged by, and doses are judged by the units of that cut. */
    @Test
    void exactPiecesAreJudgedExactly() throws IOException {
        Path exact = folder.resolve("exact");
        Tool.correct(layout, "--out", exact, "--no-report", "--outline-tolerance-nm", 0)
                .ends(0);
        JsonInput json = verify(exact, 0);
        assertEquals(1.0 / 512, json.get("outline_tolerance_nm").number(), 1e-9);
        assertEquals(0, json.get("area_error_um2").number(), 0);
        JsonInput usual = verify(doses, 0);
        assertEquals(Math.sqrt(0.5), usual.get("outline_tolerance_nm").number(), 1e-5);
    }

    @Test
    void theLayoutOfPiecesPassesToo() {
        JsonInput json = verify(doses.resolve("corrected.gds"), 0);
        assertTrue(json.get("area_error_um2").number() < 0.02);
    }

    @Test
    void aDeletedPieceIsFound() throws IOException {
        double[] area = new double[1];
        double[] middle = new double[2];
        Path faulty = planted("deleted", rows -> {
            String[] c = cells(rows.remove(0));
            for (int k = 0; k < 4; k++) {
                double x = Double.parseDouble(c[5 + 2 * k]);
                double y = Double.parseDouble(c[6 + 2 * k]);
                double nextX = Double.parseDouble(c[5 + (2 * k + 2) % 8]);
                double nextY = Double.parseDouble(c[6 + (2 * k + 2) % 8]);
                area[0] += 0.5 * (x * nextY - nextX * y);
                middle[0] += 0.25 * x;
                middle[1] += 0.25 * y;
            }
            return rows;
        });
        JsonInput json = verify(faulty, 4);
        // Less what lies within the tolerance of the outline.
        assertEquals(area[0], json.get("missing_um2").number(), 2e-3 * area[0]);
        JsonInput worst = json.get("worst").elements().get(0);
        assertTrue(worst.get("kind").text().startsWith("missing"));
        assertEquals(middle[0], worst.get("x_um").number(), 0.01);
        assertEquals(middle[1], worst.get("y_um").number(), 0.01);
    }

    @Test
    void aDoseChangedByTenPercentIsFoundInOnePieceAndInAWholeUnit() throws IOException {
        Path onePiece = planted("one-piece", rows -> {
            int i = 0;
            while (!cells(rows.get(i))[2].equals(cells(rows.get(i + 1))[2])) {
                i++;
            }
            rows.set(i, scaled(rows.get(i), 1.1));
            return rows;
        });
        assertTrue(verify(onePiece, 4).get("units_with_several_doses").number() > 0);
        for (double factor : new double[] {0.9, 1.1}) {
            Path wholeUnit = planted("unit-" + factor, rows -> {
                String unit = cells(rows.get(rows.size() / 2))[2];
                rows.replaceAll(row -> cells(row)[2].equals(unit) ? scaled(row, factor) : row);
                return rows;
            });
            JsonInput json = verify(wholeUnit, 4);
            assertTrue(json.get("doses_wrong").number() >= 1);
            assertEquals(
                    "wrong-dose",
                    json.get("worst").elements().get(0).get("kind").text());
        }
    }

    private static String scaled(String row, double factor) {
        String[] c = cells(row);
        c[FACTOR] = String.format(Locale.ROOT, "%.9f", factor * Double.parseDouble(c[FACTOR]));
        return String.join(",", c);
    }

    @Test
    void overlappingPiecesAreFound() throws IOException {
        Path faulty = planted("overlap", rows -> {
            rows.add(rows.get(0));
            return rows;
        });
        JsonInput json = verify(faulty, 4);
        assertTrue(json.get("overlap_um2").number() > 1e-3);
        assertEquals("overlap", json.get("worst").elements().get(0).get("kind").text());
    }

    @Test
    void aShiftedTableIsFound() throws IOException {
        Path faulty = planted("shifted", rows -> {
            rows.replaceAll(row -> {
                String[] c = cells(row);
                for (int k = 5; k < 13; k += 2) {
                    c[k] = String.format(Locale.ROOT, "%.6f", 0.01 + Double.parseDouble(c[k]));
                }
                return String.join(",", c);
            });
            return rows;
        });
        JsonInput json = verify(faulty, 4);
        assertTrue(json.get("missing_um2").number() > 0.1);
        assertTrue(json.get("excess_um2").number() > 0.1);
    }

    @Test
    void gaugesMayBeGivenByHand() throws IOException {
        Path gauges = Files.writeString(
                folder.resolve("gauges.csv"), "name,x_um,y_um,angle_deg\nbar,7.2,3,0\nfree,14.1,3,\n");
        List<JsonInput> widths =
                verify(doses, 0, "--gauges", gauges).get("widths").elements();
        assertEquals(2, widths.size());
        assertEquals("bar", widths.get(0).get("name").text());
        assertEquals(500, widths.get(0).get("drawn_nm").number(), 1e-6);
        assertEquals(200, widths.get(1).get("drawn_nm").number(), 1e-6);
        Path outside = Files.writeString(folder.resolve("outside.csv"), "x_um,y_um\n-3,-3\n");
        Tool tool = Tool.run("verify", doses, layout, "--gauges", outside).ends(3);
        assertTrue(tool.err().contains("outside.csv, line 2: the point"), tool.err());
    }

    @Test
    void filesAndTextForPeople() {
        Path out = folder.resolve("check");
        Tool tool = Tool.run("verify", doses, layout, "--out", out).ends(0);
        assertTrue(tool.out().contains("The doses fit the layout"), tool.out());
        for (String name : List.of(
                "verification.json",
                "widths.csv",
                "worst.csv",
                "sensitivity.csv",
                "dose-map.png",
                "convergence.svg",
                "energy-cut.png",
                "width-errors.svg")) {
            assertTrue(Files.exists(out.resolve(name)), name);
        }
    }

    @Test
    void withoutARecordThePointSpreadMustBeNamed() throws IOException {
        Path lone = Files.createDirectories(folder.resolve("lone")).resolve("doses.csv");
        Files.copy(doses.resolve("doses.csv"), lone);
        Tool without = Tool.run("verify", lone, layout).ends(2);
        assertTrue(without.err().contains("name the point spread function"), without.err());
        Tool.run("verify", lone, layout, "--alpha-um", 0.02, "--beta-um", 9.5, "--eta", 0.6)
                .ends(0);
        // With another ratio than they were made for, the doses are wrong.
        Tool.run("verify", lone, layout, "--alpha-um", 0.02, "--beta-um", 9.5, "--eta", 1.2)
                .ends(4);
    }

    @Test
    void otherCriteriaAndDoseRulesPassAsWell() {
        List<List<Object>> cases =
                List.of(List.of("--criterion", "mean"), List.of("--one-dose-per-shape"), List.of("--levels", 12));
        for (List<Object> options : cases) {
            Path out = folder.resolve("case-" + cases.indexOf(options));
            List<Object> words = new ArrayList<>(List.of("--out", out, "--no-report"));
            words.addAll(options);
            Tool.correct(layout, words.toArray()).ends(0);
            Tool.run("verify", out, layout).ends(0);
        }
    }

    /** Nearly 5 % too much everywhere passes dose by dose; as a whole it does not. */
    @Test
    void aUniformErrorIsToldAsSuch() throws IOException {
        for (String what : List.of("edge", "mean")) {
            Path sound = folder.resolve("sound-" + what);
            Tool.correct(layout, "--criterion", what, "--out", sound, "--no-report")
                    .ends(0);
            Path copy = Files.createDirectories(folder.resolve("uniform-" + what));
            Files.copy(sound.resolve("summary.json"), copy.resolve("summary.json"));
            List<String> rows = new ArrayList<>(Files.readAllLines(sound.resolve("doses.csv")));
            for (int k = 1; k < rows.size(); k++) {
                rows.set(k, scaled(rows.get(k), 1.0475));
            }
            Files.write(copy.resolve("doses.csv"), rows);
            Tool verify = Tool.run("verify", copy, layout).ends(4);
            assertTrue(verify.out().contains(" too high "), verify.out());
            if (what.equals("edge")) {
                assertTrue(verify.out().contains("All doses are too high by about 4.7"), verify.out());
            }
        }
    }

    /** A tooth of a grating taken out of the layout of pieces, and a small dot out of the table, in a layout of many shapes. */
    @Test
    void aMissingToothAndAMissingDotAreFound() throws IOException {
        StringBuilder shapes = new StringBuilder("x_min_um,y_min_um,x_max_um,y_max_um\n0,-20,40,-2\n");
        for (int k = 0; k < 40; k++) {
            shapes.append(k).append(",0,").append(k + 0.2).append(",3.05\n");
        }
        shapes.append("20,6,20.06,6.06\n");
        Path drawn = Files.writeString(folder.resolve("teeth.csv"), shapes);
        Path sound = folder.resolve("teeth");
        Tool.correct(drawn, "--out", sound, "--no-report").ends(0);
        Tool.run("verify", sound, drawn).ends(0);

        Path noDot = Files.createDirectories(folder.resolve("no-dot"));
        Files.copy(sound.resolve("summary.json"), noDot.resolve("summary.json"));
        List<String> rows = Files.readAllLines(sound.resolve("doses.csv"));
        List<String> left = rows.stream()
                .filter(r -> !r.contains(",20.06,6,") && !r.contains(",20.06,6.06,"))
                .toList();
        assertEquals(rows.size() - 1, left.size());
        Files.write(noDot.resolve("doses.csv"), left);
        JsonInput json = JsonInput.parse(
                "stdout", Tool.run("verify", noDot, drawn, "--json").ends(4).out());
        assertEquals(1, json.get("missing_shapes").number());
        assertTrue(json.get("verdict").get("text").text().contains("Shapes without any piece: 1"));

        Path noTooth = Files.createDirectories(folder.resolve("no-tooth"));
        for (String name : List.of("summary.json", "levels.csv")) {
            Files.copy(sound.resolve(name), noTooth.resolve(name));
        }
        dropTooth(sound.resolve("corrected.gds"), noTooth.resolve("corrected.gds"), 17_000, 17_200);
        json = JsonInput.parse(
                "stdout",
                Tool.run("verify", noTooth.resolve("corrected.gds"), drawn, "--json")
                        .ends(4)
                        .out());
        assertEquals(1, json.get("missing_shapes").number());
        JsonInput worst = json.get("worst").elements().get(0);
        assertEquals("missing-shape", worst.get("kind").text());
        assertEquals(17.1, worst.get("x_um").number(), 1e-6);
    }

    /** Copies a layout of one cell without the polygons between two x, dbu. */
    private static void dropTooth(Path from, Path to, long x0, long x1) throws IOException {
        Layout layout = LayoutFiles.read(from);
        int[] dropped = {0};
        try (GdsiiWriter writer =
                new GdsiiWriter(Files.newOutputStream(to), to.toString(), "EVENDOSE", layout.unit())) {
            writer.beginCell("TEETH");
            for (Layer layer : Flattener.of(layout).counts().keySet()) {
                writer.layer(layer);
                Polygons polygons = new Polygons();
                Flattener.of(layout).flatten(Map.of(layer, 0), polygons);
                polygons.forEach(new Polygons.Visitor() {
                    @Override
                    public void rectangle(int group, long left, long bottom, long right, long top) {
                        if (left >= x0 && right <= x1 && bottom >= 0) {
                            dropped[0]++;
                            return;
                        }
                        write(new long[] {left, bottom, right, bottom, right, top, left, top});
                    }

                    @Override
                    public void polygon(int group, long[] xy, int first, int vertices) {
                        rectangle(group, xy[first], xy[first + 1], xy[first + 4], xy[first + 5]);
                    }

                    private void write(long[] xy) {
                        try {
                            writer.polygon(xy, 4);
                        } catch (IOException e) {
                            throw new UncheckedIOException(e);
                        }
                    }
                });
            }
            writer.endCell();
        }
        assertTrue(dropped[0] > 0);
    }

    /** A line that does not develop fails, whatever its status says; a run with every piece at a bound fits nothing. */
    @Test
    void lostLinesAndHeldDosesFail() throws IOException {
        Path held = folder.resolve("held");
        Tool correct = Tool.correct(layout, "--max-factor", 0.5, "--out", held, "--no-report")
                .ends(4);
        assertTrue(correct.out().contains("pieces are held at the largest factor allowed, 0.5000"), correct.out());
        assertTrue(!correct.out().contains("0.000 %"), correct.out());
        Tool verify = Tool.run("verify", held, layout).ends(4);
        assertTrue(verify.out().contains("No dose could be judged"), verify.out());
        assertTrue(verify.out().contains("where a line does not develop"), verify.out());
    }

    @Test
    void theAllowedDistanceOfEdgesIsTheUsersToChoose() {
        JsonInput json = verify(doses, 4, "--allowed-edge-nm", 0.001);
        assertTrue(json.get("verdict").get("edges_off").number() > 100);
        assertEquals(0.001, json.get("verdict").get("allowed_edge_nm").number());
        assertTrue(json.get("places").number() >= 1000);
        Tool.run("verify", doses, layout, "--allowed-edge-nm", 0).ends(2);
    }

    @Test
    void dosesOfAWindowAreRefused() {
        Path out = folder.resolve("window");
        Tool.correct(layout, "--window", "6.5,0,9,6", "--out", out).ends(0);
        Tool checked = Tool.run("verify", out, layout).ends(3);
        assertTrue(checked.err().contains("of a window only"), checked.err());
    }

    /** From measurements to intervals, in JSON, in the table and in words, which say the same; without the option nothing of it. */
    @Test
    void aCalibrationGivesIntervals() throws IOException {
        Path fit = folder.resolve("fit");
        Tool.run("calibrate", "fit", Tool.testdata("demo/tidepool-measured.csv"), "--out", fit)
                .ends(0);
        JsonInput told = JsonInput.read(fit.resolve("fit.json"));
        Path bars = folder.resolve("bars");
        Path file = fit.resolve("fit.json");
        JsonInput json = verify(doses, 0, "--uncertainty", file, "--out", bars);
        double base = json.get("uncertainty").get("base_dose_uc_per_cm2").number();
        assertEquals(told.get("base_dose").get("value").number(), base, 1e-9);
        assertEquals(
                told.get("base_dose").get("standard_error").number() / base,
                json.get("uncertainty")
                        .get("relative_standard_errors")
                        .get("base dose")
                        .number(),
                1e-9);
        List<String> rows = Files.readAllLines(bars.resolve("widths.csv"));
        assertTrue(rows.get(0).endsWith(",dose_up_percent,calibrated_nm,half_width_95_nm,dominated_by"));
        String text =
                Tool.run("verify", doses, layout, "--uncertainty", file).ends(0).out();
        double widest = 0;
        int row = 1;
        for (JsonInput width : json.get("widths").elements()) {
            String[] cells = cells(rows.get(row++));
            double half = width.get("half_width_95_nm").number();
            widest = Math.max(widest, half);
            assertEquals(half, Double.parseDouble(cells[12]), 1e-6);
            assertEquals(width.get("calibrated_nm").number(), Double.parseDouble(cells[11]), 1e-6);
            assertEquals(width.get("dominated_by").text(), cells[13]);
            JsonInput first = width.get("sources").elements().get(0);
            assertEquals(first.get("source").text(), cells[13]);
            assertTrue(half > 0.2 && half < 20, () -> "half width " + half);
            String words = String.format(
                    Locale.ROOT,
                    "(?s).*%n%s +%.1f +%.2f +%.2f   %s%n.*",
                    width.get("name").text(),
                    width.get("drawn_nm").number(),
                    width.get("calibrated_nm").number(),
                    half,
                    cells[13]);
            assertTrue(text.matches(words), text);
        }
        JsonInput worst = json.get("uncertainty").get("worst_width");
        assertEquals(widest, worst.get("half_width_95_nm").number(), 0);
        assertTrue(
                text.contains(
                        "What would help most: " + worst.get("what_would_help").text() + "."),
                text);
        double half = 0;
        for (JsonInput next : worst.get("next_readings").elements()) {
            // The most helpful reading comes first, and none is named that does not help.
            assertTrue(next.get("half_width_95_nm").number() >= half);
            half = next.get("half_width_95_nm").number();
            assertTrue(half < 0.99 * widest);
        }
        JsonInput best = worst.get("next_readings").elements().get(0);
        String reading = String.format(
                Locale.ROOT,
                "(?s).*One reading more in a dose test:%n  %s at .*uC/cm.2: [+]- %.2f nm%n.*",
                best.get("figure").text(),
                best.get("half_width_95_nm").number());
        assertTrue(text.matches(reading), text);
        JsonInput edges = json.get("uncertainty").get("edge_placement");
        assertEquals(
                edges.get("half_width_95_nm").get("max").number(),
                edges.get("worst").get("half_width_95_nm").number(),
                0);
        // What places share remains in their mean, what each has of its own does not.
        assertTrue(edges.get("mean").get("half_width_95_nm").number()
                < edges.get("half_width_95_nm").get("max").number());
        assertTrue(!verify(doses, 0).has("uncertainty"));
    }

    @Test
    void anotherFileIsNoCalibration() {
        Path out = folder.resolve("no-bars");
        Path summary = doses.resolve("summary.json");
        String message = Tool.run("verify", doses, layout, "--uncertainty", summary, "--out", out)
                .ends(3)
                .err();
        assertTrue(message.contains("summary.json: holds no covariance of a calibration"), message);
        assertFalse(Files.exists(out));
    }
}
