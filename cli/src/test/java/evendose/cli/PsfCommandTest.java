package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.psf.PointSpreadFunction;
import evendose.psf.PsfFile;
import evendose.psf.PsfPreset;
import evendose.psf.PsfPresets;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import javax.imageio.ImageIO;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class PsfCommandTest {
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

    @Test
    void listsEverySetWithItsSource() {
        assertEquals(0, run("psf"));
        for (PsfPreset p : PsfPresets.all()) {
            assertTrue(out.contains(p.name()), p.name());
            assertTrue(out.contains(p.source()), p.source());
        }
        assertEquals("", err);
    }

    @Test
    void showsAndWritesASetWithAnotherBeam() throws IOException {
        Path folder = dir.resolve("si");
        assertEquals(0, run("psf", "si-100kv", "--beam-fwhm-nm", "20", "--out", folder.toString()), err);
        PsfFile file = PsfFile.read(folder.resolve("psf.json"));
        assertEquals(PsfPresets.find("si-100kv").orElseThrow().psf(20), file.psf());
        assertTrue(ImageIO.read(folder.resolve("psf.png").toFile()).getWidth() >= 1000);
        assertTrue(out.contains("Beyond the first term lies 0.6000 times its energy"), out);
        assertEquals(3, run("psf", "si-100kv", "--out", folder.toString()));
    }

    @Test
    void saysWhenWeightsWereScaled() throws IOException {
        Path file = Files.writeString(
                dir.resolve("p.json"),
                "{\"terms\":[{\"weight\":1,\"range_um\":0.05},{\"weight\":0.6,\"range_um\":10}]}");
        assertEquals(0, run("psf", file.toString()));
        assertEquals("evendose: note: PSF weights summed to 1.60000; scaled to 1\n", err);
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
        assertEquals(
                0,
                run(
                        "psf",
                        "--from-profile",
                        csv.toString(),
                        "--form",
                        "double",
                        "--energy-kev",
                        "50",
                        "--out",
                        folder.toString()),
                err);
        PsfFile file = PsfFile.read(folder.resolve("psf.json"));
        assertEquals(9.5, file.psf().main().rangeUm(), 0.1);
        assertEquals(0.7, file.psf().eta(), 0.02);
        assertEquals(50, file.energyKev().orElseThrow());
        assertEquals(0, run("psf", "--from-profile", csv.toString()), err);
        assertTrue(out.contains("Gaussian ladder fitted to m.csv"), out);
    }

    @Test
    void slipsAreTold() throws IOException {
        assertEquals(2, run("psf", "no-such-set"));
        assertTrue(err.startsWith("evendose: there is no file and no built-in set named 'no-such-set'"), err);
        assertEquals(2, run("psf", "--form", "double"));
        assertEquals(2, run("psf", "si-100kv", "--beam-fwhm-nm", "-1"));
        assertEquals(2, run("psf", "--out", dir.resolve("o").toString()));
        Path csv = Files.writeString(dir.resolve("m.csv"), "radius_um,density_per_um2\n1,1\n2,1\n3,0\n");
        assertEquals(2, run("psf", "--from-profile", csv.toString(), "--form", "quadruple"));
        assertEquals(3, run("psf", "--from-profile", csv.toString(), "--form", "double"));
        assertTrue(err.contains("m.csv: cannot be fitted"), err);
        assertEquals(0, run("psf", "--help"));
        assertTrue(out.contains("evendose psf si-100kv"), out);
    }
}
