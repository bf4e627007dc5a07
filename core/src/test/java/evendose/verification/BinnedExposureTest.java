package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.energy.ExactEnergy;
import evendose.energy.PixelGrid;
import evendose.parallel.Workers;
import evendose.pieces.HandMadePieces;
import evendose.pieces.Pieces;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import org.apache.commons.numbers.gamma.Erf;
import org.junit.jupiter.api.Test;

/** Averages over a long range against products of error functions, and slanted pieces against the exact evaluator. */
class BinnedExposureTest {
    private static final double RANGE = 30;

    /** What the words of the class promise, in energies of a plane. */
    private static final double ERROR = 1e-5;

    private static double[] ones(Pieces pieces) {
        double[] one = new double[pieces.units()];
        java.util.Arrays.fill(one, 1);
        return one;
    }

    private static double between(double from, double to) {
        return 0.5 * (Erf.value(to / RANGE) - Erf.value(from / RANGE));
    }

    /** Half a plane: 1/2 erfc at each distance from its edge. */
    @Test
    void halfPlane() {
        Pieces plane = HandMadePieces.rectangles(new double[] {0, -300, 300, 300});
        BinnedExposure average = BinnedExposure.of(plane, ones(plane), RANGE);
        for (double x : new double[] {-100, -31.7, -10, 0, 3.3, 20, 60, 150}) {
            assertEquals(0.5 * (1 + Erf.value(x / RANGE)), average.at(x, 1.7), ERROR, "x " + x);
        }
    }

    /** A pad: products of error functions, also of one that is far smaller than a bin. */
    @Test
    void pads() {
        for (double side : new double[] {0.5, 4, 37, 90}) {
            Pieces pad = HandMadePieces.rectangles(new double[] {7, -3, 7 + side, -3 + side});
            BinnedExposure average = BinnedExposure.of(pad, new double[] {1.7}, RANGE);
            for (double x : new double[] {-40, 7, 7 + side / 2, 7 + side, 80}) {
                for (double y : new double[] {-50, -3, 11}) {
                    double exact = 1.7 * between(x - 7 - side, x - 7) * between(y + 3 - side, y + 3);
                    assertEquals(exact, average.at(x, y), ERROR, side + " at " + x + ", " + y);
                }
            }
        }
    }

    /** A fine grating of duty 0.3: its density inside, half of it at its end. */
    @Test
    void grating() {
        double[][] lines = new double[400][];
        for (int k = 0; k < lines.length; k++) {
            lines[k] = new double[] {k, -300, k + 0.3, 300};
        }
        Pieces grating = HandMadePieces.rectangles(lines);
        BinnedExposure average = BinnedExposure.of(grating, ones(grating), RANGE);
        assertEquals(0.3, average.at(200, 0), ERROR);
        // The end of the first period's gap is the middle between lines: density begins half a gap before the first
        // line.
        assertEquals(0.15, average.at(-0.35, 0), ERROR);
        assertEquals(0.15 * (1 + Erf.value(0.5)), average.at(-0.35 + 0.5 * RANGE, 0), ERROR);
    }

    @Test
    void slantedPiecesAndPixels() {
        double[][] six = {{0, 5}, {80, 95}, {0, 60}, {90, 61}, {40, 20}, {41, 90}};
        Pieces pieces =
                new Pieces(six, new boolean[] {false, true}, new int[] {0, 1, 2}, new int[] {0, 1, 2}, new int[2]);
        double[] dose = {1, 0.8};
        BinnedExposure average = BinnedExposure.of(pieces, dose, RANGE);
        ExactEnergy exact =
                ExactEnergy.ofUnits(pieces, dose, PointSpreadFunction.from(List.of(new GaussianTerm(1, RANGE))));
        for (double x = -40; x < 140; x += 27) {
            for (double y = -40; y < 140; y += 31) {
                assertEquals(exact.at(x, y), average.at(x, y), 4 * ERROR, x + ", " + y);
            }
        }
        PixelGrid pixels = new PixelGrid(-20, 10, 0.11, 700, 150);
        try (Workers one = Workers.of(1)) {
            double[] many = average.at(pixels, one);
            for (int k = 0; k < many.length; k += 977) {
                double at = average.at(pixels.xUm(k % 700), pixels.yUm(k / 700));
                assertEquals(at, many[k], 1e-4, "pixel " + k);
            }
        }
    }
}
