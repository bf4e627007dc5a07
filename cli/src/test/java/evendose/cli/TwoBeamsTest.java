package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.formats.LayoutFiles;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Correcting and planning with a fine and a coarse beam. */
class TwoBeamsTest {
    @TempDir
    private Path folder;

    private Path layout;
    private Path coarse;

    @BeforeEach
    void draw() throws IOException {
        layout = Files.writeString(folder.resolve("chip.csv"), """
                x_min_um,y_min_um,x_max_um,y_max_um
                0,0,10,8
                12,0,12.2,8
                """);
        coarse = Files.writeString(folder.resolve("coarse.json"), """
                {"terms":[{"weight":0.6,"range_um":0.05},{"weight":0.4,"range_um":5}],"source":"invented"}
                """);
    }

    private Tool correct(Object... more) {
        List<Object> words = new ArrayList<>(
                List.of("correct", layout, "--alpha-um", 0.012, "--beta-um", 5, "--eta", 0.6, "--quiet"));
        words.addAll(List.of(more));
        return Tool.run(words.toArray());
    }

    private static double area(Path file) {
        Layout written = LayoutFiles.read(file);
        Map<Layer, Integer> groups = new HashMap<>();
        Flattener.of(written).counts().keySet().forEach(layer -> groups.put(layer, 0));
        Polygons polygons = new Polygons();
        Flattener.of(written).flatten(groups, polygons);
        double dbu = written.unit().um();
        return Merge.of(polygons, 1, Workers.of(1), Progress.NONE).area() * dbu * dbu;
    }

    @Test
    void writesBothExposuresAndPlansThemTogether() throws IOException {
        Path out = folder.resolve("doses");
        Tool run = correct("--rim-um", 0.4, "--bulk-psf", coarse, "--base-dose-uc-per-cm2", 300, "--out", out)
                .ends(0);
        assertEquals(
                List.of(
                        "bulk-doses.csv",
                        "bulk-levels.csv",
                        "bulk.gds",
                        "corrected-levels.lyp",
                        "corrected.gds",
                        "doses.csv",
                        "levels.csv",
                        "report.html",
                        "summary.json"),
                Tool.names(out));
        assertTrue(run.out().contains("The seam of both beams is within"), run.out());
        assertTrue(run.out().contains("20.0 nm of overlay error"), run.out());
        assertTrue(run.out().contains("evendose plan"), run.out());
        assertEquals("", run.err());
        String page = Files.readString(out.resolve("report.html"));
        assertTrue(page.contains("Two beams") && page.contains("overlay error of 20.0 nm"));

        JsonNode root = new ObjectMapper().readTree(out.resolve("summary.json").toFile());
        assertTrue(
                root.at("/verdict/as_drawn").asBoolean(),
                root.at("/verdict/text").asText());
        double in = root.at("/two_beams/seam/overlap_um").asDouble();
        assertTrue(root.at("/two_beams/seam/deviation_percent").asDouble() < 2);
        assertTrue(root.at("/two_beams/seam/lowest_over_clearing").asDouble() > 1);
        assertEquals("invented", root.at("/two_beams/bulk_psf/source").asText());
        double bulk = 9.2 * 7.2;
        assertEquals(bulk, area(out.resolve("bulk.gds")), 1e-6);
        assertEquals(80 + 1.6 - (9.2 - 2 * in) * (7.2 - 2 * in), area(out.resolve("corrected.gds")), 1e-6);

        Path plan = folder.resolve("plan");
        Tool planned = Tool.run(
                        "plan",
                        out,
                        "--current-na",
                        0.1,
                        "--step-nm",
                        4,
                        "--bulk-current-na",
                        10,
                        "--bulk-step-nm",
                        20,
                        "--loading-min",
                        1,
                        "--beam-change-min",
                        2,
                        "--out",
                        plan)
                .ends(0);
        JsonNode both = new ObjectMapper().readTree(plan.resolve("plan.json").toFile());
        // uC/cm^2 times um^2 is 1e-8 uC; 0.1 nA is 1e-4 uC/s.
        double fineUc = 3e-6 * root.at("/dosed_area_um2").asDouble();
        double bulkUc = 3e-6 * root.at("/two_beams/bulk_dosed_area_um2").asDouble();
        double total = 60 + fineUc / 1e-4 + 120 + bulkUc / 1e-2;
        assertEquals(total, both.at("/two_beams/total_s").asDouble(), 1e-6 * total);
        double alone = 60 + (fineUc + bulkUc) / 1e-4;
        assertEquals(alone, both.at("/two_beams/fine_current_alone_total_s").asDouble(), 1e-6 * alone);
        assertTrue(Files.exists(plan.resolve("bulk-plan-levels.csv")));
        assertTrue(Files.readString(plan.resolve("plan.html")).contains("Both exposures"));
        assertTrue(planned.out().contains("so the coarse beam"), planned.out());

        // The fine half alone is planned when only its current is named, and that is told; files of the pair go.
        Tool half = Tool.run("plan", out, "--current-na", 1, "--step-nm", 4, "--out", plan, "--force")
                .ends(0);
        assertTrue(half.err().contains("planned is the fine exposure alone"), half.err());
        assertFalse(Files.exists(plan.resolve("bulk-plan-levels.csv")));
        assertTrue(Tool.run("plan", out, "--current-na", 1, "--step-nm", 4, "--bulk-current-na", 9)
                .ends(2)
                .err()
                .contains("go together"));
        assertTrue(Tool.run("verify", out, layout).ends(3).err().contains("one of two beams"));

        // A run with one beam leaves nothing of the other behind.
        correct("--out", out, "--force", "--no-report").ends(0);
        assertFalse(Files.exists(out.resolve("bulk-doses.csv")));
        assertTrue(Tool.run(
                        "plan",
                        out.resolve("doses.csv"),
                        "--base-dose-uc-per-cm2",
                        300,
                        "--current-na",
                        1,
                        "--step-nm",
                        4,
                        "--bulk-current-na",
                        9,
                        "--bulk-step-nm",
                        9,
                        "--out",
                        folder.resolve("none"))
                .ends(2)
                .err()
                .contains("correct with --rim-um"));
    }

    @Test
    void theOptionsGoTogether() {
        assertTrue(correct("--rim-um", 0.4).ends(2).err().contains("--rim-um goes with --bulk-psf"));
        assertTrue(correct("--bulk-psf", coarse).ends(2).err().contains("--bulk-psf goes with --rim-um"));
        assertTrue(correct("--rim-um", 0, "--bulk-psf", coarse).ends(2).err().contains("must be positive"));
        assertTrue(correct("--rim-um", 0.4, "--bulk-psf", "si-1kv")
                .ends(2)
                .err()
                .contains("--bulk-psf: there is no file"));
        assertTrue(correct("--rim-um", 0.4, "--bulk-psf", coarse, "--window", "0,0,1,1")
                .ends(2)
                .err()
                .contains("does not go with --window"));
        assertTrue(correct("--rim-um", 0.4, "--bulk-psf", coarse, "--bias-nm", "auto")
                .ends(2)
                .err()
                .contains("does not go with --bias-nm"));
        assertTrue(correct("--rim-um", 0.4, "--bulk-psf", coarse, "--fogging-percent", 4, "--fogging-range-mm", 10)
                .ends(2)
                .err()
                .contains("does not go with fogging"));
        assertTrue(correct("--rim-um", 0.4, "--bulk-psf", coarse, "--levels", 5, "--out", folder.resolve("no"))
                .ends(2)
                .err()
                .contains("free doses only"));
        assertFalse(Files.exists(folder.resolve("no")));
    }

    @Test
    void whereNothingIsWideOneBeamDoesAll() throws IOException {
        Path out = folder.resolve("narrow");
        Tool run = correct("--rim-um", 3.2, "--bulk-psf", coarse, "--no-report", "--out", out)
                .ends(0);
        // Two rims of 3.2 um and the least bulk, 2 um, are more than 8 um.
        assertTrue(
                run.err().contains("no shape is wide") && run.err().contains("nothing to expose coarsely"), run.err());
        assertFalse(Files.exists(out.resolve("bulk-doses.csv")));
        assertFalse(Files.readString(out.resolve("summary.json")).contains("two_beams"));
    }

    @Test
    void aRimWithinTheBlurIsWarnedAbout() {
        // 0.1 % of the plateau of 0.05 um: 0.109 um.
        Tool run = correct("--rim-um", 0.08, "--bulk-psf", coarse, "--no-report", "--out", folder.resolve("thin"));
        assertTrue(
                run.err().contains("narrower than the blur") && run.err().contains("--rim-um 0.11 or more"), run.err());
        assertFalse(correct("--rim-um", 0.11, "--bulk-psf", coarse, "--no-report", "--out", folder.resolve("enough"))
                .err()
                .contains("narrower than the blur"));
    }
}
