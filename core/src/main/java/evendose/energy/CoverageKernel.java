package evendose.energy;

import java.util.Arrays;

/**
 * Exact integrals of products of cubic B-splines over pieces: {@code int int_piece B(x - c) B(y - r) dx dy} for every node
 * (c, r) of a window. Coordinates are in pitches from node (0, 0). Arguments are not checked; one instance a thread.
 *
 * <p>A rectangle's integrals are products of antiderivative differences. A trapezoid is cut where a side crosses a knot in x
 * or y: in between the integrand is a polynomial of degree 3 + 4 = 7 in y, which four Gauss-Legendre nodes integrate
 * exactly.
 */
final class CoverageKernel {
    private static final double[] NODE = {
        0.06943184420297371, 0.33000947820757187, 0.6699905217924281, 0.9305681557970263
    };
    private static final double[] WEIGHT = {
        0.17392742256872692, 0.32607257743127307, 0.32607257743127307, 0.17392742256872692
    };

    private double[] cuts = new double[32];
    private double[] across = new double[16];
    private final double[] up = new double[4];

    /**
     * Adds a rectangle's integrals to the window of {@code width} columns from {@code column0} and rows {@code row0} to
     * {@code row1 - 1}. The window must hold all columns that matter; rows beyond it are left out.
     */
    void addRectangle(
            double x0, double x1, double y0, double y1, double[] window, int column0, int width, int row0, int row1) {
        int c0 = CubicSpline.firstOver(x0);
        int c1 = CubicSpline.lastOver(x1);
        int r0 = Math.max(row0, CubicSpline.firstOver(y0));
        int r1 = Math.min(row1 - 1, CubicSpline.lastOver(y1));
        reserve(c1 - c0 + 1);
        for (int c = c0; c <= c1; c++) {
            across[c - c0] = CubicSpline.integral(x1 - c) - CubicSpline.integral(x0 - c);
        }
        for (int r = r0; r <= r1; r++) {
            double share = CubicSpline.integral(y1 - r) - CubicSpline.integral(y0 - r);
            int o = (r - row0) * width + c0 - column0;
            for (int c = 0; c <= c1 - c0; c++) {
                window[o + c] += share * across[c];
            }
        }
    }

    /** Adds a trapezoid's integrals, in the same manner. */
    void addTrapezoid(
            double y0,
            double y1,
            double xl0,
            double xr0,
            double xl1,
            double xr1,
            double[] window,
            int column0,
            int width,
            int row0,
            int row1) {
        double from = Math.max(y0, row0 - 2.0);
        double to = Math.min(y1, row1 + 1.0);
        if (!(from < to)) {
            return;
        }
        double leftSlope = (xl1 - xl0) / (y1 - y0);
        double rightSlope = (xr1 - xr0) / (y1 - y0);
        int n = 0;
        cuts[n++] = from;
        cuts[n++] = to;
        for (double knot = Math.floor(from) + 1; knot < to; knot++) {
            n = addCut(n, knot);
        }
        n = addCrossings(n, xl0, leftSlope, y0, from, to);
        n = addCrossings(n, xr0, rightSlope, y0, from, to);
        Arrays.sort(cuts, 0, n);
        for (int k = 0; k + 1 < n; k++) {
            double slab = cuts[k + 1] - cuts[k];
            if (!(slab > 0)) {
                continue;
            }
            for (int g = 0; g < 4; g++) {
                double y = cuts[k] + NODE[g] * slab;
                double xl = xl0 + leftSlope * (y - y0);
                double xr = xr0 + rightSlope * (y - y0);
                addSlice(y, xl, xr, WEIGHT[g] * slab, window, column0, width, row0, row1);
            }
        }
    }

    /** Adds the integrals along the horizontal line from {@code xl} to {@code xr} at {@code y}, times {@code factor}. */
    private void addSlice(
            double y,
            double xl,
            double xr,
            double factor,
            double[] window,
            int column0,
            int width,
            int row0,
            int row1) {
        // Rounding may carry a side just past the piece's corners, but never past the window.
        int c0 = Math.max(column0, CubicSpline.firstOver(xl));
        int c1 = Math.min(column0 + width - 1, CubicSpline.lastOver(xr));
        reserve(c1 - c0 + 1);
        for (int c = c0; c <= c1; c++) {
            across[c - c0] = CubicSpline.integral(xr - c) - CubicSpline.integral(xl - c);
        }
        int floor = (int) Math.floor(y);
        CubicSpline.weights(y - floor, up);
        for (int q = 0; q < 4; q++) {
            int r = floor - 1 + q;
            if (r >= row0 && r < row1) {
                double share = factor * up[q];
                int o = (r - row0) * width + c0 - column0;
                for (int c = 0; c <= c1 - c0; c++) {
                    window[o + c] += share * across[c];
                }
            }
        }
    }

    private int addCrossings(int n, double x0, double slope, double y0, double from, double to) {
        if (slope == 0) {
            return n;
        }
        double xa = x0 + slope * (from - y0);
        double xb = x0 + slope * (to - y0);
        double last = Math.max(xa, xb);
        int count = n;
        for (double knot = Math.floor(Math.min(xa, xb)) + 1; knot < last; knot++) {
            double y = y0 + (knot - x0) / slope;
            if (y > from && y < to) {
                count = addCut(count, y);
            }
        }
        return count;
    }

    private int addCut(int n, double y) {
        if (n == cuts.length) {
            cuts = Arrays.copyOf(cuts, 2 * n);
        }
        cuts[n] = y;
        return n + 1;
    }

    private void reserve(int columns) {
        if (across.length < columns) {
            across = new double[2 * columns];
        }
    }
}
