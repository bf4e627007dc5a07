package evendose.verification;

import evendose.geometry.Outline;
import evendose.geometry.Trapezoids;
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
    private double left = Double.MAX_VALUE;
    private double bottom = Double.MAX_VALUE;
    private double right = -Double.MAX_VALUE;
    private double top = -Double.MAX_VALUE;
    private double cell;
    private int columns;
    private int rows;
    private int[] start;
    private int[] items;

    /**
     * {@return the outline of merged shapes}
     *
     * @param merged merged shapes, dbu; their groups are the layers
     * @param dbuUm size of a database unit, um
     */
    public static OutlineEdges of(Trapezoids merged, double dbuUm) {
        return new OutlineEdges(merged, Outline.of(merged), dbuUm);
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
            left = Math.min(left, Math.min(x0[e], x1[e]));
            right = Math.max(right, Math.max(x0[e], x1[e]));
            bottom = Math.min(bottom, Math.min(y0[e], y1[e]));
            top = Math.max(top, Math.max(y0[e], y1[e]));
        }
        if (n > 0) {
            layOutGrid();
        } else {
            start = new int[1];
            items = new int[0];
        }
    }

    private void layOutGrid() {
        int n = x0.length;
        double width = Math.max(right - left, 1e-6);
        double height = Math.max(top - bottom, 1e-6);
        cell = Math.max(Math.sqrt(width * height / n), 1e-3 * Math.max(width, height) / Math.sqrt(n));
        columns = (int) Math.min(1 << 13, width / cell + 1);
        rows = (int) Math.min(1 << 13, height / cell + 1);
        cell = Math.max(width / columns, height / rows) * (1 + 1e-12);
        int[] counts = new int[columns * rows + 1];
        for (int e = 0; e < n; e++) {
            forCells(e, c -> counts[c + 1]++);
        }
        for (int c = 0; c < columns * rows; c++) {
            counts[c + 1] += counts[c];
        }
        start = counts.clone();
        items = new int[counts[columns * rows]];
        for (int e = 0; e < n; e++) {
            int edge = e;
            forCells(e, c -> items[counts[c]++] = edge);
        }
    }

    private interface CellVisitor {
        void visit(int cell);
    }

    /** The cells that an edge passes, row by row. */
    private void forCells(int e, CellVisitor visitor) {
        double ya = Math.min(y0[e], y1[e]);
        double yb = Math.max(y0[e], y1[e]);
        int r0 = row(ya);
        int r1 = row(yb);
        for (int r = r0; r <= r1; r++) {
            double from = x0[e];
            double to = x1[e];
            if (r0 < r1) {
                double slope = (x1[e] - x0[e]) / (y1[e] - y0[e]);
                double low = Math.max(ya, bottom + r * cell - 1e-9);
                double high = Math.min(yb, bottom + (r + 1) * cell + 1e-9);
                from = x0[e] + slope * (low - y0[e]);
                to = x0[e] + slope * (high - y0[e]);
            }
            int c1 = column(Math.max(from, to) + 1e-9);
            for (int c = column(Math.min(from, to) - 1e-9); c <= c1; c++) {
                visitor.visit(r * columns + c);
            }
        }
    }

    private int column(double x) {
        return (int) Math.max(0, Math.min(columns - 1, (x - left) / cell));
    }

    private int row(double y) {
        return (int) Math.max(0, Math.min(rows - 1, (y - bottom) / cell));
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
        return Math.abs(Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)) > CORNER;
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

    /** What a ray meets first. */
    record Hit(int edge, double distanceUm) {}

    /**
     * The nearest edge that a ray meets.
     *
     * @param ux x of the unit direction
     * @param uy y of it
     * @param fromUm distance from which edges count, um
     * @param mostUm distance up to which they count, um
     * @return the edge and its distance, or null if there is none
     */
    Hit ray(double x, double y, double ux, double uy, double fromUm, double mostUm) {
        double best = Double.MAX_VALUE;
        int edge = -1;
        double advance = cell;
        for (double walked = 0; walked <= mostUm && walked <= best + cell; walked += advance) {
            double ax = x + ux * walked;
            double ay = y + uy * walked;
            double bx = ax + ux * advance;
            double by = ay + uy * advance;
            int r1 = row(Math.max(ay, by));
            int c1 = column(Math.max(ax, bx));
            for (int r = row(Math.min(ay, by)); r <= r1; r++) {
                for (int c = column(Math.min(ax, bx)); c <= c1; c++) {
                    for (int q = start[r * columns + c]; q < start[r * columns + c + 1]; q++) {
                        double d = distance(items[q], x, y, ux, uy);
                        if (d >= fromUm && d <= mostUm && d < best) {
                            best = d;
                            edge = items[q];
                        }
                    }
                }
            }
        }
        return edge < 0 ? null : new Hit(edge, best);
    }

    private double distance(int e, double x, double y, double ux, double uy) {
        double ex = x1[e] - x0[e];
        double ey = y1[e] - y0[e];
        double cross = ux * ey - uy * ex;
        if (Math.abs(cross) < 1e-12 * (Math.abs(ex) + Math.abs(ey))) {
            return -1;
        }
        double wx = x0[e] - x;
        double wy = y0[e] - y;
        double along = (wx * uy - wy * ux) / cross;
        return along < -1e-9 || along > 1 + 1e-9 ? -1 : (wx * ey - wy * ex) / cross;
    }
}
