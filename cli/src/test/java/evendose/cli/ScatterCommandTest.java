package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import evendose.psf.MeasuredProfile;
import evendose.psf.PsfFile;
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
                        "psf-table.json",
                        "psf-double-gaussian.json",
                        "summary.json",
                        "profile.png",
                        "profile.json",
                        "depth-profile.csv",
                        "depth-profile.json",
                        "depth-profile.png",
                        "backscattered.csv",
                        "backscattered.json",
                        "backscattered.png",
                        "trajectories.csv",
                        "trajectories.json",
                        "trajectories.png"),
                Set.copyOf(Tool.names(folder)));
        // A table that psf shows and others take.
        assertTrue(PsfFile.read(folder.resolve("psf-table.json")).psf().table().isPresent());
        assertTrue(
                Tool.run("psf", folder.resolve("psf-table.json")).ends(0).out().contains("rms radius"));
        JsonNode summary =
                new ObjectMapper().readTree(folder.resolve("summary.json").toFile());
        // What it takes to repeat the run.
        assertEquals(1, summary.get("seed").asLong());
        assertEquals(5, summary.get("beam_fwhm_nm").asDouble());
        assertEquals(0, summary.get("beam_tilt_deg").asDouble());
        assertTrue(summary.get("fast_secondaries").asBoolean());
        assertEquals(
                "C5H8O2",
                summary.get("layers").get(0).get("material").get("formula").asText());
        // The entries of the energy balance, and nothing else, sum to the beam.
        JsonNode balance = summary.get("energy_balance_kev");
        double found = balance.get("out_through_surface_beam_electrons").asDouble()
                + balance.get("out_through_surface_fast_secondaries").asDouble()
                + balance.get("out_below_beam_electrons").asDouble()
                + balance.get("out_below_fast_secondaries").asDouble();
        for (JsonNode layer : balance.get("layers")) {
            found += layer.get("left_kev").asDouble();
        }
        assertEquals(30, found, 1e-9 * 30);
        assertTrue(tool.out().contains("beyond 1 um"), tool.out());
        for (String key : List.of(
                "backscattered_fraction",
                "alpha_um",
                "beta_um",
                "eta",
                "beta_rings_um",
                "energy_beyond_far_radius_over_forward")) {
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
        MeasuredProfile profile = MeasuredProfile.read(folder.resolve("profile.csv"));
        assertTrue(profile.hasErrors() && profile.size() > 60, "points " + profile.size());
        // Every path of a beam electron begins at the surface.
        List<String> corners = Files.readAllLines(folder.resolve("trajectories.csv"));
        assertTrue(corners.size() > 1_000, "corners " + corners.size());
        assertTrue(corners.get(1).startsWith("1,true,") && corners.get(1).endsWith(",0.000000"), corners.get(1));
        assertEquals(
                100,
                corners.stream()
                        .filter(l -> l.contains(",true,"))
                        .map(l -> l.substring(0, l.indexOf(',')))
                        .distinct()
                        .count());
        JsonNode bins = new ObjectMapper()
                .readTree(folder.resolve("backscattered.json").toFile())
                .get("rows");
        double leaving = 0;
        for (JsonNode bin : bins) {
            leaving += bin.get("quantity").asText().equals("angle_deg")
                    ? bin.get("beam_electrons").asDouble()
                    : 0;
        }
        assertEquals(summary.get("backscattered_fraction").asDouble(), leaving, 1e-6);
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
    void studyOfStacksThicknessesAndEnergies() throws IOException {
        Path gaas = Files.writeString(
                dir.resolve("gaas.json"),
                "{\"layers\":[{\"material\":\"PMMA\",\"thickness_nm\":50,\"resist\":true},{\"material\":\"GaAs\"}]}");
        Path folder = dir.resolve("s");
        Tool tool = Tool.run(
                        "scatter",
                        STACK,
                        gaas,
                        "--energy-kev",
                        "20,10",
                        "--resist-nm",
                        "100,50",
                        "--electrons",
                        "1000",
                        "--out",
                        folder)
                .ends(0);
        List<String> names = Tool.names(folder);
        assertTrue(
                names.containsAll(List.of(
                        "study.csv",
                        "study.json",
                        "study-energy.png",
                        "study-thickness.png",
                        "study-stack.png",
                        "gaas-50nm-10kev-psf.json",
                        "gaas-50nm-10kev-psf-double-gaussian.json",
                        "pmma-on-silicon-100nm-20kev-profile.csv",
                        "pmma-on-silicon-100nm-20kev-summary.json")),
                names.toString());
        assertEquals(9, Files.readAllLines(folder.resolve("study.csv")).size());
        JsonNode rows = new ObjectMapper()
                .readTree(folder.resolve("study.json").toFile())
                .get("rows");
        assertEquals(8, rows.size());
        JsonNode second = rows.get(1);
        assertEquals("pmma-on-silicon", second.get("name").asText());
        assertEquals(50, second.get("resist_nm").asDouble());
        assertEquals(20, second.get("energy_kev").asDouble());
        assertTrue(second.get("fast_secondaries").asBoolean());
        assertTrue(second.get("backscattered_fraction_standard_error").asDouble() > 0);
        // K. Kanaya, S. Okayama (1972): 4.743 um in Si at 20 keV.
        assertEquals(4.743, second.get("kanaya_okayama_range_um").asDouble(), 0.003);
        // 1.7: L. D. Jackel et al., Appl. Phys. Lett. 45, 698 (1984), from memory; at low energies the resist counts.
        double power = Math.log(second.get("beta_um").asDouble()
                        / rows.get(0).get("beta_um").asDouble())
                / Math.log(2);
        assertEquals(1.7, power, 0.4);
        assertTrue(tool.out().contains("beta grows as energy to the power"), tool.out());
        assertTrue(ImageIO.read(folder.resolve("study-energy.png").toFile()).getWidth() >= 1000);
    }

    /** A stack without a substrate keeps its profile, and what would have no meaning is not written. */
    @Test
    void aRunNeverLosesItsElectrons() throws IOException {
        Path film = Files.writeString(
                dir.resolve("film.json"), "{\"layers\":[{\"material\":\"PMMA\",\"thickness_nm\":10,\"resist\":true}]}");
        Path folder = dir.resolve("f");
        Tool tool = Tool.run("scatter", film, "--energy-kev", "20", "--electrons", "100", "--out", folder)
                .ends(0);
        assertTrue(tool.out().contains("Note: double Gaussian"), tool.out());
        assertTrue(Tool.names(folder).containsAll(List.of("profile.csv", "summary.json")));
        assertFalse(Tool.names(folder).contains("psf-double-gaussian.json"));
        JsonNode summary =
                new ObjectMapper().readTree(folder.resolve("summary.json").toFile());
        assertTrue(summary.get("beta_um").isNull());
        assertTrue(summary.get("notes").get(0).asText().startsWith("double Gaussian"));
    }

    @Test
    void listsMaterialsAndElements() {
        Tool tool = Tool.run("scatter", "--materials").ends(0);
        assertTrue(tool.out().contains("PMMA")
                && tool.out().contains("C5H8O2")
                && tool.out().contains("1.19"));
        assertTrue(tool.out().lines().anyMatch(l -> l.startsWith("U ") && l.contains("890.0")), tool.out());
    }

    @Test
    void slipsAreToldAndLeaveNothing() throws IOException {
        Path folder = dir.resolve("x");
        Tool tool = Tool.run("scatter", STACK, "--out", folder).ends(2);
        assertTrue(tool.err().contains("--energy-kev"), tool.err());
        tool = Tool.run("scatter", STACK, "--energy-kev", "3", "--out", folder).ends(2);
        assertEquals("evendose: beam energy must be 5 to 200 keV, got 3.0\n", tool.err());
        Tool.run("scatter", "--energy-kev", "20", "--out", folder).ends(2);
        Tool.run("scatter", STACK, "--energy-kev", "20", "--resist-nm", "0", "--out", folder)
                .ends(2);
        Tool.run("scatter", STACK, "--energy-kev", "20", "--beam-tilt-deg", "90", "--out", folder)
                .ends(2);
        Tool.run("scatter", STACK, "--energy-kev", "20", "--electrons", "5", "--out", folder)
                .ends(2);
        tool = Tool.run("scatter", dir.resolve("none.json"), "--energy-kev", "20", "--out", folder)
                .ends(3);
        assertTrue(tool.err().contains("none.json: there is no such file"), tool.err());
        assertEquals(1, tool.err().lines().count(), tool.err());
        assertEquals("", tool.out());
        assertFalse(Files.exists(dir.resolve("x")));
        assertEquals(List.of(), Tool.names(dir));
    }

    @Test
    void helpHasAnExample() {
        Tool tool = Tool.run("scatter", "--help").ends(0);
        assertTrue(
                tool.out().contains("evendose scatter testdata/demo/pmma-on-silicon.json --energy-kev 100"),
                tool.out());
    }
}
