package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.SplittableRandom;
import java.util.function.DoubleUnaryOperator;
import org.apache.commons.math3.analysis.integration.gauss.GaussIntegrator;
import org.apache.commons.math3.analysis.integration.gauss.GaussIntegratorFactory;
import org.apache.commons.numbers.gamma.Erf;
import org.apache.commons.numbers.gamma.ErfDifference;
import org.junit.jupiter.api.Test;

/** The trapezoid integrals against brute force: dense quadrature (Commons Math) and error functions of Commons Numbers. */
class GaussianKernelPropertyTest {
    private static final GaussIntegrator RULE = new GaussIntegratorFactory().legendre(24, 0, 1);

    /** Panels a quarter of a range long in both directions. */
    private static double bruteForce(double y0, double y1, double xl0, double xr0, double xl1, double xr1) {
        double height = y1 - y0;
        return integral(y0, y1, Math.max(Math.abs(xl1 - xl0), Math.abs(xr1 - xr0)) / height, y -> {
            double t = (y - y0) / height;
            double left = xl0 + t * (xl1 - xl0);
            double right = xr0 + t * (xr1 - xr0);
            return Math.exp(-y * y) / Math.PI * integral(left, right, 0, x -> Math.exp(-x * x));
        });
    }

    private static double integral(double from, double to, double steepness, DoubleUnaryOperator f) {
        double a = Math.max(-8, from);
        double b = Math.min(8, to);
        if (!(a < b)) {
            return 0;
        }
        // A flat side runs through the whole Gaussian within 1/steepness of y.
        int panels = (int) Math.ceil((b - a) * Math.max(1, Math.min(steepness, 16 / (to - from) * steepness)));
        double sum = 0;
        for (int p = 0; p < panels; p++) {
            double start = a + (b - a) * p / panels;
            sum += (b - a) / panels * RULE.integrate(t -> f.applyAsDouble(start + t * (b - a) / panels));
        }
        return sum;
    }

    private static double[] randomTrapezoid(SplittableRandom random, double extent) {
        double y0 = extent * (2 * random.nextDouble() - 1);
        double y1 = y0 + extent * random.nextDouble() * random.nextDouble() + 1e-6;
        double xl0 = extent * (2 * random.nextDouble() - 1);
        double xl1 = xl0 + extent * (2 * random.nextDouble() - 1);
        return new double[] {y0, y1, xl0, xl0 + extent * random.nextDouble(), xl1, xl1 + extent * random.nextDouble()};
    }

    /** Rectangles just below and above the size up to which a series is used, against error functions. */
    @Test
    void smallRectanglesAgreeWithErrorFunctions() {
        SplittableRandom random = new SplittableRandom(21);
        for (int n = 0; n < 20_000; n++) {
            double width = 0.01 + 0.06 * random.nextDouble();
            double height = 0.01 + 0.06 * random.nextDouble();
            double x = 8 * random.nextDouble() - 4;
            double y = 8 * random.nextDouble() - 4;
            double expected = 0.25 * ErfDifference.value(x, x + width) * ErfDifference.value(y, y + height);
            double area = width * height / Math.PI;
            assertEquals(expected, GaussianKernel.EXACT.rectangle(x, x + width, y, y + height), 1e-10 * area);
        }
    }

    /** The same of trapezoids, triangles among them, of all leans, against quadrature. */
    @Test
    void smallTrapezoidsAgreeWithQuadrature() {
        SplittableRandom random = new SplittableRandom(23);
        for (int n = 0; n < 4_000; n++) {
            double height = 0.002 + 0.065 * random.nextDouble();
            double bottom = 0.065 * random.nextDouble();
            double top = n % 4 == 0 ? 0 : 0.065 * random.nextDouble();
            double lean = 0.1 * (random.nextDouble() - 0.5);
            double x = 8 * random.nextDouble() - 4;
            double y = 8 * random.nextDouble() - 4;
            double expected = bruteForce(y, y + height, x, x + bottom, x + lean, x + lean + top);
            double area = 0.5 * height * (bottom + top) / Math.PI;
            assertEquals(
                    expected,
                    GaussianKernel.EXACT.trapezoid(y, y + height, x, x + bottom, x + lean, x + lean + top),
                    1e-10 * area + 1e-17);
        }
    }

    @Test
    void trapezoidsAgreeWithTwoDimensionalQuadrature() {
        SplittableRandom random = new SplittableRandom(20);
        for (double extent : new double[] {0.01, 0.3, 2, 8}) {
            for (int n = 0; n < 60; n++) {
                double[] t = randomTrapezoid(random, extent);
                double expected = bruteForce(t[0], t[1], t[2], t[3], t[4], t[5]);
                assertEquals(expected, GaussianKernel.EXACT.trapezoid(t[0], t[1], t[2], t[3], t[4], t[5]), 1e-12);
                assertEquals(expected, GaussianKernel.ENGINE.trapezoid(t[0], t[1], t[2], t[3], t[4], t[5]), 1e-8);
            }
        }
    }

    /** One-dimensional quadrature is dense enough for slopes where two-dimensional is not. */
    private static double denseSide(double x0, double v0, double x1, double v1) {
        // Where erf is not constant and the Gaussian not zero, cut into panels of a quarter range by Euclidean length.
        double dx = x1 - x0;
        double dv = v1 - v0;
        double[] cuts = {0, 1, clamp((-7 - x0) / dx), clamp((7 - x0) / dx), clamp((-7 - v0) / dv), clamp((7 - v0) / dv)
        };
        java.util.Arrays.sort(cuts);
        double sum = 0;
        for (int c = 0; c + 1 < cuts.length; c++) {
            double from = cuts[c];
            double to = cuts[c + 1];
            double middle = 0.5 * (from + to);
            if (!(from < to) || Math.abs(v0 + middle * dv) > 7) {
                continue;
            }
            double length = (to - from) * (Math.abs(x0 + middle * dx) > 7 ? dv : Math.hypot(dx, dv));
            int panels = (int) Math.ceil(4 * length);
            double step = (to - from) / panels;
            for (int p = 0; p < panels; p++) {
                double start = from + p * step;
                sum += step
                        * dv
                        * RULE.integrate(q -> {
                            double t = start + q * step;
                            double v = v0 + t * dv;
                            return Math.exp(-v * v) * Erf.value(x0 + t * dx);
                        });
            }
        }
        return 0.5 * sum / Math.sqrt(Math.PI);
    }

    private static double clamp(double t) {
        return Math.max(0, Math.min(1, t));
    }

    @Test
    void sidesOfAllSlopesAndLengths() {
        SplittableRandom random = new SplittableRandom(21);
        for (int n = 0; n < 4000; n++) {
            double x0 = 7 * (2 * random.nextDouble() - 1);
            double v0 = 7 * (2 * random.nextDouble() - 1);
            double dx = (random.nextBoolean() ? 1 : -1) * Math.pow(10, 8 * random.nextDouble() - 5);
            double dv = Math.pow(10, 8 * random.nextDouble() - 5);
            // Every other side ends, rather than begins, near the origin.
            if (random.nextBoolean()) {
                x0 -= dx;
                v0 -= dv;
            }
            double expected = denseSide(x0, v0, x0 + dx, v0 + dv);
            String side = x0 + " " + v0 + " " + dx + " " + dv;
            assertEquals(expected, GaussianKernel.EXACT.side(x0, v0, x0 + dx, v0 + dv), 2e-13, side);
            assertEquals(expected, GaussianKernel.ENGINE.side(x0, v0, x0 + dx, v0 + dv), 1e-8, side);
        }
    }

    @Test
    void sliversAndFlatTriangles() {
        // A triangle 1e-9 high under a long slope, and one 1e-9 wide: their areas times the density 1/pi.
        assertEquals(0.5 * 1e-3 * 1e-9 / Math.PI, GaussianKernel.EXACT.trapezoid(0, 1e-9, 0, 1e-3, 0, 0), 1e-16);
        assertEquals(0.5 * 1e-3 * 1e-9 / Math.PI, GaussianKernel.EXACT.trapezoid(0, 1e-3, 0, 1e-9, 0, 0), 1e-16);
        // A parallelogram of slope 3e6 that sweeps over the origin for a third of its height.
        double flat = GaussianKernel.EXACT.trapezoid(0, 1e-5, -20, -10, 10, 20);
        assertEquals(1e-5 / 3 / Math.sqrt(Math.PI), flat, 1e-14);
    }

    /** The slope along x of the integral over a trapezoid, by difference quotient of order 4 and by the flux through its outline. */
    @Test
    void fluxIsTheDerivative() {
        SplittableRandom random = new SplittableRandom(22);
        double h = 1e-3;
        for (int n = 0; n < 300; n++) {
            double[] t = randomTrapezoid(random, 2);
            double angle = 2 * Math.PI * random.nextDouble();
            double ux = Math.cos(angle);
            double uy = Math.sin(angle);
            double quotient = (8 * (moved(t, h * ux, h * uy) - moved(t, -h * ux, -h * uy))
                            - (moved(t, 2 * h * ux, 2 * h * uy) - moved(t, -2 * h * ux, -2 * h * uy)))
                    / (12 * h);
            double flux = GaussianKernel.flux(t[2], t[0], t[3], t[0], ux, uy)
                    + GaussianKernel.flux(t[3], t[0], t[5], t[1], ux, uy)
                    + GaussianKernel.flux(t[5], t[1], t[4], t[1], ux, uy)
                    + GaussianKernel.flux(t[4], t[1], t[2], t[0], ux, uy);
            assertEquals(quotient, -flux, 1e-10);
        }
    }

    /** The integral as the point of evaluation moves by (x, y). */
    private static double moved(double[] t, double x, double y) {
        return GaussianKernel.EXACT.trapezoid(t[0] - y, t[1] - y, t[2] - x, t[3] - x, t[4] - x, t[5] - x);
    }
}
