package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Fogging and the loading of the development on the command line. */
class LongRangeCommandTest {
    @TempDir
    private Path folder;

    private Path layout;

    /** Pads of 60 um with lines beside them: densities of all kinds. */
    @BeforeEach
    void draw() throws IOException {
        StringBuilder rows = new StringBuilder("x_min_um,y_min_um,x_max_um,y_max_um,layer,datatype\n");
        rows.append("0,0,60,60,1,0\n");
        for (int k = 0; k < 40; k++) {
            rows.append(64 + 2 * k).append(",0,").append(64.6 + 2 * k).append(",60,1,0\n");
        }
        rows.append("400,0,401,60,1,0\n0,300,1,301,2,0\n");
        layout = Files.writeString(folder.resolve("chip.csv"), rows);
    }

    private Tool correct(Object... more) {
        List<Object> words = new ArrayList<>(List.of("--layer", 1));
        words.addAll(List.of(more));
        return Tool.correct(layout, words.toArray());
    }

    @Test
    void doesWhatItSaysAndIsVerifiedFromTheRun() throws IOException {
        Path one = folder.resolve("one");
        Path two = folder.resolve("two");
        Object[] effects = {
            "--fogging-percent", 15, "--fogging-range-mm", 0.05, "--loading-percent", 30, "--loading-range-um", 50
        };
        Tool run = correct(with(effects, "--threads", 1, "--out", one)).ends(0);
        assertTrue(run.out().contains("15 % of the direct energy, range 0.05 mm"), run.out());
        assertTrue(run.out().contains("energy wanted 85 % of the usual at density 0 to 115 % at 1"), run.out());
        assertTrue(
                run.err().contains("only a part of the layout is exposed here. Fogging is that of what is"), run.err());
        assertTrue(run.err().contains("(0.1 mm) adds fogging that is not known"), run.err());
        correct(with(effects, "--threads", 2, "--no-report", "--out", two)).ends(0);
        for (String name : List.of("doses.csv", "corrected.gds", "levels.csv")) {
            assertArrayEquals(Files.readAllBytes(one.resolve(name)), Files.readAllBytes(two.resolve(name)), name);
        }
        String page = Files.readString(one.resolve("report.html"));
        assertTrue(page.contains("15 % of the direct energy") && page.contains("loading of the development"));

        Path summary = one.resolve("summary.json");
        JsonNode options = new ObjectMapper().readTree(summary.toFile()).get("options");
        assertEquals(15, options.get("fogging_percent").asDouble());
        assertEquals(0.05, options.get("fogging_range_mm").asDouble());
        assertEquals(50, options.at("/loading/range_um").asDouble());
        assertEquals(85, options.at("/loading/target_percent/0").asDouble(), 1e-9);

        Tool verified = Tool.run("verify", one, layout).ends(0);
        assertTrue(verified.out().contains("15 % of the direct energy, range 0.05 mm"), verified.out());
        Path map = folder.resolve("map");
        Tool mapped = Tool.run("map", one, "--window", "50,20,70,30", "--pixel-um", 0.2, "--out", map)
                .ends(0);
        assertTrue(mapped.out().contains("loading"), mapped.out());

        // The same doses do not fit where either is left out.
        String text = Files.readString(summary);
        Files.writeString(summary, text.replace("\"fogging_percent\" : 15.0", "\"fogging_percent\" : 0.001"));
        Tool.run("verify", one, layout).ends(4);
        Files.writeString(summary, text.replace("\"range_um\" : 50.0", "\"range_um\" : 50000.0"));
        Tool.run("verify", one, layout).ends(4);
        Files.writeString(summary, text);
        Tool.run("verify", one, layout).ends(0);
    }

    private static Object[] with(Object[] effects, Object... more) {
        List<Object> words = new ArrayList<>(List.of(effects));
        words.addAll(List.of(more));
        return words.toArray();
    }

    @Test
    void aTableOfLoadingsTellsWhereItEnds() throws IOException {
        Path table = Files.writeString(folder.resolve("loading.csv"), "density,target_percent\n0.2,98\n0.6,103\n");
        Tool run = correct(
                        "--loading-table",
                        table,
                        "--loading-range-um",
                        50,
                        "--no-report",
                        "--out",
                        folder.resolve("table"))
                .ends(0);
        assertTrue(
                run.err().contains("the loading is known from 0.200 to 0.600 only and held constant beyond"),
                run.err());
        assertTrue(run.out().contains("98.00 to 100.4"), run.out());
        Files.writeString(table, "density,target_percent\n0.2,98\n0.1,103\n");
        Path none = folder.resolve("none");
        Tool bad = correct("--loading-table", table, "--loading-range-um", 50, "--out", none)
                .ends(3);
        assertTrue(bad.err().contains("loading.csv") && bad.err().contains("3"), bad.err());
        assertFalse(Files.exists(none), "nothing half written");
    }

    @Test
    void wrongWordsAreRefused() {
        Path out = folder.resolve("none");
        for (Object[] wrong : new Object[][] {
            {"--fogging-percent 5", "go together"},
            {"--fogging-range-mm 10", "go together"},
            {"--fogging-percent 5 --fogging-range-mm 10000", "if it is in um, write --fogging-range-mm 10"},
            {"--fogging-percent -5 --fogging-range-mm 10", "fogging (% of the direct energy)"},
            {"--fogging-percent 5 --fogging-range-mm 0.005", "must be longer than the ranges"},
            {"--loading-percent 5", "goes together with"},
            {"--loading-range-um 5", "goes together with"},
            {"--loading-percent 5 --loading-range-um -5", "range of the loading (um)"},
            {"--loading-percent 500 --loading-range-um 50", "must be positive"},
            {"--loading-percent 5 --loading-table x.csv --loading-range-um 50", "not both"},
        }) {
            Tool run =
                    correct(with(((String) wrong[0]).split(" "), "--out", out)).ends(2);
            assertTrue(run.err().contains((String) wrong[1]), run.err());
        }
        assertFalse(Files.exists(out), "nothing half written");
    }

    /** Fogging of a window comes from all around it. */
    @Test
    void aWindowKnowsWhatLiesFarAround() throws IOException {
        Object[] effects = {"--fogging-percent", 500, "--fogging-range-mm", 0.3, "--no-report"};
        Path whole = folder.resolve("whole");
        Path part = folder.resolve("part");
        Path without = folder.resolve("without");
        correct(with(effects, "--out", whole)).ends(0);
        correct(with(effects, "--window", "399,0,402,60", "--out", part)).ends(0);
        correct("--no-report", "--out", without).ends(0);
        double expected = lineFactor(whole);
        assertEquals(expected, lineFactor(part), 1e-3);
        assertTrue(expected < lineFactor(without) - 0.01, expected + " and " + lineFactor(without));
    }

    /** Dose factor at the lower end of the lone line. */
    private static double lineFactor(Path out) throws IOException {
        String row = Files.readString(out.resolve("doses.csv"))
                .lines()
                .filter(r -> r.contains(",1,0,400,0,"))
                .findFirst()
                .orElseThrow();
        return Double.parseDouble(row.split(",")[13]);
    }
}
