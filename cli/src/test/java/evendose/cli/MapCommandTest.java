package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

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
import java.util.Map;
import javax.imageio.ImageIO;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class MapCommandTest {
    @TempDir
    private static Path folder;

    private static Path doses;

    @BeforeAll
    static void correct() {
        doses = folder.resolve("doses");
        Tool.correct(Tool.testdata("layouts/cd-500nm.gds"), "--out", doses, "--no-report")
                .ends(0);
    }

    private static double area(Layout layout, int layer) {
        Polygons polygons = new Polygons();
        Flattener.of(layout).flatten(Map.of(new Layer(layer, 0), 0), polygons);
        double dbu = layout.unit().um();
        return Merge.of(polygons, 1, Workers.of(1), Progress.NONE).area() * dbu * dbu;
    }

    @Test
    void picturesContoursAndNumbersOfAWindow() throws IOException {
        Path out = folder.resolve("map");
        Tool.run("map", doses, "--window", "3.5,-2.2,5,0", "--pixel-um", 0.01, "--out", out)
                .ends(0);
        for (String name : new String[] {"energy-uncorrected", "energy-corrected"}) {
            assertTrue(ImageIO.read(out.resolve(name + ".png").toFile()).getWidth() > 600);
            long bytes = Files.size(out.resolve(name + ".npy"));
            assertEquals(4 * 150 * 220 + 128, bytes);
        }
        // Developed areas against the drawn one: underexposed before, nearly equal after (corners round).
        Layout contours = LayoutFiles.read(out.resolve("contours.gds"));
        double before = area(contours, 1);
        double after = area(contours, 2);
        assertTrue(before < 0.97 * after);
        // The drawn outline ends at the window too, as the others do.
        Polygons drawn = new Polygons();
        Flattener.of(contours).flatten(Map.of(new Layer(3, 0), 0), drawn);
        double unit = contours.unit().um();
        assertTrue(drawn.left() * unit >= 3.499 && drawn.right() * unit <= 5.001);
        assertTrue(drawn.bottom() * unit >= -2.201 && drawn.top() * unit <= 0.001);
        assertEquals(area(contours, 3), after, 0.03 * after);
        Path again = folder.resolve("again");
        Tool.run("map", doses, "--window", "3.5,-2.2,5,0", "--pixel-um", 0.01, "--out", again, "--threads", 1);
        for (String name : new String[] {"energy-corrected.npy", "contours.gds", "energy-corrected.png"}) {
            assertArrayEquals(Files.readAllBytes(out.resolve(name)), Files.readAllBytes(again.resolve(name)), name);
        }
    }

    @Test
    void wrongOptionsAreRefused() throws IOException {
        Tool.run("map", doses, "--window", "1,2,3").ends(2);
        Tool.run("map", doses, "--window", "3,0,1,2").ends(2);
        Tool.run("map", doses, "--pixel-um", 0).ends(2);
        Tool.run("map", doses, "--raw", "bmp").ends(2);
        Tool outside = Tool.run("map", doses, "--window", "900,900,901,901", "--out", folder.resolve("outside"))
                .ends(3);
        assertTrue(outside.err().contains("has no piece in the window; its pieces lie within"), outside.err());
        Tool coarse = Tool.run("map", doses, "--pixel-um", 1, "--out", folder.resolve("coarse"), "--raw", "none")
                .ends(0);
        assertTrue(coarse.out().contains("the map hides the pattern"), coarse.out());
        assertEquals(
                3,
                Tool.run("map", folder.resolve("nowhere.csv"), "--alpha-um", 1, "--beta-um", 9, "--eta", 1)
                        .code());
        Path empty = folder.resolve("empty.csv");
        Files.writeString(empty, Files.readAllLines(doses.resolve("doses.csv")).get(0) + "\n");
        Tool none = Tool.run("map", empty, "--psf", "si-50kv", "--window", "0,0,1,1", "--out", folder.resolve("none"))
                .ends(3);
        assertTrue(none.err().contains("empty.csv: holds no piece"), none.err());
        Tool large = Tool.run("map", doses, "--pixel-um", 1e-5, "--out", folder.resolve("large"))
                .ends(4);
        assertTrue(large.err().contains("use larger pixels"), large.err());
    }
}
