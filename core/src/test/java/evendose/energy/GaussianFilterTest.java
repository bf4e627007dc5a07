package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.parallel.Workers;
import java.util.Arrays;
import java.util.SplittableRandom;
import org.jtransforms.fft.DoubleFFT_2D;
import org.junit.jupiter.api.Test;

class GaussianFilterTest {
    private static double[] filtered(double[] in, int columns, int rows) {
        double[] out = new double[in.length];
        try (Workers workers = Workers.of(2)) {
            GaussianFilter.apply(in, out, columns, rows, workers);
        }
        return out;
    }

    /** The same filter as a product of Fourier transforms (JTransforms), zero padded against wrapping around. */
    @Test
    void agreesWithTheFourierTransform() {
        // More than one block of columns and several parts of rows, none of them full.
        int columns = 700;
        int rows = 90;
        double[] in = new SplittableRandom(1).doubles(columns * rows).toArray();
        int wide = 1024;
        int high = 128;
        double[] spectrum = new double[2 * wide * high];
        for (int r = 0; r < rows; r++) {
            for (int c = 0; c < columns; c++) {
                spectrum[2 * (r * wide + c)] = in[r * columns + c];
            }
        }
        DoubleFFT_2D fft = new DoubleFFT_2D(high, wide);
        fft.complexForward(spectrum);
        for (int r = 0; r < high; r++) {
            double ky = 2 * Math.PI * (r < high / 2 ? r : r - high) / high;
            for (int c = 0; c < wide; c++) {
                double kx = 2 * Math.PI * (c < wide / 2 ? c : c - wide) / wide;
                double h = GaussianFilter.transfer(kx) * GaussianFilter.transfer(ky);
                spectrum[2 * (r * wide + c)] *= h;
                spectrum[2 * (r * wide + c) + 1] *= h;
            }
        }
        fft.complexInverse(spectrum, true);
        double[] expected = new double[in.length];
        for (int r = 0; r < rows; r++) {
            for (int c = 0; c < columns; c++) {
                expected[r * columns + c] = spectrum[2 * (r * wide + c)];
            }
        }
        // What differs is the cut after 4.5 ranges.
        assertArrayEquals(expected, filtered(in, columns, rows), 1e-8);
    }

    /** A block of the result needs its neighbourhood only: computed on a window, it is the same. */
    @Test
    void aWindowGivesTheSame() {
        int columns = 1200;
        int rows = 150;
        double[] in = new SplittableRandom(2).doubles(columns * rows).toArray();
        double[] whole = filtered(in, columns, rows);
        int c0 = 500;
        int r0 = 40;
        int wide = 100;
        int high = 80;
        double[] window = new double[wide * high];
        for (int r = 0; r < high; r++) {
            System.arraycopy(in, (r0 + r) * columns + c0, window, r * wide, wide);
        }
        double[] part = filtered(window, wide, high);
        int reach = GaussianFilter.REACH;
        for (int r = reach; r < high - reach; r++) {
            for (int c = reach; c < wide - reach; c++) {
                assertEquals(whole[(r0 + r) * columns + c0 + c], part[r * wide + c], 1e-15);
            }
        }
    }

    @Test
    void keepsAUniformPlaneAndASmallGridsSum() {
        double[] ones = new double[80 * 80];
        Arrays.fill(ones, 1);
        assertEquals(1, filtered(ones, 80, 80)[40 * 80 + 40], 1e-15);
        double[] point = new double[50 * 45];
        point[22 * 50 + 25] = 1;
        assertEquals(1, Arrays.stream(filtered(point, 50, 45)).sum(), 1e-14);
        assertEquals(0, Arrays.stream(filtered(new double[3], 3, 1)).sum(), 0);
    }
}
