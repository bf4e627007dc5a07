package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import org.apache.commons.math3.analysis.UnivariateFunction;
import org.apache.commons.math3.analysis.integration.gauss.GaussIntegrator;
import org.apache.commons.math3.analysis.integration.gauss.GaussIntegratorFactory;
import org.junit.jupiter.api.Test;

/** Windows that do not begin at 0, pieces of many nodes, and the splines themselves, by quadrature written here. */
class CoverageWindowTest {
    private static final GaussIntegrator RULE = new GaussIntegratorFactory().legendre(4, 0, 1);

    /** The cubic B-spline, from its definition as a divided difference of truncated powers. */
    private static double spline(double x) {
        double sum = 0;
        double[] binomial = {1, -4, 6, -4, 1};
        for (int k = 0; k <= 4; k++) {
            sum += binomial[k] * Math.pow(Math.max(0, x + 2 - k), 3) / 6;
        }
        return sum;
    }

    private static double integral(UnivariateFunction f, double from, double to, double widest) {
        int panels = (int) Math.ceil((to - from) / widest);
        double sum = 0;
        for (int k = 0; k < panels; k++) {
            double start = from + (to - from) * k / panels;
            sum += RULE.integrate(s -> f.value(start + s * (to - from) / panels)) * (to - from) / panels;
        }
        return sum;
    }

    @Test
    void splineIntegralsAndTransform() {
        for (double x = -2.6; x < 2.6; x += 0.05) {
            assertEquals(integral(CoverageWindowTest::spline, -2.7, x, 1e-2), CubicSpline.integral(x), 1e-9, "to " + x);
        }
        assertEquals(1, CubicSpline.transform(0));
        for (double k : new double[] {-1, 0.3, 1, 3, 7}) {
            double expected = integral(x -> spline(x) * Math.cos(k * x), -2, 2, 0.02);
            assertEquals(expected, CubicSpline.transform(k), 1e-10, "k " + k);
        }
    }

    @Test
    void splinesOverAPlace() {
        // B of node c is not zero between c - 2 and c + 2.
        assertEquals(3, CubicSpline.firstOver(4.5));
        assertEquals(6, CubicSpline.lastOver(4.5));
        assertEquals(3, CubicSpline.firstOver(4));
        assertEquals(5, CubicSpline.lastOver(4));
    }

    /** A rectangle and slanted pieces over more than 40 nodes, in a window that just holds them and is cut off above and below. */
    @Test
    void widePiecesInANarrowWindow() {
        int column0 = 9;
        int columns = 60;
        int row0 = 12;
        int rows = 20;
        double[] window = new double[columns * rows];
        CoverageKernel kernel = new CoverageKernel();
        kernel.into(window, column0, columns, row0, row0 + rows);
        kernel.addRectangle(10.3, 66.7, 10.2, 22.8);
        double[] expected = new double[window.length];
        for (int r = 0; r < rows; r++) {
            double up = CubicSpline.integral(22.8 - r - row0) - CubicSpline.integral(10.2 - r - row0);
            for (int c = 0; c < columns; c++) {
                expected[r * columns + c] =
                        up * (CubicSpline.integral(66.7 - c - column0) - CubicSpline.integral(10.3 - c - column0));
            }
        }
        assertArrayEquals(expected, window, 1e-14);

        double[] slanted = new double[columns * rows];
        kernel.into(slanted, column0, columns, row0, row0 + rows);
        kernel.addLevel(11.4, 29.9, 10.1, 50.6, 20.3, 66.9);
        double[] standing = new double[rows * columns];
        kernel.into(standing, row0, rows, column0, column0 + columns);
        kernel.addStanding(11.4, 29.9, 10.1, 50.6, 20.3, 66.9);
        for (int r = 0; r < rows; r += 3) {
            for (int c = 0; c < columns; c += 4) {
                int node = row0 + r;
                int column = column0 + c;
                double from = Math.max(11.4, node - 2);
                double to = Math.min(29.9, node + 2);
                double value = integral(
                        y -> {
                            double t = (y - 11.4) / 18.5;
                            return spline(y - node)
                                    * (CubicSpline.integral(50.6 + t * 16.3 - column)
                                            - CubicSpline.integral(10.1 + t * 10.2 - column));
                        },
                        from,
                        to,
                        5e-3);
                assertEquals(value, slanted[r * columns + c], 1e-8, column + ", " + node);
                assertEquals(value, standing[c * rows + r], 1e-8, column + ", " + node);
            }
        }
    }

    /** A slanted piece that crosses more than 32 lines of nodes keeps its area and first moments. */
    @Test
    void manyCuts() {
        int side = 90;
        double[] window = new double[side * side];
        CoverageKernel kernel = new CoverageKernel();
        kernel.into(window, 0, side, 0, side);
        kernel.addLevel(3.3, 80.1, 4.2, 30.4, 41.7, 85.6);
        double area = 0;
        double height = 0;
        for (int k = 0; k < window.length; k++) {
            area += window[k];
            height += window[k] * (k / side);
        }
        double a = 30.4 - 4.2;
        double b = 85.6 - 41.7;
        double h = 80.1 - 3.3;
        assertEquals(0.5 * (a + b) * h, area, 1e-9);
        assertEquals(0.5 * (a + b) * h * 3.3 + h * h * (a / 6 + b / 3), height, 1e-7);
    }
}
