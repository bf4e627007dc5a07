package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import evendose.psf.PointSpreadFunction;
import evendose.psf.PsfFile;
import evendose.psf.PsfPreset;
import evendose.psf.PsfPresets;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import javax.imageio.ImageIO;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class PsfCommandTest {
    @TempDir
    private Path dir;

    @Test
    void listsEverySetWithItsSource() {
        Tool tool = Tool.run("psf").ends(0);
        for (PsfPreset p : PsfPresets.all()) {
            assertTrue(tool.out().contains(p.name()), p.name());
            for (PsfPreset.Value v : List.of(p.beta(), p.eta())) {
                assertTrue(tool.out().contains("(" + v.published() + ")" + (v.hasSource() ? " " : "")), v.published());
                assertTrue(tool.out().contains(v.source()), v.source());
            }
        }
        assertEquals("", tool.err());
    }

    @Test
    void showsAndWritesASetWithAnotherBeam() throws IOException {
        Path folder = dir.resolve("si");
        Tool tool = Tool.run("psf", "si-100kv", "--beam-fwhm-nm", "20", "--out", folder)
                .ends(0);
        PsfFile file = PsfFile.read(folder.resolve("psf.json"));
        assertEquals(PsfPresets.find("si-100kv").orElseThrow().psf(20), file.psf());
        assertTrue(ImageIO.read(folder.resolve("psf.png").toFile()).getWidth() >= 1000);
        assertTrue(tool.out().contains("Beyond the first term lies 0.6000 times its energy"), tool.out());
        Tool.run("psf", "si-100kv", "--out", folder).ends(3);
    }

    @Test
    void saysWhenWeightsWereScaled() throws IOException {
        Path file = Files.writeString(
                dir.resolve("p.json"),
                "{\"terms\":[{\"weight\":1,\"range_um\":0.05},{\"weight\":0.6,\"range_um\":10}]}");
        Tool tool = Tool.run("psf", file).ends(0);
        assertEquals("evendose: note: PSF weights summed to 1.60000; scaled to 1\n", tool.err());
    }

    @Test
    void makesAFunctionFromAMeasuredProfile() throws IOException {
        PointSpreadFunction truth = PointSpreadFunction.doubleGaussian(0.03, 9.5, 0.7);
        StringBuilder text = new StringBuilder("radius_um,density_per_um2\n");
        for (double r = 0.002; r < 60; r *= 1.1) {
            text.append(r).append(',').append(1e6 * truth.density(r)).append('\n');
        }
        Path csv = Files.writeString(dir.resolve("m.csv"), text);
        Path folder = dir.resolve("m");
        Tool.run("psf", "--from-profile", csv, "--form", "double", "--energy-kev", "50", "--out", folder)
                .ends(0);
        PsfFile file = PsfFile.read(folder.resolve("psf.json"));
        assertEquals(9.5, file.psf().main().rangeUm(), 0.1);
        assertEquals(0.7, file.psf().eta(), 0.02);
        assertEquals(50, file.energyKev().orElseThrow());
        JsonNode fit =
                new ObjectMapper().readTree(folder.resolve("psf.json").toFile()).get("fit");
        assertEquals(9.5, fit.get("double_gaussian").get("beta_um").asDouble(), 0.01);
        assertTrue(fit.get("double_gaussian").get("eta_standard_error").asDouble() > 0);
        assertTrue(fit.get("chi_square_per_freedom").asDouble() < 0.01, fit.toString());
        List<String> points = Files.readAllLines(folder.resolve("psf.csv"));
        assertEquals(Files.readAllLines(csv).size(), points.size());
        // Where it was measured: the first radius is not moved to stand for a disc.
        assertTrue(points.get(1).startsWith("0.002000000,"), points.get(1));
        Tool tool = Tool.run("psf", "--from-profile", csv).ends(0);
        assertTrue(tool.out().contains("Gaussian ladder fitted to m.csv"), tool.out());
    }

    @Test
    void slipsAreTold() throws IOException {
        Tool tool = Tool.run("psf", "no-such-set").ends(2);
        assertTrue(
                tool.err().startsWith("evendose: there is no file and no built-in set named 'no-such-set'"),
                tool.err());
        Tool.run("psf", "--form", "double").ends(2);
        Tool.run("psf", "si-100kv", "--beam-fwhm-nm", "-1").ends(2);
        Tool.run("psf", "--out", dir.resolve("o")).ends(2);
        Path csv = Files.writeString(dir.resolve("m.csv"), "radius_um,density_per_um2\n1,1\n2,1\n3,0\n4,0\n5,0\n");
        Tool.run("psf", "--from-profile", csv, "--form", "quadruple").ends(2);
        tool = Tool.run("psf", "--from-profile", csv, "--form", "double").ends(3);
        assertTrue(tool.err().contains("m.csv: cannot be fitted"), tool.err());
        tool = Tool.run("psf", "--help").ends(0);
        assertTrue(tool.out().contains("evendose psf si-100kv"), tool.out());
    }
}
