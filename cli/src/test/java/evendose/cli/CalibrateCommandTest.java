package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import evendose.psf.PsfFile;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class CalibrateCommandTest {
    private static final Path MEASURED = Tool.testdata("demo/tidepool-measured.csv");

    @TempDir
    Path folder;

    @Test
    void patternWritesWhatIsNeededToWriteAndMeasure() throws IOException {
        Path out = folder.resolve("t");
        Tool.run(
                        "calibrate",
                        "pattern",
                        "--alpha-um",
                        "0.01",
                        "--beta-um",
                        "9.5",
                        "--eta",
                        "0.62",
                        "--clearing-dose-uc-per-cm2",
                        "150",
                        "--out",
                        out)
                .ends(0);
        for (String name : List.of(
                "dose-test.gds", "levels.csv", "figures.csv", "measured.csv", "pattern.json", "instructions.html")) {
            assertTrue(Files.size(out.resolve(name)) > 100, name);
        }
        String page = Files.readString(out.resolve("instructions.html"));
        assertTrue(page.contains("<svg") && !page.contains("https://"));
        // The empty table is refused with what to do.
        Tool fit = Tool.run("calibrate", "fit", out.resolve("measured.csv"), "--out", folder.resolve("f"))
                .ends(3);
        assertTrue(
                fit.err()
                        .endsWith(
                                "holds no measurement yet; fill in last_uncleared_uc_per_cm2 and first_cleared_uc_per_cm2 of"
                                        + " rings and discs and 'measured' of lines in some rows\n"),
                fit.err());
        assertFalse(Files.exists(folder.resolve("f")));
        // What the test says it costs is what planning its writing finds.
        JsonNode pattern =
                new ObjectMapper().readTree(out.resolve("pattern.json").toFile());
        Path plan = folder.resolve("p");
        Tool.run(
                        "plan",
                        out.resolve("dose-test.gds"),
                        "--base-dose-uc-per-cm2",
                        pattern.get("base_dose_uc_per_cm2").asText(),
                        "--current-na",
                        "2",
                        "--step-nm",
                        "5",
                        "--out",
                        plan)
                .ends(0);
        JsonNode planned = new ObjectMapper().readTree(plan.resolve("plan.json").toFile());
        double charge = pattern.get("charge_uc").asDouble();
        assertEquals(charge, planned.get("charge_uc").asDouble(), 1e-3 * charge);
        assertEquals(
                planned.get("beam_on_s").asDouble() / 60,
                pattern.get("beam_on").get(0).get("minutes").asDouble(),
                1e-3 * planned.get("beam_on_s").asDouble() / 60);
    }

    @Test
    void aBudgetThatIsTooSmallIsTold() {
        Object[] guess = {
            "calibrate",
            "pattern",
            "--alpha-um",
            "0.01",
            "--beta-um",
            "31",
            "--eta",
            "0.6",
            "--clearing-dose-uc-per-cm2",
            "375"
        };
        Path out = folder.resolve("t");
        Tool small = Tool.run(with(guess, "--budget-uc", "0.3", "--out", out)).ends(4);
        assertTrue(
                small.out().contains("0.3 uC do not allow the wanted 3 %: this is the best test for them"),
                small.out());
        assertTrue(Files.exists(out.resolve("dose-test.gds")));
        Path hour = folder.resolve("h");
        Tool usual = Tool.run(with(guess, "--current-na", "2,1", "--out", hour)).ends(0);
        assertTrue(usual.out().contains("of 5.4 uC allowed"), usual.out());
        Tool.run(with(guess, "--budget-uc", "1", "--slot-h", "1", "--out", folder.resolve("x")))
                .ends(2);
        Tool.run(with(guess, "--slot-h", "0.2", "--out", folder.resolve("x"))).ends(2);
        Tool.run(with(guess, "--target-percent", "0.01", "--out", folder.resolve("x")))
                .ends(2);
        Tool.run(with(guess, "--current-na", "-1", "--out", folder.resolve("x")))
                .ends(2);
        assertFalse(Files.exists(folder.resolve("x")));
    }

    private static Object[] with(Object[] words, Object... more) {
        return Stream.concat(Arrays.stream(words), Arrays.stream(more)).toArray();
    }

    @Test
    void fitWritesAPsfFileThatOtherCommandsTake() throws IOException {
        Path out = folder.resolve("f");
        Tool tool = Tool.run(
                        "calibrate", "fit", MEASURED, "--energy-kev", "100", "--stack", "resist on Si", "--out", out)
                .ends(0);
        assertTrue(tool.out().contains("base dose"), tool.out());
        PsfFile file = PsfFile.read(out.resolve("psf.json"));
        assertEquals("", file.notice());
        assertEquals(100, file.energyKev().orElseThrow());
        assertEquals("resist on Si", file.stack());
        assertTrue(file.source().startsWith("fit of 27 measurements in tidepool-measured.csv; alpha "), file.source());
        assertEquals(29, file.psf().main().rangeUm(), 1);
        assertTrue(Files.readString(out.resolve("psf.json")).contains("data_sha256"));
        for (String name : List.of(
                "fit.json",
                "residuals.csv",
                "calibration.html",
                "calibration-residuals.png",
                "calibration-rings.svg",
                "calibration-discs.png",
                "calibration-plots.csv",
                "calibration-plots.json",
                "calibration-widths.png")) {
            assertTrue(Files.size(out.resolve(name)) > 100, name);
        }
        Tool again = Tool.run("calibrate", "fit", MEASURED, "--out", out).ends(3);
        assertTrue(again.err().contains("exists already; use --force"), again.err());
    }

    @Test
    void openParametersAreRefusedInOneLine() throws IOException {
        Path rings = folder.resolve("rings.csv");
        Files.write(
                rings,
                Files.readAllLines(MEASURED).stream()
                        .filter(l -> !l.startsWith("width"))
                        .toList());
        Tool tool = Tool.run("calibrate", "fit", rings, "--out", folder.resolve("f"))
                .ends(3);
        assertEquals(1, tool.err().lines().count());
        assertTrue(tool.err().contains("do not determine alpha"), tool.err());
        Tool.run("calibrate", "fit", rings, "--alpha-um", "0.01", "--out", folder.resolve("f"))
                .ends(0);
    }

    @Test
    void wrongUseIsExplained() {
        Tool.run("calibrate").ends(2);
        Tool.run("calibrate", "fit", MEASURED, "--alpha-um", "-1").ends(2);
        Tool.run(
                        "calibrate",
                        "pattern",
                        "--alpha-um",
                        "1",
                        "--beta-um",
                        "2",
                        "--eta",
                        "0.6",
                        "--clearing-dose-uc-per-cm2",
                        "100",
                        "--out",
                        folder.resolve("x"))
                .ends(2);
        Tool.run("calibrate", "fit", folder.resolve("none.csv")).ends(3);
    }

    @Test
    void stairsGetTheirDepths() throws IOException {
        Path out = folder.resolve("s");
        Tool.stairs(out, "--psf", "si-100kv").ends(0);
        List<String> rows = Files.readAllLines(out.resolve("depths.csv"));
        assertEquals(5, rows.size());
        for (String row : rows.subList(1, 5)) {
            String[] f = row.split(",");
            double wanted = Double.parseDouble(f[2]);
            assertTrue(Math.abs(Double.parseDouble(f[5]) - wanted) > 20, "before: " + row);
            assertEquals(wanted, Double.parseDouble(f[9]), 0.5, "after: " + row);
        }
        assertTrue(Files.size(out.resolve("grey-tone.png")) > 1000);
        Tool.run("correct", Tool.testdata("demo/tidepool-stairs.csv"), "--depth", "10/0=100", "--psf", "si-100kv")
                .ends(2);
    }

    @Test
    void levelsOfferAStudy() throws IOException {
        Path out = folder.resolve("l");
        Tool tool = Tool.correct(Tool.testdata("layouts/cd-500nm.gds"), "--levels", "8", "--level-study", "--out", out)
                .ends(0);
        assertTrue(tool.out().contains("dose levels    8; added error"), tool.out());
        assertTrue(Files.readAllLines(out.resolve("level-study.csv")).size() > 10);
        assertTrue(Files.size(out.resolve("level-study.svg")) > 1000);
        assertEquals(9, Files.readAllLines(out.resolve("levels.csv")).size());
        Tool.correct(Tool.testdata("layouts/cd-500nm.gds"), "--levels", "8", "--level-step-percent", "3")
                .ends(2);
    }
}
