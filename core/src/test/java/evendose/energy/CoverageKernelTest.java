package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Arrays;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

class CoverageKernelTest {
    private static final int SIDE = 30;

    private static CoverageKernel kernel(double[] window, int row0, int row1) {
        CoverageKernel kernel = new CoverageKernel();
        kernel.into(window, 0, SIDE, row0, row1);
        return kernel;
    }

    private static double[] trapezoid(double y0, double y1, double xl0, double xr0, double xl1, double xr1) {
        double[] window = new double[SIDE * SIDE];
        kernel(window, 0, SIDE).addLevel(y0, y1, xl0, xr0, xl1, xr1);
        return window;
    }

    private static double[] rectangle(double x0, double x1, double y0, double y1) {
        double[] window = new double[SIDE * SIDE];
        kernel(window, 0, SIDE).addRectangle(x0, x1, y0, y1);
        return window;
    }

    @Test
    void rectanglesAgreeWithTrapezoids() {
        SplittableRandom random = new SplittableRandom(1);
        for (int n = 0; n < 200; n++) {
            double x0 = 5 + 10 * random.nextDouble();
            double y0 = 5 + 10 * random.nextDouble();
            double x1 = x0 + 8 * random.nextDouble();
            double y1 = y0 + 8 * random.nextDouble() + 1e-3;
            assertArrayEquals(rectangle(x0, x1, y0, y1), trapezoid(y0, y1, x0, x1, x0, x1), 1e-14);
        }
    }

    /** The splines are a partition of unity and reproduce x and y: the weights' moments are the piece's. */
    @Test
    void momentsAreThoseOfThePiece() {
        SplittableRandom random = new SplittableRandom(2);
        for (int n = 0; n < 500; n++) {
            double y0 = 5 + 10 * random.nextDouble();
            double y1 = y0 + Math.pow(10, -6 * random.nextDouble()) * 9;
            double xl0 = 5 + 10 * random.nextDouble();
            double xl1 = 5 + 10 * random.nextDouble();
            double xr0 = xl0 + 9 * random.nextDouble();
            double xr1 = xl1 + 9 * random.nextDouble();
            double[] w = trapezoid(y0, y1, xl0, xr0, xl1, xr1);
            double area = 0;
            double first = 0;
            for (int i = 0; i < w.length; i++) {
                area += w[i];
                first += w[i] * (i / SIDE);
            }
            double a = xr0 - xl0;
            double b = xr1 - xl1;
            double h = y1 - y0;
            assertEquals(0.5 * (a + b) * h, area, 1e-12);
            assertEquals(0.5 * (a + b) * h * y0 + h * h * (a / 6 + b / 3), first, 1e-11);
        }
    }

    /** A slanted piece against the sum of 4,000 thin rectangles, whose error is of second order in their height. */
    @Test
    void slantedPiecesAgreeWithThinRectangles() {
        double[] expected = new double[SIDE * SIDE];
        int slices = 4000;
        CoverageKernel kernel = kernel(expected, 0, SIDE);
        for (int k = 0; k < slices; k++) {
            double t = (k + 0.5) / slices;
            double y = 4.3 + 5.1 * k / slices;
            kernel.addRectangle(6.2 + 7.7 * t, 9.9 + 2.2 * t + 7, y, y + 5.1 / slices);
        }
        assertArrayEquals(expected, trapezoid(4.3, 9.4, 6.2, 16.9, 13.9, 19.1), 1e-6);
    }

    @Test
    void bandsOfRowsAddUp() {
        double[] whole = new double[SIDE * SIDE];
        addBoth(kernel(whole, 0, SIDE));
        double[] parts = new double[SIDE * SIDE];
        for (int r = 0; r < SIDE; r += 5) {
            double[] band = new double[5 * SIDE];
            addBoth(kernel(band, r, r + 5));
            System.arraycopy(band, 0, parts, r * SIDE, band.length);
        }
        assertArrayEquals(whole, parts, 1e-14);
    }

    private static void addBoth(CoverageKernel kernel) {
        kernel.addLevel(4.3, 19.4, 6.2, 16.9, 13.9, 19.1);
        kernel.addStanding(4.3, 19.4, 6.2, 16.9, 13.9, 19.1);
    }

    @Test
    void standingPiecesFillTheExchangedNodes() {
        double[] level = trapezoid(4.3, 9.4, 6.2, 16.9, 13.9, 19.1);
        double[] standing = new double[SIDE * SIDE];
        kernel(standing, 0, SIDE).addStanding(4.3, 9.4, 6.2, 16.9, 13.9, 19.1);
        for (int c = 0; c < SIDE; c++) {
            for (int r = 0; r < SIDE; r++) {
                assertEquals(level[r * SIDE + c], standing[c * SIDE + r]);
            }
        }
    }

    @Test
    void splineWeightsAreThoseOfTheSpline() {
        double[] w = new double[4];
        CubicSpline.weights(0, w);
        assertArrayEquals(new double[] {1.0 / 6, 2.0 / 3, 1.0 / 6, 0}, w, 1e-16);
        CubicSpline.weights(0.37, w);
        assertEquals(1, Arrays.stream(w).sum(), 1e-15);
        double h = 1e-5;
        for (int i = 0; i < 4; i++) {
            double x = 0.37 + 1 - i;
            assertEquals(w[i], (CubicSpline.integral(x + h) - CubicSpline.integral(x - h)) / (2 * h), 1e-10);
        }
    }
}
