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
import java.util.stream.Collectors;
import javax.imageio.ImageIO;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class ScatterCommandTest {
    private static final String STACK =
            Tool.testdata("demo/pmma-on-silicon.json").toString();

    @TempDir
    private Path dir;

    private String out;
    private String err;

    private int run(String... args) {
        Tool tool = Tool.run((Object[]) args);
        out = tool.out();
        err = tool.err();
        return tool.code();
    }

    private static Set<String> names(Path folder) throws IOException {
        try (var files = Files.list(folder)) {
            return files.map(f -> f.getFileName().toString()).collect(Collectors.toSet());
        }
    }

    @Test
    void writesWhatACorrectionNeeds() throws IOException {
        Path folder = dir.resolve("a");
        assertEquals(
                0, run("scatter", STACK, "--energy-kev", "30", "--electrons", "4000", "--out", folder.toString()), err);
        assertEquals("", err);
        assertTrue(out.contains("never replace a dose test"), out);
        assertEquals(
                Set.of(
                        "profile.csv",
                        "psf.json",
                        "psf-double-gaussian.json",
                        "summary.json",
                        "profile.png",
                        "trajectories.png"),
                names(folder));
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

        assertEquals(3, run("scatter", STACK, "--energy-kev", "30", "--out", folder.toString()));
        assertTrue(err.contains("exists already; use --force"), err);

        Path again = dir.resolve("b");
        assertEquals(
                0,
                run(
                        "scatter",
                        STACK,
                        "--energy-kev",
                        "30",
                        "--electrons",
                        "4000",
                        "--threads",
                        "1",
                        "--out",
                        again.toString()));
        for (String name : names(folder)) {
            assertArrayEquals(Files.readAllBytes(folder.resolve(name)), Files.readAllBytes(again.resolve(name)), name);
        }
    }

    @Test
    void sweepGivesTheExponent() throws IOException {
        Path folder = dir.resolve("s");
        assertEquals(
                0,
                run("scatter", STACK, "--sweep-kev", "20,10", "--electrons", "4000", "--out", folder.toString()),
                err);
        assertEquals(Set.of("sweep.csv", "summary.json", "sweep.png"), names(folder));
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
        assertTrue(out.contains("beta grows as energy to the power"), out);
    }

    @Test
    void slipsAreToldAndLeaveNothing() throws IOException {
        String folder = dir.resolve("x").toString();
        assertEquals(2, run("scatter", STACK, "--out", folder));
        assertTrue(err.contains("--energy-kev"), err);
        assertEquals(2, run("scatter", STACK, "--energy-kev", "3", "--out", folder));
        assertEquals("evendose: beam energy must be 5 to 200 keV, got 3.0\n", err);
        assertEquals(2, run("scatter", STACK, "--sweep-kev", "20", "--out", folder));
        assertEquals(2, run("scatter", STACK, "--energy-kev", "20", "--electrons", "5", "--out", folder));
        assertEquals(3, run("scatter", dir.resolve("none.json").toString(), "--energy-kev", "20", "--out", folder));
        assertTrue(err.contains("none.json: there is no such file"), err);
        Path film = Files.writeString(
                dir.resolve("film.json"), "{\"layers\":[{\"material\":\"PMMA\",\"thickness_nm\":10,\"resist\":true}]}");
        assertEquals(
                4, run("scatter", film.toString(), "--energy-kev", "20", "--electrons", "100", "--out", folder), out);
        assertEquals(1, err.lines().count(), err);
        assertEquals("", out);
        assertFalse(Files.exists(dir.resolve("x")));
        assertEquals(Set.of("film.json"), names(dir));
    }

    @Test
    void helpHasAnExample() {
        assertEquals(0, run("scatter", "--help"));
        assertTrue(out.contains("evendose scatter pmma-on-silicon.json --energy-kev 100"), out);
    }
}
