package evendose.energy;

import evendose.parallel.Workers;
import java.util.Arrays;

/**
 * Convolves a grid of spline coverages with one Gaussian of range {@code s = 4 pitch} as {@link FourierFilter} does, by sums: the transfer
 * function
 *
 * <pre>exp(-(kx^2 + ky^2) s^2 / 4) / (sinc(kx p/2) sinc(ky p/2))^8</pre>
 *
 * is a product of one factor in x and one in y, and each factor's impulse response has died out (below 1e-9) after 18 nodes. So
 * two short symmetric sums do, which hold on no more than a few rows at a time. {@link FarField} takes this way for a grid too large to transform
 * whole, and each of the two filters is held against the other in {@code FourierFilterTest}.
 */
final class GaussianFilter {
    /** Nodes to either side that count: 4.5 ranges. */
    static final int REACH = 9 * FarGrid.NODES_PER_RANGE / 2;

    private static final int ROWS_PER_PART = 32;
    private static final int COLUMNS_PER_BLOCK = 512;

    /** {@code TAPS[n]} is the impulse response n nodes away. */
    private static final double[] TAPS = taps();

    private GaussianFilter() {}

    private static double[] taps() {
        // The response is a Fourier integral over one period of a function that vanishes with all derivatives (to
        // 1e-15) at its
        // ends: the trapezoidal rule is exact to rounding.
        int steps = 512;
        double[] taps = new double[REACH + 1];
        for (int m = -steps / 2; m < steps / 2; m++) {
            double k = 2 * Math.PI * m / steps;
            double h = transfer(k);
            for (int n = 0; n <= REACH; n++) {
                taps[n] += h * Math.cos(k * n) / steps;
            }
        }
        // What the cut takes away is given back, so that a uniform plane stays exactly uniform.
        double sum = taps[0];
        for (int n = 1; n <= REACH; n++) {
            sum += 2 * taps[n];
        }
        for (int n = 0; n <= REACH; n++) {
            taps[n] /= sum;
        }
        return taps;
    }

    /** One factor of the transfer function; {@code k} in radians per pitch. */
    static double transfer(double k) {
        double s = FarGrid.NODES_PER_RANGE;
        double spline = CubicSpline.transform(k);
        return Math.exp(-0.25 * k * k * s * s) / (spline * spline);
    }

    /**
     * Filters a grid; nodes beyond it count as zero.
     *
     * @param in {@code rows * columns} values, row after row
     * @param weight factor for all of the result
     * @param out receives as many; another array
     */
    static void apply(double[] in, double weight, double[] out, int columns, int rows, Workers workers) {
        int blocks = Workers.partCount(columns, COLUMNS_PER_BLOCK);
        workers.runRanges(rows, ROWS_PER_PART, (from, to, part) -> {
            Scratch scratch = new Scratch();
            for (int b = 0; b < blocks; b++) {
                int first = (int) ((long) columns * b / blocks);
                int last = (int) ((long) columns * (b + 1) / blocks);
                block(in, weight, out, columns, rows, from, to, first, last, scratch);
            }
        });
    }

    /** The arrays for one block. All loops below run over whole arrays with one index, the form that is compiled to vectors. */
    private static final class Scratch {
        static final int WIDTH = COLUMNS_PER_BLOCK + 2 * REACH;
        final double[] zero = new double[WIDTH];
        final double[][] copies = new double[ROWS_PER_PART + 2 * REACH][WIDTH];
        final double[][] rows = new double[ROWS_PER_PART + 2 * REACH][];
        final double[] blurred = new double[WIDTH];
        final double[][] shifted = new double[6][COLUMNS_PER_BLOCK];
        final double[] sum = new double[COLUMNS_PER_BLOCK];
    }

    /** Rows {@code from} to {@code to - 1} of columns {@code first} to {@code last - 1}. */
    private static void block(
            double[] in,
            double weight,
            double[] out,
            int columns,
            int rows,
            int from,
            int to,
            int first,
            int last,
            Scratch s) {
        int a0 = Math.max(0, first - REACH);
        int a1 = Math.min(columns, last + REACH);
        int at = a0 - (first - REACH);
        for (int r = from - REACH; r < to + REACH; r++) {
            int q = r - from + REACH;
            if (r < 0 || r >= rows) {
                s.rows[q] = s.zero;
            } else {
                double[] copy = s.copies[q];
                Arrays.fill(copy, 0, at, 0);
                System.arraycopy(in, r * columns + a0, copy, at, a1 - a0);
                Arrays.fill(copy, at + a1 - a0, copy.length, 0);
                s.rows[q] = copy;
            }
        }
        int width = last - first;
        for (int r = from; r < to; r++) {
            int centre = r - from + REACH;
            scale(s.rows[centre], s.blurred, Scratch.WIDTH);
            for (int n = 1; n <= REACH; n += 3) {
                addPairs(
                        s.rows[centre - n],
                        s.rows[centre + n],
                        s.rows[centre - n - 1],
                        s.rows[centre + n + 1],
                        s.rows[centre - n - 2],
                        s.rows[centre + n + 2],
                        n,
                        s.blurred,
                        width + 2 * REACH);
            }
            System.arraycopy(s.blurred, REACH, s.shifted[0], 0, width);
            scale(s.shifted[0], s.sum, width);
            for (int n = 1; n <= REACH; n += 3) {
                for (int q = 0; q < 3; q++) {
                    System.arraycopy(s.blurred, REACH - n - q, s.shifted[2 * q], 0, width);
                    System.arraycopy(s.blurred, REACH + n + q, s.shifted[2 * q + 1], 0, width);
                }
                addPairs(
                        s.shifted[0],
                        s.shifted[1],
                        s.shifted[2],
                        s.shifted[3],
                        s.shifted[4],
                        s.shifted[5],
                        n,
                        s.sum,
                        width);
            }
            for (int c = 0; c < width; c++) {
                out[r * columns + first + c] = weight * s.sum[c];
            }
        }
    }

    private static void scale(double[] row, double[] sum, int length) {
        double c = TAPS[0];
        for (int i = 0; i < length; i++) {
            sum[i] = c * row[i];
        }
    }

    /** Adds the pairs of rows {@code n}, {@code n + 1} and {@code n + 2} away; three at a time spare traffic with the sum. */
    private static void addPairs(
            double[] la,
            double[] ua,
            double[] lb,
            double[] ub,
            double[] lc,
            double[] uc,
            int n,
            double[] sum,
            int length) {
        double ca = TAPS[n];
        double cb = TAPS[n + 1];
        double cc = TAPS[n + 2];
        for (int i = 0; i < length; i++) {
            sum[i] += ca * (la[i] + ua[i]) + cb * (lb[i] + ub[i]) + cc * (lc[i] + uc[i]);
        }
    }
}
