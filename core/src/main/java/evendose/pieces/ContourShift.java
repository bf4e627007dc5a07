package evendose.pieces;

import evendose.geometry.EdgeBuffer;

/**
 * Moves a contour of exposed edges to where it is judged: each edge along its normal, corners to where the moved edges meet. Edges that
 * this leaves without length, such as jogs between parts that were exposed differently, go. One instance serves one thread.
 */
final class ContourShift {
    /** Edges of less than this are gone, grid units. */
    private static final double GONE = 1e-9;

    /** Corners move at most so many times as far as their edges. */
    private static final double FARTHEST = 10;

    /** Neighbours that turn by less than this move as one line. */
    private static final double STRAIGHT = 1e-6;

    /** The contour where it is judged, in its order. */
    final EdgeBuffer moved = new EdgeBuffer();

    private final JudgedOutline judged;
    private double[] out = new double[64];
    private double[] x = new double[65];
    private double[] y = new double[65];

    ContourShift(JudgedOutline judged) {
        this.judged = judged;
    }

    /**
     * Moves {@code n} edges.
     *
     * @param contour their numbers, in order
     * @param closed whether the first follows the last
     * @param layer layer of the shape
     * @param gridUm unit of length, um
     */
    void move(EdgeBuffer edges, int[] contour, int n, boolean closed, int layer, double gridUm) {
        if (out.length < n) {
            out = new double[2 * n];
            x = new double[2 * n + 1];
            y = new double[2 * n + 1];
        }
        for (int k = 0; k < n; k++) {
            int e = contour[k];
            double middleX = 0.5 * (edges.x0(e) + edges.x1(e)) * gridUm;
            double middleY = 0.5 * (edges.y0(e) + edges.y1(e)) * gridUm;
            out[k] = -judged.insideUm(layer, middleX, middleY) / gridUm;
        }
        for (int k = 0; k <= n; k++) {
            int before = k > 0 ? k - 1 : closed ? n - 1 : 0;
            int after = k < n ? k : closed ? 0 : n - 1;
            int e = contour[after];
            corner(
                    edges,
                    contour[before],
                    out[before],
                    e,
                    out[after],
                    k,
                    k < n ? edges.x0(e) : closed ? edges.x0(e) : edges.x1(e),
                    k < n ? edges.y0(e) : closed ? edges.y0(e) : edges.y1(e));
        }
        moved.clear();
        for (int k = 0; k < n; k++) {
            if (Math.hypot(x[k + 1] - x[k], y[k + 1] - y[k]) > GONE) {
                moved.add(x[k], y[k], x[k + 1], y[k + 1], edges.owner(contour[k]));
            }
        }
    }

    /** Finds where the moved edges {@code e} and {@code f} meet, from their common end (px, py). */
    private void corner(EdgeBuffer edges, int e, double outE, int f, double outF, int k, double px, double py) {
        double lengthE = edges.length(e);
        double lengthF = edges.length(f);
        // The inside lies on the left, so the outward normal is the direction turned clockwise.
        double ex = (edges.y1(e) - edges.y0(e)) / lengthE;
        double ey = (edges.x0(e) - edges.x1(e)) / lengthE;
        double fx = (edges.y1(f) - edges.y0(f)) / lengthF;
        double fy = (edges.x0(f) - edges.x1(f)) / lengthF;
        double sine = ex * fy - ey * fx;
        double dx = 0.5 * (outE * ex + outF * fx);
        double dy = 0.5 * (outE * ey + outF * fy);
        if (Math.abs(sine) > STRAIGHT) {
            dx = (outE * fy - outF * ey) / sine;
            dy = (outF * ex - outE * fx) / sine;
        }
        double far = Math.hypot(dx, dy);
        double most = FARTHEST * Math.max(Math.abs(outE), Math.abs(outF));
        double share = far > most ? most / far : 1;
        x[k] = px + share * dx;
        y[k] = py + share * dy;
    }
}
