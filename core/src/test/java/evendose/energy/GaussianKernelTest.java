package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.SplittableRandom;
import org.apache.commons.math3.analysis.integration.gauss.GaussIntegrator;
import org.apache.commons.math3.analysis.integration.gauss.GaussIntegratorFactory;
import org.apache.commons.numbers.gamma.Erf;
import org.junit.jupiter.api.Test;

/** Where the kernel changes from one way to another: at the reach, at short and long sides, at very small rectangles. */
class GaussianKernelTest {
    private static final GaussIntegrator RULE = new GaussIntegratorFactory().legendre(20, 0, 1);

    /** The integral over a trapezoid as one over its height, in 40 panels. */
    private static double quadrature(double y0, double y1, double xl0, double xr0, double xl1, double xr1) {
        double sum = 0;
        int panels = 40;
        for (int k = 0; k < panels; k++) {
            double start = k;
            sum += RULE.integrate(s -> {
                double t = (start + s) / panels;
                double v = y0 + t * (y1 - y0);
                return Math.exp(-v * v) * (Erf.value(xr0 + t * (xr1 - xr0)) - Erf.value(xl0 + t * (xl1 - xl0)));
            });
        }
        return 0.5 / Math.sqrt(Math.PI) * (y1 - y0) / panels * sum;
    }

    /** Flat and steep ones, sides to the left and to the right, both longer ones once the left and once the right. */
    @Test
    void slantedSidesOfAllLengths() {
        SplittableRandom random = new SplittableRandom(5);
        for (double length = 0.05; length < 6; length *= 1.07) {
            for (int k = 0; k < 12; k++) {
                double angle = Math.PI * random.nextDouble(0.005, 0.995);
                double height = length * Math.sin(angle);
                double run = length * Math.cos(angle);
                double other = run * random.nextDouble(-1, 1);
                double y0 = random.nextDouble(-1.5, 1) - 0.5 * height;
                double x0 = random.nextDouble(-1, 1) - 0.5 * run;
                double gap = 0.01 + Math.max(0, k % 2 == 0 ? run - other : other - run);
                double[] t = k % 2 == 0
                        ? new double[] {y0, y0 + height, x0, x0 + gap, x0 + run, x0 + gap + other}
                        : new double[] {y0, y0 + height, x0, x0 + gap, x0 + other, x0 + gap + run};
                double expected = quadrature(t[0], t[1], t[2], t[3], t[4], t[5]);
                String what = length + " long, angle " + angle;
                assertEquals(expected, GaussianKernel.EXACT.trapezoid(t[0], t[1], t[2], t[3], t[4], t[5]), 1e-13, what);
                assertEquals(expected, GaussianKernel.ENGINE.trapezoid(t[0], t[1], t[2], t[3], t[4], t[5]), 1e-8, what);
            }
        }
    }

    /** At the reach there is nothing any more, not even rounding; just within there is. */
    @Test
    void whatBeginsAtTheReachCountsAsZero() {
        for (GaussianKernel kernel : new GaussianKernel[] {GaussianKernel.EXACT, GaussianKernel.ENGINE}) {
            double r = kernel.reach();
            assertTrue(r >= 4.5 && r <= 6);
            double in = Math.nextDown(r);
            for (int sign = -1; sign <= 1; sign += 2) {
                double near = Math.min(sign * r, sign * (r + 1));
                double far = Math.max(sign * r, sign * (r + 1));
                assertEquals(0, kernel.rectangle(near, far, -1, 1), 0);
                assertEquals(0, kernel.rectangle(-1, 1, near, far), 0);
                assertEquals(0, kernel.trapezoid(near, far, -1, 1, -2, 2), 0);
                assertEquals(0, kernel.trapezoid(-1, 1, near, far, near + 0.1, far), 0);
            }
            // Closed forms: 0.5 erfc(reach) erf(1) is not zero for the engine.
            if (kernel == GaussianKernel.ENGINE) {
                assertTrue(kernel.rectangle(in, r + 1, -1, 1) > 1e-11);
                assertTrue(kernel.rectangle(-1, 1, -r - 1, -in) > 1e-11);
            }
        }
    }

    /** Vertical sides, and slanted ones beyond the reach on either hand, are closed forms to the accuracy of the engine's error function. */
    @Test
    void sidesThatNeedNoQuadrature() {
        GaussianKernel kernel = GaussianKernel.ENGINE;
        double r = kernel.reach();
        double band = 0.5 * (Erf.value(0.7) - Erf.value(-0.4));
        assertEquals(0.5 * Erf.value(0.3) * band, kernel.side(0.3, -0.4, 0.3, 0.7), 2e-10);
        assertEquals(0.5 * band, kernel.side(r, -0.4, r + 2, 0.7), 1e-10);
        assertEquals(0.5 * band, kernel.side(r + 2, -0.4, r, 0.7), 1e-10);
        assertEquals(-0.5 * band, kernel.side(-r, -0.4, -r - 2, 0.7), 1e-10);
        assertEquals(-0.5 * band, kernel.side(-r - 2, -0.4, -r, 0.7), 1e-10);
    }

    /** Rectangles far smaller than the range keep all digits, which differences of error functions do not. */
    @Test
    void tinyRectanglesKeepTheirDigits() {
        for (double x : new double[] {-2, -0.7, 0, 0.4, 3}) {
            for (double y : new double[] {-1.1, 0.2, 1.9}) {
                double size = 1e-5;
                double middleX = x + size / 2;
                double middleY = y + size;
                double expected = size * 2 * size / Math.PI * Math.exp(-middleX * middleX - middleY * middleY);
                double found = GaussianKernel.ENGINE.rectangle(x, x + size, y, y + 2 * size);
                assertEquals(1, found / expected, 1e-9, x + ", " + y);
            }
        }
    }

    /** Wide and low, narrow and high: the series for small rectangles must not be taken. */
    @Test
    void thinRectanglesAreProductsOfErrorFunctions() {
        double thin = 0.5 * (Erf.value(0.53) - Erf.value(0.5));
        double wide = 0.5 * (Erf.value(1.2) - Erf.value(-0.8));
        assertEquals(thin * wide, GaussianKernel.EXACT.rectangle(-0.8, 1.2, 0.5, 0.53), 1e-15);
        assertEquals(thin * wide, GaussianKernel.EXACT.rectangle(0.5, 0.53, -0.8, 1.2), 1e-15);
    }

    /** The longer side decides; beyond 2.3 ranges a mean is told. Orders are those that the engine's kernel is made with. */
    @Test
    void evaluationsFollowTheLength() {
        GaussianKernel kernel = GaussianKernel.ENGINE;
        assertEquals(3, kernel.evaluations(0.2, 0.1, 0));
        assertEquals(4, kernel.evaluations(0.2, 0.1, -0.5));
        assertEquals(4, kernel.evaluations(0.2, 0.5, 0.1));
        assertEquals(6, kernel.evaluations(0.8, 0.8, 0.1));
        assertEquals(8, kernel.evaluations(2, 1, 1.1));
        assertEquals(25, kernel.evaluations(2, 1, -1.2));
    }

    /** Through a segment beyond the reach nothing flows; before it exp(-h^2)/sqrt(pi) times the band. */
    @Test
    void fluxThroughASegment() {
        double band = 0.5 * (Erf.value(2) - Erf.value(-1));
        double expected = Math.exp(-0.25) / Math.sqrt(Math.PI) * band;
        // Upwards at x = 0.5: the normal to the right is +x.
        assertEquals(expected, GaussianKernel.flux(0.5, -1, 0.5, 2, 1, 0), 1e-15);
        assertEquals(-0.6 * expected, GaussianKernel.flux(0.5, 2, 0.5, -1, 0.6, 0.8), 1e-15);
        assertEquals(0, GaussianKernel.flux(FastErf.LIMIT, -1, FastErf.LIMIT, 2, 1, 0), 0);
        assertEquals(0, GaussianKernel.flux(0.5, 1, 0.5, 1, 1, 0), 0);
    }
}
