package evendose.energy;

import evendose.parallel.Workers;

/**
 * Blurs a grid of spline coverages by a unit Gaussian of range {@code s = 4 pitch} and undoes the smoothing by the cubic B-spline, once
 * for assignment and once for interpolation. The transfer function
 *
 * <pre>exp(-(kx^2 + ky^2) s^2 / 4) / (sinc(kx p/2) sinc(ky p/2))^8</pre>
 *
 * is a product of one factor in x and one in y, and each factor's impulse response has died out (below 1e-9) after 18 nodes. So
 * the blur is two short symmetric sums, which take a small part of the time of a fast Fourier transform, need no padding to
 * handy sizes, and let any block of the result be computed from its own neighbourhood. {@code GaussianFilterTest} holds it
 * against the Fourier transform.
 *
 * <p>This is the particle-mesh Ewald idea (Essmann et al., J. Chem. Phys. 103, 8577 (1995)) with the mesh sum done in real space.
 */
final class GaussianFilter {
    /** Nodes to either side that count: 4.5 ranges. */
    static final int REACH = 9 * FarGrid.NODES_PER_RANGE / 2;

    private static final int ROWS_PER_PART = 16;
    private static final int COLUMNS_PER_BLOCK = 1024;

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
        double half = 0.5 * k;
        double sinc = half == 0 ? 1 : Math.sin(half) / half;
        double sinc4 = sinc * sinc * sinc * sinc;
        return Math.exp(-0.25 * k * k * s * s) / (sinc4 * sinc4);
    }

    /**
     * Filters a grid; nodes beyond it count as zero.
     *
     * @param in {@code rows * columns} values, row after row
     * @param out receives as many; another array
     */
    static void apply(double[] in, double[] out, int columns, int rows, Workers workers) {
        int blocks = Workers.partCount(columns, COLUMNS_PER_BLOCK);
        workers.runRanges(rows, ROWS_PER_PART, (from, to, part) -> {
            double[] blurred = new double[Math.min(columns, COLUMNS_PER_BLOCK + 1) + 2 * REACH];
            for (int b = 0; b < blocks; b++) {
                int first = (int) ((long) columns * b / blocks);
                int last = (int) ((long) columns * (b + 1) / blocks);
                for (int row = from; row < to; row++) {
                    int a0 = Math.max(0, first - REACH);
                    int a1 = Math.min(columns, last + REACH);
                    java.util.Arrays.fill(blurred, 0);
                    along(in, row, rows, columns, a0, a1, blurred, a0 - first + REACH);
                    across(blurred, out, row * columns + first, last - first);
                }
            }
        });
    }

    /** Vertical sums of columns {@code a0} to {@code a1 - 1} about one row into {@code sum[at...]}. */
    private static void along(double[] in, int row, int rows, int columns, int a0, int a1, double[] sum, int at) {
        int length = a1 - a0;
        int centre = row * columns + a0;
        double c0 = TAPS[0];
        for (int i = 0; i < length; i++) {
            sum[at + i] = c0 * in[centre + i];
        }
        for (int n = 1; n <= REACH; n++) {
            double c = TAPS[n];
            boolean below = row >= n;
            boolean above = row + n < rows;
            int lower = centre - n * columns;
            int upper = centre + n * columns;
            if (below && above) {
                for (int i = 0; i < length; i++) {
                    sum[at + i] += c * (in[lower + i] + in[upper + i]);
                }
            } else if (below || above) {
                int only = below ? lower : upper;
                for (int i = 0; i < length; i++) {
                    sum[at + i] += c * in[only + i];
                }
            }
        }
    }

    /** Horizontal sums over {@code row}, whose entry {@code REACH + i} is the centre of {@code out[at + i]}. */
    private static void across(double[] row, double[] out, int at, int length) {
        double c0 = TAPS[0];
        for (int i = 0; i < length; i++) {
            out[at + i] = c0 * row[REACH + i];
        }
        for (int n = 1; n <= REACH; n++) {
            double c = TAPS[n];
            int lower = REACH - n;
            int upper = REACH + n;
            for (int i = 0; i < length; i++) {
                out[at + i] += c * (row[lower + i] + row[upper + i]);
            }
        }
    }
}
