package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.energy.ExactEnergy;
import evendose.geometry.Polygons;
import evendose.pieces.HandMadePieces;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** One dose for a shape of many units: its outline counts by length, its area by area, as sums over points placed here tell. */
class OneDosePerShapeTest {
    private static final double ALPHA_UM = 0.03;
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(ALPHA_UM, 8, 0.7);

    /** A pad with a long thin line, whose units have outline from none to twice their length. */
    private static final double[][] CORNERS = {{0, 0}, {11, 0}, {11, 5}, {31, 5}, {31, 5.5}, {11, 5.5}, {11, 9}, {0, 9}
    };

    private static Polygons shape() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 11, 9);
        Corrections.box(polygons, 0, 11, 5, 31, 5.5);
        return polygons;
    }

    @Test
    void theOutlineCountsByLength() {
        DoseTable table = Corrections.correct(
                shape(), CorrectionOptions.builder(PSF).oneDosePerShape(true).build());
        assertTrue(table.pieces().units() > 20, "units " + table.pieces().units());
        assertEquals(1, Arrays.stream(table.factors()).distinct().count());
        ExactEnergy energy = ExactEnergy.ofUnits(table.pieces(), table.factors(), PSF);
        double sum = 0;
        double length = 0;
        for (int k = 0; k < CORNERS.length; k++) {
            double[] a = CORNERS[k];
            double[] b = CORNERS[(k + 1) % CORNERS.length];
            double side = Math.hypot(b[0] - a[0], b[1] - a[1]);
            // Corners round; what lies within twice the direct range of them hardly counts.
            double from = 2 * ALPHA_UM;
            double step = 0.02;
            for (double t = from + step / 2; t < side - from; t += step) {
                sum += step * energy.at(a[0] + t / side * (b[0] - a[0]), a[1] + t / side * (b[1] - a[1]));
                length += step;
            }
        }
        assertEquals(0.5, sum / length, 0.001, "mean energy on the outline");
    }

    @Test
    void theAreaCountsByArea() {
        DoseTable table = Corrections.correct(
                shape(),
                CorrectionOptions.builder(PSF)
                        .criterion(Criterion.MEAN)
                        .oneDosePerShape(true)
                        .build());
        ExactEnergy energy = ExactEnergy.ofUnits(table.pieces(), table.factors(), PSF);
        double pad = mean(energy, 0, 0, 11, 9);
        double line = mean(energy, 11, 5, 31, 5.5);
        assertEquals(1, (99 * pad + 10 * line) / 109, 0.002, "mean energy in the shape");
    }

    private static double mean(ExactEnergy energy, double x0, double y0, double x1, double y1) {
        int columns = (int) Math.round((x1 - x0) / 0.05);
        int rows = (int) Math.round((y1 - y0) / 0.02);
        double sum = 0;
        for (int c = 0; c < columns; c++) {
            for (int r = 0; r < rows; r++) {
                sum += energy.at(x0 + (c + 0.5) / columns * (x1 - x0), y0 + (r + 0.5) / rows * (y1 - y0));
            }
        }
        return sum / (columns * rows);
    }

    /** Three shapes of 2, 1 and 3 units; nothing of the last one is judged, so its units count alike. */
    @Test
    void unitsAndShapesByHand() {
        double[][] boxes = new double[6][];
        for (int u = 0; u < boxes.length; u++) {
            boxes[u] = new double[] {2 * u, 0, 2 * u + 1, 1};
        }
        Pieces pieces = HandMadePieces.rectangles(new int[] {2, 1, 3}, boxes);
        DosePerShape shared = new DosePerShape(pieces, new float[] {1, 3, 5, 0, 0, 0});
        double[] values = {1, 2, 3, 4, 5, 9};
        assertArrayEquals(new double[] {1.75, 3, 6}, shared.means(values), 1e-6);
        assertArrayEquals(new double[] {3, 3, 18}, shared.sums(values), 0);
        assertArrayEquals(new double[] {1, 3, 4}, shared.ofShapes(values), 0);
        assertArrayEquals(new double[] {7, 7, 8, 9, 9, 9}, shared.toUnits(new double[] {7, 8, 9}), 0);
        assertArrayEquals(new int[] {7, 7, 8, 9, 9, 9}, shared.toUnits(new int[] {7, 8, 9}));
    }
}
