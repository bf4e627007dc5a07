package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class PlanCommandTest {
    @TempDir
    Path folder;

    private Path doses;

    /** 1 mm^2 in two pieces at factors 1 and 1.5. */
    @BeforeEach
    void table() throws IOException {
        doses = folder.resolve("doses.csv");
        Files.writeString(
                doses,
                "piece,shape,unit,layer,datatype,x1_um,y1_um,x2_um,y2_um,x3_um,y3_um,x4_um,y4_um,dose_factor,"
                        + "dose_uc_per_cm2,level,energy_uncorrected,energy_corrected,status\n"
                        + "0,0,0,1,0,0,0,500,0,500,1000,0,1000,1,,0,0.5,0.5,ok\n"
                        + "1,1,1,1,0,600,0,1100,0,1100,1000,600,1000,1.5,,7,0.5,0.5,ok\n");
    }

    private static double number(String json, String key) {
        Matcher m = Pattern.compile("\"" + key + "\" : ([-0-9.Ee+]+)").matcher(json);
        assertTrue(m.find(), key);
        return Double.parseDouble(m.group(1));
    }

    private Tool plan(Object... more) {
        return Tool.run(Stream.concat(Stream.of("plan", doses, "--base-dose-uc-per-cm2", "100"), Stream.of(more))
                .toArray());
    }

    /** The table knows its base dose; another one is told. */
    @Test
    void theBaseDoseIsTheTablesOwn() throws IOException {
        Tool without = Tool.run("plan", doses, "--current-na", 1, "--step-nm", 10, "--out", folder.resolve("no"))
                .ends(2);
        assertTrue(without.err().contains("gives no absolute doses"), without.err());
        String row =
                Files.readString(doses).replace("1000,1,,0", "1000,1,250,0").replace("1000,1.5,,7", "1000,1.5,375,7");
        Files.writeString(doses, row);
        Path out = folder.resolve("own");
        Tool.run("plan", doses, "--current-na", 1, "--step-nm", 10, "--out", out)
                .ends(0);
        assertEquals(250, number(Files.readString(out.resolve("plan.json")), "base_dose_uc_per_cm2"), 1e-9);
        Tool other = plan("--current-na", 1, "--step-nm", 10, "--out", folder.resolve("other"))
                .ends(0);
        assertTrue(
                other.err().contains("planned with 100.000 uC/cm^2, but the table was made for 250.000"), other.err());
    }

    @Test
    void printsThePlanAsJson() throws IOException {
        Path out = folder.resolve("p");
        Tool tool =
                plan("--current-na", 1, "--step-nm", 10, "--json", "--out", out).ends(0);
        assertEquals(Files.readString(out.resolve("plan.json")), tool.out());
        assertEquals("", tool.err());
        // 1 mm^2, a half of it at 1 and a half at 1.5 times 100 uC/cm^2.
        assertEquals(1.25, number(tool.out(), "charge_uc"), 1e-9);
    }

    @Test
    void writesThePlanForScriptsAndForReading() throws IOException {
        Path out = folder.resolve("p");
        Tool tool = plan(
                "--current-na",
                "1",
                "--step-nm",
                "10",
                "--clock-mhz",
                "25",
                "--field-um",
                "500",
                "--loading-min",
                "10",
                "--out",
                out);
        assertEquals(0, tool.code(), tool.err());
        assertEquals("", tool.err());
        String json = Files.readString(out.resolve("plan.json"));
        assertEquals(1e6, number(json, "exposed_area_um2"), 1e-6);
        assertEquals(1.25, number(json, "charge_uc"), 1e-12);
        assertEquals(1250, number(json, "beam_on_s"), 1e-9);
        assertEquals(1850, number(json, "total_s"), 1e-9);
        assertEquals(10, number(json, "highest_frequency_mhz"), 1e-9);
        assertEquals(2.5, number(json, "highest_current_na"), 1e-9);
        assertTrue(tool.out().contains("1 nA with a step of 10 nm"), tool.out());
        String page = Files.readString(out.resolve("plan.html"));
        assertTrue(page.startsWith("<!DOCTYPE html>"));
        assertFalse(page.contains("http://") || page.contains("https://") || page.contains("<script"), "offline");
        for (String name : List.of(
                "plan-levels.csv",
                "plan-choices.csv",
                "plan-cuts.csv",
                "plan-time.png",
                "plan-time.svg",
                "plan-rates.png",
                "plan-fields.png")) {
            assertTrue(Files.size(out.resolve(name)) > 60, name);
        }
    }

    @Test
    void withoutAClockThereIsNoHighestCurrent() throws IOException {
        Path out = folder.resolve("p");
        assertEquals(
                0, plan("--current-na", "100", "--step-nm", "1", "--out", out).code());
        assertTrue(Files.readString(out.resolve("plan.json")).contains("\"highest_current_na\" : null"));
    }

    @Test
    void aBrokenClockOrSlotExitsWith4AndStillWrites() {
        Path out = folder.resolve("p");
        Tool tool = plan("--current-na", "1", "--step-nm", "10", "--clock-mhz", "9", "--slot-h", "0.1", "--out", out);
        assertEquals(4, tool.code());
        assertTrue(tool.out().contains("1 of 2 levels need up to 10.00 MHz, the clock gives 9.000 MHz"), tool.out());
        assertTrue(tool.out().contains("exceed the slot"), tool.out());
        assertTrue(Files.exists(out.resolve("plan.json")));
    }

    @Test
    void theBestOfSeveralIsChosen() throws IOException {
        Path out = folder.resolve("p");
        Tool tool = plan(
                "--current-na",
                "0.5,1,5,20",
                "--step-nm",
                "2,5",
                "--clock-mhz",
                "150",
                "--beam-table",
                Tool.testdata("demo/tidepool-beam.csv"),
                "--out",
                out);
        assertEquals(0, tool.code(), tool.err());
        String json = Files.readString(out.resolve("plan.json"));
        // Rates per nA: 250 MHz at 2 nm, 40 MHz at 5 nm. 5 and 20 nA are too fast with either step; at 1 nA the beam of
        // 6.1 nm
        // allows steps up to 3.05 nm, and 2 nm is too fast; at 0.5 nA the beam of 4.9 nm allows 2 nm, at 125 MHz.
        assertEquals(0.5, number(json, "current_na"), 1e-12, tool.out());
        assertEquals(8, Files.readAllLines(out.resolve("plan-choices.csv")).size() - 1);
    }

    @Test
    void wrongInputIsOneLineAndLeavesNothing() throws IOException {
        Path out = folder.resolve("p");
        assertEquals(
                2, plan("--current-na", "-1", "--step-nm", "10", "--out", out).code());
        assertEquals(
                2,
                plan("--current-na", "1", "--step-nm", "10", "--repeats", "0", "--out", out)
                        .code());
        assertEquals(2, plan("--current-na", "1", "--out", out).code());
        Files.writeString(doses, "a,b\n");
        Tool bad = plan("--current-na", "1", "--step-nm", "10", "--out", out);
        assertEquals(3, bad.code());
        assertTrue(bad.err().startsWith("evendose: " + doses) && bad.err().contains("x1_um"), bad.err());
        assertEquals(1, bad.err().lines().count());
        assertFalse(Files.exists(out));
    }
}
