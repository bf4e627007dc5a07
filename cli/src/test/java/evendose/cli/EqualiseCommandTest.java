package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
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
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class EqualiseCommandTest {
    @TempDir
    private Path folder;

    private Path layout;

    /** A pad and lone lines; the pad is 20 um wide, the background reaches 3 um. */
    @BeforeEach
    void draw() throws IOException {
        layout = Files.writeString(folder.resolve("chip.csv"), """
                x_min_um,y_min_um,x_max_um,y_max_um,layer,datatype
                0,0,20,20,1,0
                30,0,30.2,20,1,0
                40,0,40.2,20,1,0
                50,0,60,20,2,0
                """);
    }

    private Tool equalise(Object... more) {
        List<Object> words =
                new ArrayList<>(List.of("equalise", layout, "--alpha-um", 0.02, "--beta-um", 3, "--eta", 0.6));
        words.addAll(List.of(more));
        return Tool.run(words.toArray());
    }

    private static double area(Layout layout, Layer layer) {
        Polygons polygons = new Polygons();
        Flattener.of(layout).flatten(Map.of(layer, 0), polygons);
        double dbu = layout.unit().um();
        return Merge.of(polygons, 1, Workers.of(1), Progress.NONE).area() * dbu * dbu;
    }

    @Test
    void writesPatternAndComplementAndComparesThem() throws IOException {
        Path out = folder.resolve("out");
        Tool run = equalise("--layer", "1/0", "--base-dose-uc-per-cm2", 400, "--frame-um", 12, "--out", out)
                .ends(0);
        assertEquals(List.of("equalise.gds", "equalise.json"), Tool.names(out));
        assertTrue(run.err().contains("layers left out, which add no background: 2/0"), run.err());
        assertTrue(run.out().contains("by the published formula"), run.out());
        assertTrue(run.out().contains("charge, uC"), run.out());

        Layout written = LayoutFiles.read(out.resolve("equalise.gds"));
        double drawn = 400 + 2 * 0.2 * 20;
        double complement = 64.2 * 44 - drawn;
        assertEquals(drawn, area(written, new Layer(1, 0)), 1e-6);
        assertEquals(complement, area(written, new Layer(2, 0)), 1e-6);

        JsonNode root = new ObjectMapper().readTree(out.resolve("equalise.json").toFile());
        assertEquals("published", root.at("/spot/origin").asText());
        assertEquals(3 / Math.pow(1.6, 0.25), root.at("/spot/range_um").asDouble(), 1e-9);
        assertEquals(
                2 * root.at("/spot/range_um").asDouble(),
                root.at("/spot/diameter_um").asDouble(),
                1e-9);
        assertEquals(0.375, root.at("/complement_over_pattern_dose").asDouble(), 1e-9);
        assertEquals(400 * 1.6 / 2.2, root.at("/pattern/dose_uc_per_cm2").asDouble(), 1e-6);
        assertEquals(400 * 0.6 / 2.2, root.at("/complement/dose_uc_per_cm2").asDouble(), 1e-6);
        assertEquals("2/0", root.at("/complement_layer").asText());
        assertEquals(-12, root.at("/frame_um/0").asDouble(), 1e-9);
        // uC/cm^2 times um^2 is 1e-8 uC.
        double charge = 1e-8 * 400 * (1.6 * drawn + 0.6 * complement) / 2.2;
        assertEquals(charge, root.at("/comparison/equalised/charge_uc").asDouble(), 1e-9 * charge);
        double single = 1e-8
                * 400
                * drawn
                * root.at("/comparison/single_dose/dose_factor").asDouble();
        assertEquals(single, root.at("/comparison/single_dose/charge_uc").asDouble(), 1e-9 * single);
        double[] rms = new double[3];
        double[] slope = new double[3];
        int k = 0;
        for (String way : List.of("single_dose", "equalised", "dose_correction")) {
            rms[k] = root.at("/comparison/" + way + "/edge_energy/rms").asDouble();
            slope[k++] = root.at("/comparison/" + way + "/edge_slope_per_um").asDouble();
        }
        // Doses are as fine as the goal for edges asks, 1 %, and no finer.
        assertTrue(rms[0] > 20 * rms[1] && rms[0] > 20 * rms[2], rms[0] + ", " + rms[1] + ", " + rms[2]);
        assertTrue(slope[1] < 0.8 * slope[2], slope[1] + ", " + slope[2]);
    }

    @Test
    void theSameBytesWhateverTheThreadsAndJsonAlone() throws IOException {
        Path one = folder.resolve("one");
        Path two = folder.resolve("two");
        Tool json =
                equalise("--layer", 1, "--threads", 1, "--json", "--out", one).ends(0);
        equalise("--layer", 1, "--threads", 2, "--out", two).ends(0);
        for (String name : Tool.names(one)) {
            assertArrayEquals(Files.readAllBytes(one.resolve(name)), Files.readAllBytes(two.resolve(name)), name);
        }
        assertEquals(Files.readString(one.resolve("equalise.json")), json.out());
        assertFalse(json.out().contains("charge_uc"), "no base dose, no charge");
        equalise("--layer", 1, "--out", one).ends(3);
        equalise("--layer", 1, "--out", one, "--force").ends(0);
    }

    @Test
    void moreTermsGetAFittedSpot() throws IOException {
        Path psf = Files.writeString(folder.resolve("psf.json"), """
                {"terms": [{"weight": 0.55, "range_um": 0.02}, {"weight": 0.1, "range_um": 1},
                  {"weight": 0.35, "range_um": 3}]}
                """);
        Tool run = Tool.run("equalise", layout, "--layer", 1, "--psf", psf, "--out", folder.resolve("triple"))
                .ends(0);
        assertTrue(run.out().contains("fitted to all terms; the formula for two gives a range of 2.58 um"), run.out());
    }

    @Test
    void wrongWordsAndBadInputAreRefused() throws IOException {
        Path out = folder.resolve("none");
        Tool several = equalise("--out", out).ends(2);
        assertTrue(several.err().contains("has several layers; choose with --layer"), several.err());
        for (String option : List.of("--frame-um", "--spot-range-um", "--base-dose-uc-per-cm2", "--allowed-edge-nm")) {
            for (Object bad : List.of(0, -1, "NaN", "Infinity")) {
                Tool run = equalise("--layer", 1, option, bad, "--out", out).ends(2);
                assertTrue(run.err().contains(option + " must be positive"), run.err());
            }
        }
        Tool narrow = equalise("--layer", 1, "--frame-um", 1, "--out", out).ends(2);
        assertTrue(narrow.err().contains("a frame of 1 um is narrower than the spot"), narrow.err());
        Tool wide = equalise("--layer", 1, "--frame-um", 1e9, "--out", out).ends(3);
        assertTrue(wide.err().contains("take a narrower one"), wide.err());
        Tool alone = Tool.run(
                        "equalise", layout, "--layer", 1, "--alpha-um", 1, "--beta-um", 9, "--eta", 0, "--out", out)
                .ends(2);
        assertTrue(alone.err().contains("without backscattering"), alone.err());
        equalise("--layer", "9/0", "--out", out).ends(3);
        equalise("--layer", 1, "--window", "0,0,1,1", "--out", out).ends(2);
        Tool none = Tool.run("equalise", folder.resolve("nowhere.gds"), "--psf", "si-50kv", "--out", out)
                .ends(3);
        assertTrue(none.err().contains("nowhere.gds: there is no such file"), none.err());
        assertFalse(Files.exists(out), "nothing half-written");
    }

    /** A spot of three hundred ranges leaves all of the pattern in the background. */
    @Test
    void aSpotThatIsFarTooWideIsToldByItsNumbers() throws IOException {
        Files.writeString(layout, "x_min_um,y_min_um,x_max_um,y_max_um\n0,0,0.2,20\n");
        Tool run = equalise("--spot-range-um", 900, "--frame-um", 1000, "--out", folder.resolve("wide"))
                .ends(0);
        assertTrue(run.out().contains("as given"), run.out());
        assertTrue(run.out().contains("off by up to 18.57 % of the energy in a large pad; 18.8 % without"), run.out());
    }

    /** A dot below the beam cannot get its dose: the comparison is with doses that miss, and the command ends as 'correct' does. */
    @Test
    void aComparisonThatDoesNotConvergeIsToldByTheExitCode() throws IOException {
        Files.writeString(layout, "x_min_um,y_min_um,x_max_um,y_max_um\n0,0,20,20\n40,0,40.001,0.001\n");
        Path out = folder.resolve("missed");
        Tool run = equalise("--out", out).ends(4);
        assertTrue(run.out().contains("not converged"), run.out());
        assertEquals(List.of("equalise.gds", "equalise.json"), Tool.names(out));
        assertFalse(new ObjectMapper()
                .readTree(out.resolve("equalise.json").toFile())
                .at("/comparison/dose_correction/converged")
                .asBoolean(true));
        Tool same = Tool.correct(layout, "--out", folder.resolve("corrected")).ends(4);
        assertTrue(same.out().contains("miss the tolerance"), same.out());
    }

    /** The spot of 2.67 um fits into the frame of 2.8, the backscattering of 3 does not. */
    @Test
    void aFrameNarrowerThanTheBackscatteringIsTold() {
        String told = "narrower than the longest range of the point spread function, 3 um";
        Tool narrow = equalise("--layer", 1, "--frame-um", 2.8, "--out", folder.resolve("narrow"))
                .ends(0);
        assertTrue(narrow.err().contains("the frame of 2.8 um is " + told), narrow.err());
        Tool enough = equalise("--layer", 1, "--frame-um", 3.1, "--out", folder.resolve("enough"))
                .ends(0);
        assertFalse(enough.err().contains("narrower"), enough.err());
        assertFalse(equalise("--layer", 1, "--out", folder.resolve("usual"))
                .ends(0)
                .err()
                .contains("narrower"));
    }
}
