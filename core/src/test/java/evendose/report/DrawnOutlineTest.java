package evendose.report;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DoseTable;
import evendose.correction.EdgeMove;
import evendose.correction.LayerRole;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import evendose.verification.Exposure;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class DrawnOutlineTest {
    /** A trapezoid from (0, 0), (2, 0) to (1.5, 1), (0.5, 1), in two pieces that meet at y = 0.5. */
    private static Pieces pieces(double x, double y) {
        return new Pieces(
                new double[][] {
                    {y, y + 0.5},
                    {y + 0.5, y + 1},
                    {x, x + 0.25},
                    {x + 2, x + 1.75},
                    {x + 0.25, x + 0.5},
                    {x + 1.75, x + 1.5}
                },
                new int[] {0, 1, 2},
                new int[] {0, 2},
                new int[] {0});
    }

    /** Also metres away from the origin, in shifts that {@code double} holds exactly. */
    @ParameterizedTest
    @ValueSource(doubles = {0, -3.5, 6_000_000, -6_000_000.25})
    void seamsVanishWhereverTheShapeLies(double shift) {
        try (Workers one = Workers.of(1)) {
            double[] window = {shift - 1, -shift - 1, shift + 3, -shift + 2};
            List<double[]> rings =
                    DrawnOutline.of(pieces(shift, -shift), window, one).rings();
            assertEquals(1, rings.size());
            assertEquals(1.5, Contours.area(rings.get(0)), 1e-6);
            double[] ring = rings.get(0);
            double[] box = {1e9, 1e9, -1e9, -1e9};
            for (int k = 0; k < ring.length; k += 2) {
                box[0] = Math.min(box[0], ring[k]);
                box[1] = Math.min(box[1], ring[k + 1]);
                box[2] = Math.max(box[2], ring[k]);
                box[3] = Math.max(box[3], ring[k + 1]);
            }
            assertArrayEquals(new double[] {shift, -shift, shift + 2, -shift + 1}, box, 1e-6);
        }
    }

    @Test
    void shapesEndAtTheWindow() {
        try (Workers one = Workers.of(1)) {
            List<double[]> rings = DrawnOutline.of(pieces(0, 0), new double[] {0.25, -1, 1, 0.75}, one)
                    .rings();
            assertEquals(1, rings.size());
            // The window above y = 0, less the corner that the slanted side cuts off above y = 0.5.
            assertEquals(0.75 * 0.75 - 0.25 * 0.125 / 2, Contours.area(rings.get(0)), 1e-6);
        }
    }

    /** Two parts of a square's sides moved, one out and one in: what is shown is the square. */
    @Test
    void movedEdgesAreShownWhereTheyAreDrawn() {
        Layer layer = new Layer(1, 0);
        Layout layout = Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(layer, 0, 0, 2, 2)
                .build();
        CorrectionOptions options = CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(0.05, 5, 0.6))
                .threads(1)
                .moves(List.of(new EdgeMove(layer, 2, 0.5, 2, 1.5, 0.02), new EdgeMove(layer, 0, 1.5, 0, 0.5, -0.01)))
                .build();
        DoseTable table = Corrector.correct(layout, List.of(LayerRole.corrected(layer)), options);
        assertEquals(4.01, table.areaUm2(), 1e-6);
        try (Workers one = Workers.of(1)) {
            List<double[]> rings = DrawnOutline.of(Exposure.of(table), new double[] {-1, -1, 3, 3}, one)
                    .rings();
            assertEquals(1, rings.size());
            assertEquals(4, Contours.area(rings.get(0)), 1e-5);
            assertEquals(8, rings.get(0).length);
        }
    }

    @Test
    void nothingInTheWindow() {
        try (Workers one = Workers.of(1)) {
            assertEquals(
                    0,
                    DrawnOutline.of(pieces(0, 0), new double[] {10, 10, 11, 11}, one)
                            .rings()
                            .size());
        }
    }
}
