package evendose.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Polygons;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.formats.LayoutFiles;
import evendose.parallel.Workers;
import evendose.verification.PointEnergy;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class ContoursTest {
    /** A ring: above 1/2 between the radii 1 and 2. */
    private static final PointEnergy RING = (x, y) -> {
        double r = Math.hypot(x, y);
        return 1 / (1 + Math.pow(Math.abs(r - 1.5) / 0.5, 3));
    };

    private static EnergyRaster raster(double left, double bottom, double right, double top) {
        return EnergyRaster.of(RING, left, bottom, right, top, 0.02, Workers.of(1));
    }

    @Test
    void aRingHasAnOuterContourAndAHoleOnTheThreshold() {
        Contours contours = Contours.trace(raster(-3, -3, 3, 3), RING, 0.5, Workers.of(1));
        assertEquals(2, contours.rings().size());
        int holes = 0;
        for (double[] ring : contours.rings()) {
            boolean hole = Contours.area(ring) < 0;
            holes += hole ? 1 : 0;
            for (int i = 0; i < ring.length; i += 2) {
                assertEquals(hole ? 1 : 2, Math.hypot(ring[i], ring[i + 1]), 1e-5);
            }
        }
        assertEquals(1, holes);
        assertEquals(3 * Math.PI, contours.areaUm2(), 1e-3);
    }

    /** An edge much narrower than a pixel, and off the middle between two: the chord of the first step is far off. */
    @Test
    void steepEdgesLieOnTheThreshold() {
        for (double radius : new double[] {1.003, 1.0101, 1.0177}) {
            PointEnergy disc = (x, y) -> 1 / (1 + Math.exp((Math.hypot(x, y) - radius) / 0.004));
            EnergyRaster raster = EnergyRaster.of(disc, -1.5, -1.5, 1.5, 1.5, 0.02, Workers.of(1));
            for (double threshold : new double[] {0.2, 0.5, 0.9}) {
                double expected = radius + 0.004 * Math.log(1 / threshold - 1);
                List<double[]> rings =
                        Contours.trace(raster, disc, threshold, Workers.of(1)).rings();
                assertEquals(1, rings.size());
                for (int i = 0; i < rings.get(0).length; i += 2) {
                    assertEquals(expected, Math.hypot(rings.get(0)[i], rings.get(0)[i + 1]), 1e-5);
                }
            }
        }
    }

    @Test
    void ringsCloseAlongTheWindow() {
        Contours contours = Contours.trace(raster(0, -3, 3, 3), RING, 0.5, Workers.of(1));
        assertEquals(1, contours.rings().size());
        assertEquals(1.5 * Math.PI, contours.areaUm2(), 2e-3);
    }

    @Test
    void contoursComeBackFromGdsii(@TempDir Path folder) {
        Path file = folder.resolve("contours.gds");
        Contours contours = Contours.trace(raster(-3, -3, 3, 3), RING, 0.5, Workers.of(1));
        Contours.write(List.of(contours), List.of(new double[] {0, 0, 1, 0, 1, 1}), new DatabaseUnit(1e-4), file);
        Layout layout = LayoutFiles.read(file);
        assertEquals(
                Map.of(new Layer(1, 0), 1L, new Layer(1, 1), 1L, new Layer(2, 0), 1L),
                Flattener.of(layout).counts());
        Polygons polygons = new Polygons();
        Flattener.of(layout).flatten(Map.of(new Layer(1, 0), 0), polygons);
        assertEquals(20_000, polygons.right(), 1);
    }

    @Test
    void aRasterIsOfPixelCentresFromBelow() {
        EnergyRaster raster = EnergyRaster.of((x, y) -> x + 10 * y, 1, 2, 1.5, 2.3, 0.1, Workers.of(2));
        assertEquals(5, raster.columns());
        assertEquals(3, raster.rows());
        assertEquals(1.25 + 10 * 2.05, raster.value(2, 0), 1e-5);
        assertEquals(1.05 + 10 * 2.25, raster.value(0, 2), 1e-5);
    }

    @Test
    void numbersAreWrittenForNumPyAndAsATable(@TempDir Path folder) throws Exception {
        EnergyRaster raster = EnergyRaster.of((x, y) -> x + 10 * y, 1, 2, 1.5, 2.3, 0.1, Workers.of(1));
        Path npy = folder.resolve("a.npy");
        RawMap.writeNpy(raster, npy);
        ByteBuffer bytes = ByteBuffer.wrap(Files.readAllBytes(npy)).order(ByteOrder.LITTLE_ENDIAN);
        int header = bytes.getShort(8);
        String text = new String(bytes.array(), 10, header, StandardCharsets.US_ASCII);
        assertTrue(text.contains("'descr': '<f4'") && text.contains("'shape': (3, 5)") && text.endsWith("\n"));
        assertEquals(0, (10 + header) % 64);
        assertEquals(10 + header + 4 * 15, bytes.capacity());
        assertEquals(raster.value(3, 1), bytes.getFloat(10 + header + 4 * 8));

        Path csv = folder.resolve("a.csv");
        RawMap.writeCsv(raster, csv);
        List<String> lines = Files.readAllLines(csv);
        assertEquals("y_um\\x_um,1.05,1.15,1.25,1.35,1.45", lines.get(0));
        assertEquals("2.05", lines.get(1).split(",")[0]);
        assertEquals(raster.value(1, 0), Float.parseFloat(lines.get(1).split(",")[2]));
    }
}
