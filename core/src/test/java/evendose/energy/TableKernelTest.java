package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.psf.RadialTable;
import java.util.SplittableRandom;
import org.apache.commons.numbers.gamma.Erf;
import org.junit.jupiter.api.Test;

/** A Gaussian of range 1 in a table: integrals over polygons and fluxes through sides are products of error functions. */
class TableKernelTest {
    private static final TableKernel KERNEL = new TableKernel(gaussian());

    private static RadialTable gaussian() {
        int n = 400;
        double[] radii = new double[n];
        double[] density = new double[n];
        for (int i = 0; i < n; i++) {
            radii[i] = 0.01 * Math.pow(6 / 0.01, i / (n - 1.0));
            density[i] = Math.exp(-radii[i] * radii[i]);
        }
        return RadialTable.of(radii, density);
    }

    private static double overPolygon(double... xy) {
        double sum = 0;
        for (int k = 0; k < xy.length; k += 2) {
            int next = (k + 2) % xy.length;
            sum += KERNEL.side(xy[k], xy[k + 1], xy[next], xy[next + 1]);
        }
        return sum;
    }

    private static double band(double from, double to) {
        return 0.5 * (Erf.value(to) - Erf.value(from));
    }

    @Test
    void rectanglesTurnedByAnyAngleAreProducts() {
        SplittableRandom random = new SplittableRandom(4);
        for (int n = 0; n < 150; n++) {
            double x0 = random.nextDouble(-2, 1);
            double y0 = random.nextDouble(-2, 1);
            double w = Math.pow(10, random.nextDouble(-2, 1));
            double h = Math.pow(10, random.nextDouble(-2, 1));
            double angle = n % 3 == 0 ? 0 : random.nextDouble(7);
            double c = Math.cos(angle);
            double s = Math.sin(angle);
            double[] xy = {x0, y0, x0 + w, y0, x0 + w, y0 + h, x0, y0 + h};
            for (int k = 0; k < 8; k += 2) {
                double x = xy[k];
                xy[k] = c * x - s * xy[k + 1];
                xy[k + 1] = s * x + c * xy[k + 1];
            }
            assertEquals(band(x0, x0 + w) * band(y0, y0 + h), overPolygon(xy), 2e-5, "rectangle " + n);
        }
    }

    @Test
    void sidesThroughTheOriginCountNothing() {
        assertEquals(0, KERNEL.side(-1, -2, 2, 4), 0);
        assertEquals(0, KERNEL.side(0, 0, 3, 1), 0);
        assertEquals(0, KERNEL.side(1, 1, 1, 1), 0);
        // The origin in a corner and on a side: a quarter and a half of the rectangle twice as large.
        assertEquals(band(0, 1.2) * band(0, 0.7), overPolygon(0, 0, 1.2, 0, 1.2, 0.7, 0, 0.7), 2e-5);
        assertEquals(band(-0.5, 1.2) * band(0, 0.7), overPolygon(-0.5, 0, 1.2, 0, 1.2, 0.7, -0.5, 0.7), 2e-5);
    }

    /** Upwards at x = a: exp(-a^2)/sqrt(pi) times the band, along +x; turned round, it changes its sign. */
    @Test
    void fluxThroughSides() {
        for (double a : new double[] {0, 0.005, 0.3, 1.5}) {
            for (double[] ends : new double[][] {{-1, 2}, {0.2, 0.25}, {-3, -0.5}}) {
                double expected = Math.exp(-a * a) / Math.sqrt(Math.PI) * band(ends[0], ends[1]);
                assertEquals(expected, KERNEL.flux(a, ends[0], a, ends[1], 1, 0), 3e-5, a + " um");
                assertEquals(-0.6 * expected, KERNEL.flux(a, ends[1], a, ends[0], 0.6, 0.8), 3e-5);
                assertEquals(-0.8 * expected, KERNEL.flux(ends[0], a, ends[1], a, 0.6, 0.8), 3e-5);
            }
        }
        assertEquals(0, KERNEL.flux(1, 1, 1, 1, 1, 0), 0);
    }
}
