package evendose.verification;

import evendose.geometry.EdgeGrid;
import evendose.geometry.Outline;
import evendose.geometry.Trapezoids;
import evendose.parallel.Workers;
import java.util.Arrays;

/**
 * The drawn outline in um, with a grid that finds the edges a ray meets.
 *
 * <p>Edge {@code e} runs from ({@code x0}, {@code y0}) to ({@code x1}, {@code y1}) with the shape on its left, so the outward
 * normal is the direction turned clockwise. Edges of a contour are contiguous.
 */
public final class OutlineEdges {
    private static final double CORNER = Math.toRadians(40);

    private final double[] x0;
    private final double[] y0;
    private final double[] x1;
    private final double[] y1;
    private final int[] layer;
    private final int[] contour;
    private final int[] contourFirst;
    private final EdgeGrid grid;

    /**
     * {@return the outline of merged shapes}
     *
     * @param merged merged shapes, dbu; their groups are the layers
     * @param dbuUm size of a database unit, um
     */
    public static OutlineEdges of(Trapezoids merged, double dbuUm) {
        return new OutlineEdges(merged, Outline.of(merged), dbuUm);
    }

    /**
     * {@return the same}
     *
     * @param merged merged shapes, dbu; their groups are the layers
     * @param dbuUm size of a database unit, um
     * @param workers threads to compute on
     */
    static OutlineEdges of(Trapezoids merged, double dbuUm, Workers workers) {
        return new OutlineEdges(merged, Outline.of(merged, workers), dbuUm);
    }

    private OutlineEdges(Trapezoids merged, Outline outline, double dbuUm) {
        int n = outline.size();
        x0 = new double[n];
        y0 = new double[n];
        x1 = new double[n];
        y1 = new double[n];
        layer = new int[n];
        contour = new int[n];
        contourFirst = new int[outline.contours() + 1];
        for (int c = 0; c <= outline.contours(); c++) {
            contourFirst[c] = outline.first(c);
        }
        for (int c = 0; c < outline.contours(); c++) {
            Arrays.fill(contour, contourFirst[c], contourFirst[c + 1], c);
        }
        for (int e = 0; e < n; e++) {
            x0[e] = outline.x0(e) * dbuUm;
            y0[e] = outline.y0(e) * dbuUm;
            x1[e] = outline.x1(e) * dbuUm;
            y1[e] = outline.y1(e) * dbuUm;
            layer[e] = merged.group(merged.first(outline.shape(e)));
        }
        grid = new EdgeGrid(x0, y0, x1, y1);
    }

    /** Number of edges. */
    int size() {
        return x0.length;
    }

    /** Layer of the shape that edge {@code e} bounds. */
    int layer(int e) {
        return layer[e];
    }

    /** Length of edge {@code e}, um. */
    double lengthUm(int e) {
        return Math.hypot(x1[e] - x0[e], y1[e] - y0[e]);
    }

    /** x at the share {@code t} of edge {@code e}, um. */
    double xUm(int e, double t) {
        return x0[e] + t * (x1[e] - x0[e]);
    }

    /** y at the share {@code t} of edge {@code e}, um. */
    double yUm(int e, double t) {
        return y0[e] + t * (y1[e] - y0[e]);
    }

    /** x of the outward unit normal of edge {@code e}. */
    double outX(int e) {
        return (y1[e] - y0[e]) / lengthUm(e);
    }

    /** y of the outward unit normal of edge {@code e}. */
    double outY(int e) {
        return (x0[e] - x1[e]) / lengthUm(e);
    }

    /**
     * {@return whether a place on the outline lies nearer than {@code distanceUm}, along the outline, to a corner: a place where the
     * outline, looked at over {@code scaleUm} to both sides, turns by more than 40 degrees}
     *
     * @param e number of the edge, from 0
     * @param t place on the edge, 0 at its start to 1 at its end
     * @param distanceUm how near, um
     * @param scaleUm length of an edge that is long, um
     */
    boolean nearCorner(int e, double t, double distanceUm, double scaleUm) {
        double length = lengthUm(e);
        double ahead = (1 - t) * length;
        for (int k = e; ahead < distanceUm; ) {
            int next = next(k);
            if (next < 0 || turns(k, next, scaleUm)) {
                return true;
            }
            k = next;
            ahead += lengthUm(k);
            if (k == e) {
                break;
            }
        }
        double behind = t * length;
        for (int k = e; behind < distanceUm; ) {
            int before = before(k);
            if (before < 0 || turns(before, k, scaleUm)) {
                return true;
            }
            k = before;
            behind += lengthUm(k);
            if (k == e) {
                break;
            }
        }
        return false;
    }

    private boolean turns(int before, int after, double scale) {
        return Math.abs(turn(before, after, scale)) > CORNER;
    }

    /**
     * {@return what kind of corner lies where edge {@code e} ends: 1 if the shape sticks out there, -1 if it is notched, 0 if there is none}
     *
     * @param e number of the edge, from 0
     * @param scaleUm length of an edge that is long, um
     */
    int cornerAfter(int e, double scaleUm) {
        int next = next(e);
        double turn = next < 0 ? 0 : turn(e, next, scaleUm);
        return Math.abs(turn) > CORNER ? (int) Math.signum(turn) : 0;
    }

    /**
     * {@return as {@link #cornerAfter}, where edge {@code e} begins}
     *
     * @param e number of the edge, from 0
     * @param scaleUm length of an edge that is long, um
     */
    int cornerBefore(int e, double scaleUm) {
        int before = before(e);
        return before < 0 ? 0 : cornerAfter(before, scaleUm);
    }

    private double turn(int before, int after, double scale) {
        double px = x1[before];
        double py = y1[before];
        double ax = x0[before];
        double ay = y0[before];
        double reached = lengthUm(before);
        for (int k = before; reached < scale; ) {
            int b = before(k);
            if (b < 0 || b == before) {
                break;
            }
            k = b;
            reached += lengthUm(k);
            ax = x0[k];
            ay = y0[k];
        }
        double bx = x1[after];
        double by = y1[after];
        reached = lengthUm(after);
        for (int k = after; reached < scale; ) {
            int a = next(k);
            if (a < 0 || a == after) {
                break;
            }
            k = a;
            reached += lengthUm(k);
            bx = x1[k];
            by = y1[k];
        }
        double ux = px - ax;
        double uy = py - ay;
        double vx = bx - px;
        double vy = by - py;
        return Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy);
    }

    /** The edge that goes on where {@code e} ends, or -1 at the end of an open contour. */
    private int next(int e) {
        int c = contour[e];
        if (e + 1 < contourFirst[c + 1]) {
            return e + 1;
        }
        int first = contourFirst[c];
        return x0[first] == x1[e] && y0[first] == y1[e] ? first : -1;
    }

    private int before(int e) {
        int c = contour[e];
        if (e > contourFirst[c]) {
            return e - 1;
        }
        int last = contourFirst[c + 1] - 1;
        return x1[last] == x0[e] && y1[last] == y0[e] ? last : -1;
    }

    /** The nearest edge that a ray meets: see {@link EdgeGrid#ray}. */
    EdgeGrid.Hit ray(double x, double y, double ux, double uy, double fromUm, double mostUm) {
        return grid.ray(x, y, ux, uy, fromUm, mostUm);
    }
}
