package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.JsonInput;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
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
        assertTrue(rms(json, "edge_placement_nm", "after") < 0.1);
        assertTrue(rms(json, "edge_energy", "before") > 0.3);
        assertTrue(rms(json, "edge_energy", "after") < 0.005);
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

    @Test
    void dosesOfAWindowAreRefused() {
        Path out = folder.resolve("window");
        Tool.correct(layout, "--window", "6.5,0,9,6", "--out", out).ends(0);
        Tool checked = Tool.run("verify", out, layout).ends(3);
        assertTrue(checked.err().contains("of a window only"), checked.err());
    }
}
