package evendose.cli;

import static evendose.cli.Tool.correct;
import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DoseTableCsv;
import evendose.correction.LayerRole;
import evendose.files.JsonInput;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.formats.LayoutFiles;
import evendose.layout.gdsii.GdsiiWriter;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class CorrectCommandTest {
    private static final Path LAYOUT = Tool.testdata("layouts/cd-500nm.gds");

    @TempDir
    Path folder;

    private void assertNothingLeft(Path out) throws IOException {
        assertFalse(Files.exists(out), "no output folder");
        assertTrue(Tool.names(folder).stream().noneMatch(n -> n.startsWith(".evendose")), "no unfinished files");
    }

    /** The command goes in by the library's front door: what a program writes has the same bytes. */
    @Test
    void aProgramWritesTheSameTable() throws IOException {
        Path out = folder.resolve("out");
        correct(LAYOUT, "--base-dose-uc-per-cm2", "300", "--no-report", "--out", out)
                .ends(0);
        CorrectionOptions options = CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6))
                .baseDoseUcPerCm2(300)
                .threads(1)
                .build();
        Path file = folder.resolve("doses.csv");
        DoseTableCsv.write(
                Corrector.correct(LayoutFiles.read(LAYOUT), List.of(LayerRole.corrected(new Layer(1, 0))), options)
                        .joined(),
                file);
        assertEquals(Files.readString(out.resolve("doses.csv")), Files.readString(file));
    }

    @Test
    void writesTheTableTheLayoutTheLevelsAndTheSummary() throws IOException {
        Path out = folder.resolve("out");
        Tool tool = correct(LAYOUT, "--base-dose-uc-per-cm2", "300", "--out", out);
        assertEquals(0, tool.code(), tool.err());
        assertTrue(tool.out().contains("444 shapes"), tool.out());
        assertTrue(tool.out().contains("never replace a dose test"), tool.out());
        assertEquals("", tool.err());
        sameCounts(tool.out(), Files.readString(out.resolve("report.html")));

        List<String> rows = Files.readAllLines(out.resolve("doses.csv"));
        String[] header = rows.get(0).split(",");
        assertEquals(19, header.length);
        assertEquals(
                "piece,shape,unit,layer,datatype,x1_um,y1_um,x2_um,y2_um,x3_um,y3_um,x4_um,y4_um,"
                        + "dose_factor,dose_uc_per_cm2,level,energy_uncorrected,energy_corrected,status",
                rows.get(0));
        double area = 0;
        for (String row : rows.subList(1, rows.size())) {
            String[] v = row.split(",");
            assertEquals(19, v.length, row);
            double[] xy =
                    Arrays.stream(v, 5, 13).mapToDouble(Double::parseDouble).toArray();
            for (int k = 0; k < 8; k += 2) {
                area += 0.5 * (xy[k] * xy[(k + 3) % 8] - xy[(k + 2) % 8] * xy[k + 1]);
            }
            assertEquals(300 * Double.parseDouble(v[13]), Double.parseDouble(v[14]), 1e-6);
            assertEquals(0.5, Double.parseDouble(v[17]), 5e-4);
            assertTrue(v[18].equals("ok") || v[18].equals("corners"), row);
        }
        // Merged area of this layer as a general-purpose layout library gives it (testdata/reference/layouts.csv).
        // Rotated bars of some 100 nm: their sides are cut at borders of units and opposite to corners, where the grid
        // bends
        // them by up to 0.5 nm.
        assertEquals(32.966, area, 32.966 * 5e-5);

        List<String> levels = Files.readAllLines(out.resolve("levels.csv"));
        assertEquals("level,dose_factor,dose_uc_per_cm2,pieces,area_um2", levels.get(0));
        long pieces = levels.stream()
                .skip(1)
                .mapToLong(row -> Long.parseLong(row.split(",")[3]))
                .sum();
        assertEquals(rows.size() - 1, pieces);
        String summary = Files.readString(out.resolve("summary.json"));
        for (String key : List.of(
                "pieces",
                "shapes",
                "area_um2",
                "iterations",
                "converged",
                "max_residual",
                "rms_residual",
                "uncorrected_max_residual",
                "min_factor",
                "max_factor",
                "seconds_by_stage",
                "version",
                "psf",
                "options")) {
            assertTrue(summary.contains("\"" + key + "\""), key);
        }
    }

    /** Console and page count alike: units that were corrected, pieces before and after joining. */
    private static void sameCounts(String console, String page) {
        Matcher units = Pattern.compile("[0-9,]+ dose units").matcher(console);
        Matcher pieces = Pattern.compile("[0-9,]+ cut, [0-9,]+ written after joining neighbours of equal dose")
                .matcher(console);
        assertTrue(units.find() && pieces.find(), console);
        assertTrue(page.contains(" " + units.group()), units.group());
        assertTrue(page.contains(">" + pieces.group()), pieces.group());
    }

    /** For scripts: nothing but what the file holds, also when the run does not end well. */
    @Test
    void printsTheSummaryAsJson() throws IOException {
        Path out = folder.resolve("out");
        Tool tool = correct(LAYOUT, "--json", "--no-report", "--out", out).ends(0);
        assertEquals(Files.readString(out.resolve("summary.json")), tool.out());
        assertEquals("", tool.err());
        assertEquals(444, JsonInput.parse("stdout", tool.out()).get("shapes").number());

        Path held = folder.resolve("held");
        Tool bound = correct(LAYOUT, "--json", "--no-report", "--max-factor", "1.5", "--out", held)
                .ends(4);
        assertEquals(Files.readString(held.resolve("summary.json")), bound.out());
        assertTrue(bound.out().contains("\"converged\" : false"), bound.out());
    }

    @Test
    void theCorrectedLayoutHoldsEveryPieceAtItsLevel() throws IOException {
        Path out = folder.resolve("out");
        assertEquals(
                0,
                correct(Tool.testdata("layouts/pad-arrays.gds"), "--layer", "31/0", "--no-report", "--out", out)
                        .code());
        long counted = 0;
        var counts =
                Flattener.of(LayoutFiles.read(out.resolve("corrected.gds"))).counts();
        for (String row : Files.readAllLines(out.resolve("levels.csv")).subList(1, counts.size() + 1)) {
            String[] v = row.split(",");
            assertEquals(Long.parseLong(v[3]), counts.get(new Layer(31, Integer.parseInt(v[0]))), row);
            counted += Long.parseLong(v[3]);
        }
        assertEquals(Files.readAllLines(out.resolve("doses.csv")).size() - 1, counted);
    }

    @Test
    void theNumberOfThreadsDoesNotChangeAByte() throws IOException {
        Path one = folder.resolve("one");
        Path two = folder.resolve("two");
        assertEquals(
                0,
                correct(LAYOUT, "--threads", "1", "--no-report", "--out", one).code());
        assertEquals(
                0,
                correct(LAYOUT, "--threads", "2", "--no-report", "--out", two).code());
        for (String name : List.of("doses.csv", "corrected.gds", "levels.csv")) {
            assertArrayEquals(Files.readAllBytes(one.resolve(name)), Files.readAllBytes(two.resolve(name)), name);
        }
    }

    @Test
    void severalLayersAreListedAndOneMustBeChosen() throws IOException {
        Path out = folder.resolve("out");
        Tool tool = correct(Tool.testdata("layouts/grating-coupler.gds"), "--out", out);
        assertEquals(2, tool.code());
        assertTrue(tool.err().contains("1/0          132"), tool.err());
        assertTrue(tool.err().contains("choose with --layer"), tool.err());
        assertEquals("", tool.out());
        assertNothingLeft(out);
    }

    @Test
    void existingOutputIsKeptUnlessForced() throws IOException {
        Path out = folder.resolve("out");
        assertEquals(0, correct(LAYOUT, "--no-report", "--out", out).code());
        Files.writeString(out.resolve("my-notes.txt"), "keep me");
        byte[] before = Files.readAllBytes(out.resolve("doses.csv"));
        Tool again = correct(LAYOUT, "--eta", "0.6", "--out", out);
        assertEquals(2, again.code(), "an option given twice is a usage error: " + again.err());
        Tool refused = correct(LAYOUT, "--out", out);
        assertEquals(3, refused.code());
        assertTrue(refused.err().contains("--force"), refused.err());
        assertArrayEquals(before, Files.readAllBytes(out.resolve("doses.csv")));
        assertEquals(
                0,
                correct(LAYOUT, "--criterion", "mean", "--no-report", "--out", out, "--force")
                        .code());
        assertFalse(Arrays.equals(before, Files.readAllBytes(out.resolve("doses.csv"))));
        assertEquals("keep me", Files.readString(out.resolve("my-notes.txt")));
    }

    @Test
    void notConvergedIsSaidAndStillWritten() {
        Path out = folder.resolve("out");
        Tool tool = correct(LAYOUT, "--max-iterations", "1", "--no-report", "--out", out);
        assertEquals(4, tool.code());
        assertTrue(tool.out().contains("Not converged"), tool.out());
        assertTrue(Files.exists(out.resolve("doses.csv")));
    }

    @Test
    void fixedLayersAndTargetsComeFromOptions() throws IOException {
        Path table = folder.resolve("shapes.csv");
        Files.writeString(
                table,
                "x_min_um,y_min_um,x_max_um,y_max_um,layer,datatype\n0,0,1,40,1,0\n3,0,40,40,2,0\n60,0,61,40,3,0\n");
        Path out = folder.resolve("out");
        Tool tool = correct(table, "--layer", "1/0", "--fixed-dose", "2/0=0.8", "--target", "3/0=0.5", "--out", out);
        assertEquals(0, tool.code(), tool.err());
        List<String> rows = Files.readAllLines(out.resolve("doses.csv"));
        assertTrue(rows.stream().filter(r -> r.endsWith(",fixed")).allMatch(r -> r.contains(",2,0,")));
        assertTrue(rows.stream().anyMatch(r -> r.contains(",0.800000000,")));
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "--alpha-um 0 --beta-um 9 --eta 0.6 | 2 | range must be positive",
                "--alpha-um 0.02 --beta-um -9 --eta 0.6 | 2 | range must be positive",
                "--alpha-um 0.02 --beta-um 9 --eta NaN | 2 | eta must be at least 0",
                "--alpha-um 0.02 --beta-um 9 | 2 | go together",
                "--alpha-um x --beta-um 9 --eta 0.6 | 2 | is not a double",
                "--psf no-such-set | 2 | built-in sets:",
                "--psf si-100kv --eta 1 | 2 | not both",
                "--psf si-100kv --criterion middle | 2 | edge or mean",
                "--psf si-100kv --tolerance 0 | 2 | tolerance must lie between 0 and 1",
                "--psf si-100kv --threads 0 | 2 | --threads must be at least 1",
                "--psf si-100kv --min-factor 3 --max-factor 2 | 2 | largest factor must be above",
                "--psf si-100kv --levels 0 | 2 | number of dose levels",
                "--psf si-100kv --layer 77/1 | 3 | has no shape on layer 77/1; it has 1/0",
                "--psf si-100kv --layer one | 2 | write LAYER/DATATYPE",
                "--psf si-100kv --cell NOPE | 3 | there is no cell named 'NOPE'",
                "--psf si-100kv --layer 1/0 --fixed-dose 1/0=1 | 2 | cannot be corrected and have a fixed dose",
                "--psf si-100kv --fixed-dose 1/0=0 | 2 | must be positive",
                "'' | 2 | name a point spread function",
            })
    void wrongOptionsGetOneClearLine(String options, int code, String message) throws IOException {
        Path out = folder.resolve("out");
        List<Object> words = new ArrayList<>(List.of("correct", LAYOUT, "--out", out));
        if (!options.isEmpty()) {
            words.addAll(List.of(options.split(" ")));
        }
        Tool tool = Tool.run(words.toArray());
        assertEquals(code, tool.code(), tool.err());
        assertTrue(tool.err().contains(message), tool.err());
        assertTrue(tool.err().startsWith("evendose: "), tool.err());
        assertFalse(tool.err().contains("\tat "), tool.err());
        assertEquals("", tool.out());
        assertNothingLeft(out);
    }

    @Test
    void unusableLayoutsGetOneClearLine() throws IOException {
        Path empty = Files.createFile(folder.resolve("empty.gds"));
        Path truncated = folder.resolve("truncated.gds");
        byte[] whole = Files.readAllBytes(LAYOUT);
        Files.write(truncated, Arrays.copyOf(whole, whole.length / 2));
        Path text = Files.writeString(folder.resolve("letter.gds"), "Dear all,\nthe mask is ready.\n");
        Path blank = Files.writeString(folder.resolve("blank.csv"), "x_min_um,y_min_um,x_max_um,y_max_um\n1,1,1,5\n");
        Path out = folder.resolve("out");
        for (Path bad : List.of(empty, truncated, text, blank, folder.resolve("missing.gds"), folder)) {
            Tool tool = correct(bad, "--out", out);
            assertEquals(3, tool.code(), bad + ": " + tool.err());
            assertTrue(tool.err().startsWith("evendose: " + bad), tool.err());
            assertEquals(1, tool.err().lines().count(), tool.err());
            assertNothingLeft(out);
        }
    }

    @Test
    void unusablePsfFilesGetOneClearLine() throws IOException {
        Path out = folder.resolve("out");
        Path psf = folder.resolve("psf.json");
        for (String content : List.of(
                "",
                "{",
                "{\"terms\":[]}",
                "{\"terms\":[{\"weight\":-1,\"range_um\":1}]}",
                "{\"terms\":[{\"weight\":1,\"range_um\":\"NaN\"}]}")) {
            Files.writeString(psf, content);
            Tool tool = Tool.run("correct", LAYOUT, "--psf", psf, "--out", out);
            assertEquals(3, tool.code(), content + ": " + tool.err());
            assertTrue(tool.err().contains("psf.json"), tool.err());
            assertEquals(1, tool.err().lines().count(), tool.err());
            assertNothingLeft(out);
        }
    }

    @Test
    void unusableOutputFoldersGetOneClearLine() throws IOException {
        Path file = Files.createFile(folder.resolve("file"));
        Tool isFile = correct(LAYOUT, "--out", file);
        assertEquals(3, isFile.code());
        assertTrue(isFile.err().contains("is a file"), isFile.err());
        Tool belowFile = correct(LAYOUT, "--out", file.resolve("b/c"));
        assertEquals(3, belowFile.code());
        assertTrue(belowFile.err().contains(file + " is a file"), belowFile.err());
        Path proc = Path.of("/proc");
        Assumptions.assumeTrue(Files.isDirectory(proc), "needs a folder where nobody can write");
        Tool readOnly = correct(LAYOUT, "--out", proc.resolve("evendose"));
        assertEquals(3, readOnly.code());
        assertTrue(readOnly.err().contains("cannot be written to"), readOnly.err());
    }

    @Test
    void helpNamesEveryOptionAndShowsAnExample() {
        Tool help = Tool.run("correct", "--help");
        assertEquals(0, help.code());
        for (String option : List.of(
                "--cell",
                "--layer",
                "--psf",
                "--alpha-um",
                "--beta-um",
                "--eta",
                "--criterion",
                "--reference-density",
                "--base-dose-uc-per-cm2",
                "--max-piece-um",
                "--tolerance",
                "--max-iterations",
                "--min-factor",
                "--max-factor",
                "--levels",
                "--one-dose-per-shape",
                "--threads",
                "--out",
                "--force",
                "Example:")) {
            assertTrue(help.out().contains(option), option);
        }
        assertEquals(0, Tool.run("--help").code());
        assertEquals(0, Tool.run("--version").code());
        assertEquals(2, Tool.run().code());
        assertEquals(2, Tool.run("polish").code());
    }

    private static JsonInput summary(Path out) throws IOException {
        return JsonInput.parse("summary.json", Files.readString(out.resolve("summary.json")));
    }

    /** The same verdict first on the console, in the page and in the summary: lines and gaps of 4 and 5 nm under a beam of 30 nm. */
    @Test
    void theVerdictStandsFirstEverywhere() throws IOException {
        StringBuilder shapes = new StringBuilder("x_min_um,y_min_um,x_max_um,y_max_um\n20,0,30,10\n");
        for (int k = 0; k < 60; k++) {
            shapes.append(String.format(Locale.ROOT, "%.3f,0,%.3f,5\n", 0.009 * k, 0.009 * k + 0.004));
        }
        Path fine = Files.writeString(folder.resolve("fine.csv"), shapes);
        Path out = folder.resolve("out");
        Tool tool = Tool.run("correct", fine, "--alpha-um", 0.03, "--beta-um", 9.5, "--eta", 0.6, "--out", out);
        String headline = tool.out().lines().findFirst().orElseThrow();
        assertTrue(headline.startsWith("Not all comes out as drawn: "), headline);
        assertTrue(headline.contains("where a gap closes"), headline);
        JsonInput verdict = summary(out).get("verdict");
        assertTrue(verdict.get("text").text().startsWith(headline));
        assertTrue(verdict.get("places_not_as_drawn").number() > 100);
        assertFalse(verdict.get("as_drawn").truth());
        assertTrue(verdict.get("worst").elements().get(0).get("x_um").number() < 0.6);
        String page = Files.readString(out.resolve("report.html"));
        assertTrue(page.contains("<section class=\"verdict care\"><p>" + headline), headline);
        assertTrue(Files.readString(out.resolve("summary.json")).startsWith("{\n  \"verdict\""));

        Path sound = folder.resolve("sound");
        Tool good = correct(LAYOUT, "--out", sound, "--no-report").ends(0);
        assertTrue(good.out().startsWith("Comes out as drawn: "), good.out());
        assertTrue(summary(sound).get("verdict").get("as_drawn").truth());
    }

    /** Errors are those of the doses that are written, and coarse levels have a status of their own. */
    @Test
    void coarseLevelsAreTold() throws IOException {
        Path out = folder.resolve("out");
        Path shapes = Files.writeString(
                folder.resolve("shapes.csv"), "x_min_um,y_min_um,x_max_um,y_max_um\n0,0,40,40\n80,0,80.2,40\n");
        Tool tool =
                correct(shapes, "--levels", 1, "--level-study", "--out", out).ends(0);
        double largest = 0;
        List<String> rows = Files.readAllLines(out.resolve("doses.csv"));
        for (String row : rows.subList(1, rows.size())) {
            String[] v = row.split(",");
            double off = Math.abs(Double.parseDouble(v[17]) / 0.5 - 1);
            largest = Math.max(largest, off);
            assertEquals(off <= 1e-3 ? "ok" : "coarse-level", v[18], row);
        }
        assertTrue(largest > 0.1, "one level should not do");
        JsonInput summary = summary(out);
        assertTrue(summary.get("max_residual").number() >= largest - 1e-9);
        assertEquals(1, summary.get("levels").number());
        assertTrue(tool.out().contains("1 dose level leaves "), tool.out());
        String page = Files.readString(out.resolve("report.html"));
        assertTrue(page.contains("<section id=\"levels\">") && page.contains("added width error"), "cost of levels");
    }

    /** Page, console, table and summary tell of the pieces of the window alone. */
    @Test
    void aWindowIsToldAlone() throws IOException {
        Path out = folder.resolve("out");
        Tool tool = correct(LAYOUT, "--window", "3,-3,6,0", "--out", out).ends(0);
        int pieces = Files.readAllLines(out.resolve("doses.csv")).size() - 1;
        assertTrue(pieces > 0 && pieces < 1000);
        assertEquals(pieces, summary(out).get("pieces").number());
        assertTrue(tool.out().contains(String.format(Locale.ROOT, "%,d written", pieces)), tool.out());
        String page = Files.readString(out.resolve("report.html"));
        assertTrue(page.contains(String.format(Locale.ROOT, "<b>%,d</b><span>pieces</span>", pieces)));
        assertTrue(page.contains(String.format(Locale.ROOT, "All %,d pieces are in the page.", pieces)));
        Tool outside = correct(LAYOUT, "--window", "5000,5000,5001,5001", "--out", folder.resolve("outside"))
                .ends(3);
        assertTrue(outside.err().contains("window"), outside.err());
    }

    @Test
    void topCellsAndLayersLeftOutAreTold() throws IOException {
        Path several = folder.resolve("several.gds");
        try (GdsiiWriter writer =
                new GdsiiWriter(Files.newOutputStream(several), several.toString(), "LIB", new DatabaseUnit(1e-3))) {
            for (int k = 0; k < 2; k++) {
                writer.beginCell("TOP" + k);
                writer.layer(new Layer(1 + k, 0));
                writer.polygon(new long[] {0, 0, 1000, 0, 1000, 1000, 0, 1000}, 4);
                writer.endCell();
            }
        }
        Tool tool = correct(several, "--layer", "1/0", "--no-report", "--out", folder.resolve("out"))
                .ends(0);
        assertTrue(tool.err().contains("layers left out, which add no background: 2/0"), tool.err());
        assertTrue(tool.err().contains("2 top cells, all taken together; --cell chooses one: TOP0, TOP1"), tool.err());
    }

    /** Grey tone is answered in depths; no width of a stair in nanometres. */
    @Test
    void greyToneIsAnsweredInDepths() throws IOException {
        Path out = folder.resolve("out");
        Tool tool = Tool.stairs(out, Tool.PSF.toArray(String[]::new)).ends(0);
        assertTrue(tool.out().startsWith("Depths come out within "), tool.out());
        String page = Files.readString(out.resolve("report.html"));
        assertTrue(
                page.contains("<section id=\"depths\">") && page.contains("<th scope=\"row\">12/0</th><td>300.0</td>"));
        assertFalse(page.contains("<section id=\"widths\">") || page.contains("<section id=\"edges\">"));
        Tool.run("verify", out, Tool.testdata("demo/tidepool-stairs.csv")).ends(0);
    }

    /** What an earlier run left must not be taken for a part of the new result. */
    @Test
    void aNewResultLeavesNothingOfTheFormerOne() throws IOException {
        Path out = folder.resolve("out");
        assertEquals(0, correct(LAYOUT, "--out", out).code());
        Files.writeString(out.resolve("notes.txt"), "mine");
        Tool again = correct(LAYOUT, "--out", out, "--force", "--no-report", "--format", "oasis");
        assertEquals(0, again.code(), again.err());
        assertEquals(
                List.of(
                        "corrected-levels.lyp",
                        "corrected.oas",
                        "doses.csv",
                        "levels.csv",
                        "notes.txt",
                        "summary.json"),
                Tool.names(out));
    }
}
