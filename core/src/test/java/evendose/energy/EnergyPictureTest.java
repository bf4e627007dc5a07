package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Pictures of a few pieces, pixel by pixel against closed forms; {@code EnergyFieldTest} does so for many. */
class EnergyPictureTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.from(
            List.of(new GaussianTerm(0.5, 0.06), new GaussianTerm(0.2, 0.5), new GaussianTerm(0.3, 3)));
    private static final Pieces PIECES = new TestPieces()
            .rectangle(0, 0, 1, 0.4)
            .unit()
            .trapezoid(0.6, 1.3, 0, 0.5, 0.3, 1.1)
            .unit()
            .standing(1.3, 1.9, 0.1, 0.6, 0.3, 1.2)
            .rectangle(5, 5, 6, 6)
            .build();
    private static final double[] DOSE = {1.2, 0.8, 1.5, 1};
    private static final Samples SAMPLES = TestPieces.sideSamples(PIECES, 1, new boolean[4]);
    private static final Workers ONE = Workers.of(1);
    private static final ExactEnergy EXACT = ExactEnergy.ofUnits(PIECES, DOSE, PSF);

    private static EnergyField field(Evaluator middle, Evaluator last) {
        List<TermGroup> groups = TermGroup.each(Evaluator.NEAR, middle, last);
        return EnergyModel.build(EnginePlan.with(PIECES, SAMPLES, PSF, groups), ONE, Progress.NONE)
                .field(DOSE);
    }

    /** Pixels from a third of the shortest range to far more than it; terms are interpolated, or computed at each. */
    @ParameterizedTest
    @CsvSource({
        "-0.4, -0.3, 0.02, 70, 41",
        "-0.1, -0.2, 0.004, 33, 70",
        "-3, -2, 0.11, 81, 77",
        "1, 0.5, 0.05, 1, 1",
        "-9, -9, 0.9, 24, 3"
    })
    void everyPixelHasTheEnergyAtItsCentre(double x0, double y0, double pixel, int columns, int rows) {
        PixelGrid pixels = new PixelGrid(x0, y0, pixel, columns, rows);
        for (EnergyField field : List.of(field(Evaluator.NEAR, Evaluator.NEAR), field(Evaluator.FAR, Evaluator.FAR))) {
            float[] found = field.at(pixels, ONE);
            assertEquals(columns * rows, found.length);
            for (int r = 0; r < rows; r++) {
                for (int c = 0; c < columns; c++) {
                    double x = x0 + (c + 0.5) * pixel;
                    double y = y0 + (r + 0.5) * pixel;
                    assertEquals(EXACT.at(x, y), found[r * columns + c], 6e-5, c + ", " + r);
                }
            }
        }
    }

    @Test
    void termsNearAndFarAddUp() {
        EnergyField field = field(Evaluator.NEAR, Evaluator.FAR);
        assertArrayEquals(new double[] {0.06, 0.5}, field.nearRangesUm());
        double[] x = {0.5, 1.4, -1, 5.5};
        double[] y = {0.2, 0.5, 2, 6.1};
        double[] all = field.at(x, y, ONE);
        for (int j = 0; j < 4; j++) {
            assertEquals(EXACT.termsAt(0, 1, x[j], y[j]), field.nearAt(0, 1, x[j], y[j]), 1e-9);
            assertEquals(EXACT.termsAt(1, 2, x[j], y[j]), field.nearAt(1, 2, x[j], y[j]), 1e-9);
            assertEquals(EXACT.termsAt(2, 3, x[j], y[j]), field.farAt(x[j], y[j]), 5e-5);
            assertEquals(all[j], field.nearAt(0, 2, x[j], y[j]) + field.farAt(x[j], y[j]), 1e-14);
            assertEquals(all[j], field.at(x[j], y[j]), 1e-14);
        }
        assertThrows(IllegalArgumentException.class, () -> field.at(x, new double[3], ONE));
    }

    @Test
    void pixelsHaveASizeAndANumber() {
        assertEquals(1.25, new PixelGrid(1, 2, 0.5, 1, 1).xUm(0));
        assertEquals(3.75, new PixelGrid(1, 2, 0.5, 1, 4).yUm(3));
        for (double size : new double[] {0, -1, Double.NaN, Double.POSITIVE_INFINITY}) {
            assertThrows(IllegalArgumentException.class, () -> new PixelGrid(0, 0, size, 2, 2));
        }
        assertThrows(IllegalArgumentException.class, () -> new PixelGrid(0, 0, 1, 0, 2));
        assertThrows(IllegalArgumentException.class, () -> new PixelGrid(0, 0, 1, 2, 0));
        assertThrows(ArithmeticException.class, () -> new PixelGrid(0, 0, 1, 1 << 16, 1 << 16));
    }
}
