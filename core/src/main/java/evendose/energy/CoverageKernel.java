package evendose.energy;

import evendose.pieces.GaussRule;
import java.util.Arrays;

/**
 * Exact integrals of products of cubic B-splines over pieces: {@code int int_piece B(x - c) B(y - r) dx dy} for every node
 * (c, r) of a window. Coordinates are in pitches from node (0, 0). Arguments are not checked; one instance a thread.
 *
 * <p>A rectangle's integrals are products of antiderivative differences. A trapezoid is cut where a side crosses a knot in x
 * or y: in between the integrand is a polynomial of degree 3 + 4 = 7 in the coordinate across its parallel sides, which four
 * Gauss-Legendre nodes integrate exactly. A standing one exchanges the roles of columns and rows and fills the same window.
 */
final class CoverageKernel {
    private static final GaussRule RULE = GaussRule.ofOrders(4)[0];
    private static final double[] NODE = RULE.nodes();
    private static final double[] WEIGHT = RULE.weights();

    private double[] cuts = new double[32];
    private double[] share = new double[16];
    private final double[] up = new double[4];

    private double[] window;
    private int column0;
    private int width;
    private int row0;
    private int row1;

    /**
     * Sets the window that what follows is added to: {@code columns} columns from {@code column0} and rows {@code row0} to
     * {@code row1 - 1}, row by row. It must hold all columns that matter; rows beyond it are left out.
     */
    void into(double[] values, int firstColumn, int columns, int firstRow, int endRow) {
        window = values;
        column0 = firstColumn;
        width = columns;
        row0 = firstRow;
        row1 = endRow;
    }

    /** Adds a rectangle's integrals to the window. */
    void addRectangle(double x0, double x1, double y0, double y1) {
        int c0 = CubicSpline.firstOver(x0);
        int c1 = CubicSpline.lastOver(x1);
        int r0 = Math.max(row0, CubicSpline.firstOver(y0));
        int r1 = Math.min(row1 - 1, CubicSpline.lastOver(y1));
        reserve(c1 - c0 + 1);
        for (int c = c0; c <= c1; c++) {
            share[c - c0] = CubicSpline.integral(x1 - c) - CubicSpline.integral(x0 - c);
        }
        for (int r = r0; r <= r1; r++) {
            double ofRow = CubicSpline.integral(y1 - r) - CubicSpline.integral(y0 - r);
            int o = (r - row0) * width + c0 - column0;
            for (int c = 0; c <= c1 - c0; c++) {
                window[o + c] += ofRow * share[c];
            }
        }
    }

    /** Adds the integrals of a trapezoid whose parallel sides lie along x: y of the sides, x of their ends. */
    void addLevel(double y0, double y1, double xl0, double xr0, double xl1, double xr1) {
        addTrapezoid(y0, y1, xl0, xr0, xl1, xr1, column0, column0 + width, 1, row0, row1, width);
    }

    /** Adds the integrals of a trapezoid whose parallel sides lie along y: x of the sides, y of their ends. */
    void addStanding(double x0, double x1, double yl0, double yr0, double yl1, double yr1) {
        addTrapezoid(x0, x1, yl0, yr0, yl1, yr1, row0, row1, width, column0, column0 + width, 1);
    }

    /**
     * In the trapezoid's own frame: v lies across the parallel sides, u along them. The window holds nodes {@code u0} to
     * {@code u1 - 1} and {@code v0} to {@code v1 - 1}; neighbours lie a stride apart.
     */
    private void addTrapezoid(
            double low,
            double high,
            double fromLow,
            double toLow,
            double fromHigh,
            double toHigh,
            int u0,
            int u1,
            int uStride,
            int v0,
            int v1,
            int vStride) {
        double begin = Math.max(low, v0 - 2.0);
        double end = Math.min(high, v1 + 1.0);
        if (!(begin < end)) {
            return;
        }
        double fromSlope = (fromHigh - fromLow) / (high - low);
        double toSlope = (toHigh - toLow) / (high - low);
        int n = 0;
        cuts[n++] = begin;
        cuts[n++] = end;
        for (double knot = Math.floor(begin) + 1; knot < end; knot++) {
            n = addCut(n, knot);
        }
        n = addCrossings(n, fromLow, fromSlope, low, begin, end);
        n = addCrossings(n, toLow, toSlope, low, begin, end);
        Arrays.sort(cuts, 0, n);
        for (int k = 0; k + 1 < n; k++) {
            double slab = cuts[k + 1] - cuts[k];
            if (!(slab > 0)) {
                continue;
            }
            for (int g = 0; g < 4; g++) {
                double v = cuts[k] + NODE[g] * slab;
                double from = fromLow + fromSlope * (v - low);
                double to = toLow + toSlope * (v - low);
                addSlice(v, from, to, WEIGHT[g] * slab, u0, u1, uStride, v0, v1, vStride);
            }
        }
    }

    /** Adds the integrals along the line from {@code from} to {@code to} at {@code v}, times {@code factor}. */
    private void addSlice(
            double v, double from, double to, double factor, int u0, int u1, int uStride, int v0, int v1, int vStride) {
        // What lies beyond the window is left out: rows of other bands, or where rounding carries a side past a corner.
        int first = Math.max(u0, CubicSpline.firstOver(from));
        int last = Math.min(u1 - 1, CubicSpline.lastOver(to));
        reserve(last - first + 1);
        for (int u = first; u <= last; u++) {
            share[u - first] = CubicSpline.integral(to - u) - CubicSpline.integral(from - u);
        }
        int floor = (int) Math.floor(v);
        CubicSpline.weights(v - floor, up);
        for (int q = 0; q < 4; q++) {
            int node = floor - 1 + q;
            if (node >= v0 && node < v1) {
                double ofLine = factor * up[q];
                int o = (node - v0) * vStride + (first - u0) * uStride;
                for (int u = 0; u <= last - first; u++) {
                    window[o + u * uStride] += ofLine * share[u];
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

    private void reserve(int nodes) {
        if (share.length < nodes) {
            share = new double[2 * nodes];
        }
    }
}
