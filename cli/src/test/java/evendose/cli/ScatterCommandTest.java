package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import evendose.psf.PsfFile;
import evendose.psf.RadialProfile;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Set;
import javax.imageio.ImageIO;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class ScatterCommandTest {
    private static final Path STACK = Tool.testdata("demo/pmma-on-silicon.json");

    @TempDir
    private Path dir;

    @Test
    void writesWhatACorrectionNeeds() throws IOException {
        Path folder = dir.resolve("a");
        Tool tool = Tool.run("scatter", STACK, "--energy-kev", "30", "--electrons", "4000", "--out", folder)
                .ends(0);
        assertEquals("", tool.err());
        assertTrue(tool.out().contains("never replace a dose test"), tool.out());
        assertEquals(
                Set.of(
                        "profile.csv",
                        "psf.json",
                        "psf-double-gaussian.json",
                        "summary.json",
                        "profile.png",
                        "trajectories.png"),
                Set.copyOf(Tool.names(folder)));
        JsonNode summary =
                new ObjectMapper().readTree(folder.resolve("summary.json").toFile());
        for (String key : List.of("backscattered_fraction", "alpha_um", "beta_um", "eta")) {
            assertTrue(summary.get(key).isNumber(), key);
            assertTrue(summary.get(key + "_standard_error").asDouble() > 0, key);
        }
        // Si at 30 keV, literature from memory: beta between the 2.0 um at 20 keV and the 9-10 um at 50 keV.
        assertEquals(3.4, summary.get("beta_um").asDouble(), 0.7);
        PsfFile two = PsfFile.read(folder.resolve("psf-double-gaussian.json"));
        assertEquals(summary.get("beta_um").asDouble(), two.psf().main().rangeUm(), 1e-9);
        PsfFile ladder = PsfFile.read(folder.resolve("psf.json"));
        assertEquals("", ladder.notice());
        assertEquals(30, ladder.energyKev().orElseThrow());
        RadialProfile profile = RadialProfile.read(folder.resolve("profile.csv"));
        assertEquals(1, profile.total(), 0.02);
        assertTrue(ImageIO.read(folder.resolve("profile.png").toFile()).getWidth() >= 1000);
        assertTrue(ImageIO.read(folder.resolve("trajectories.png").toFile()).getWidth() >= 1000);

        tool = Tool.run("scatter", STACK, "--energy-kev", "30", "--out", folder).ends(3);
        assertTrue(tool.err().contains("exists already; use --force"), tool.err());

        Path again = dir.resolve("b");
        Tool.run("scatter", STACK, "--energy-kev", "30", "--electrons", "4000", "--threads", "1", "--out", again)
                .ends(0);
        for (String name : Tool.names(folder)) {
            assertArrayEquals(Files.readAllBytes(folder.resolve(name)), Files.readAllBytes(again.resolve(name)), name);
        }
    }

    @Test
    void sweepGivesTheExponent() throws IOException {
        Path folder = dir.resolve("s");
        Tool tool = Tool.run("scatter", STACK, "--sweep-kev", "20,10", "--electrons", "4000", "--out", folder)
                .ends(0);
        assertEquals(Set.of("sweep.csv", "summary.json", "sweep.png"), Set.copyOf(Tool.names(folder)));
        List<String> rows = Files.readAllLines(folder.resolve("sweep.csv"));
        assertEquals(3, rows.size());
        assertTrue(rows.get(1).startsWith("10.0"), rows.get(1));
        JsonNode summary =
                new ObjectMapper().readTree(folder.resolve("summary.json").toFile());
        // 1.7: L. D. Jackel et al., Appl. Phys. Lett. 45, 698 (1984), from memory; at low energies the 300 nm of resist
        // count.
        assertEquals(1.7, summary.get("beta_exponent").asDouble(), 0.4);
        // K. Kanaya, S. Okayama (1972): 4.743 um in Si at 20 keV.
        assertEquals(
                4.743,
                summary.get("energies").get(1).get("kanaya_okayama_range_um").asDouble(),
                0.003);
        assertTrue(tool.out().contains("beta grows as energy to the power"), tool.out());
    }

    @Test
    void slipsAreToldAndLeaveNothing() throws IOException {
        Path folder = dir.resolve("x");
        Tool tool = Tool.run("scatter", STACK, "--out", folder).ends(2);
        assertTrue(tool.err().contains("--energy-kev"), tool.err());
        tool = Tool.run("scatter", STACK, "--energy-kev", "3", "--out", folder).ends(2);
        assertEquals("evendose: beam energy must be 5 to 200 keV, got 3.0\n", tool.err());
        Tool.run("scatter", STACK, "--sweep-kev", "20", "--out", folder).ends(2);
        Tool.run("scatter", STACK, "--energy-kev", "20", "--electrons", "5", "--out", folder)
                .ends(2);
        tool = Tool.run("scatter", dir.resolve("none.json"), "--energy-kev", "20", "--out", folder)
                .ends(3);
        assertTrue(tool.err().contains("none.json: there is no such file"), tool.err());
        Path film = Files.writeString(
                dir.resolve("film.json"), "{\"layers\":[{\"material\":\"PMMA\",\"thickness_nm\":10,\"resist\":true}]}");
        tool = Tool.run("scatter", film, "--energy-kev", "20", "--electrons", "100", "--out", folder)
                .ends(4);
        assertEquals(1, tool.err().lines().count(), tool.err());
        assertEquals("", tool.out());
        assertFalse(Files.exists(dir.resolve("x")));
        assertEquals(List.of("film.json"), Tool.names(dir));
    }

    @Test
    void helpHasAnExample() {
        Tool tool = Tool.run("scatter", "--help").ends(0);
        assertTrue(tool.out().contains("evendose scatter pmma-on-silicon.json --energy-kev 100"), tool.out());
    }
}
