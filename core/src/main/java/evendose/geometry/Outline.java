package evendose.geometry;

import evendose.parallel.Workers;
import java.util.Arrays;
import java.util.stream.Stream;

/**
 * The outline of merged shapes as directed straight edges with the inside on their left, dbu. What the scan line cut is put
 * together again: collinear neighbours are one edge.
 *
 * <p>Edges of one contour are contiguous and in order: contour {@code c} holds edges {@code first(c)} to {@code first(c + 1) - 1},
 * and the last one ends where the first begins. Only exposed edges count: a side shared with another group is no outline, so a
 * contour may then be open.
 */
public final class Outline {
    /** Neighbours that deviate from one line by less than this, dbu, are one edge: where a side is cut, the merge moves it a little. */
    private static final double STRAIGHT = 0.02;

    /** The same where a vertex lies on the database grid, and so may be a drawn one: long sides bend by as little at real vertices. */
    private static final double EXACTLY_STRAIGHT = 1e-5;

    /** Trapezoids per part of parallel work. */
    private static final int PART = 1 << 14;

    private final EdgeBuffer edges = new EdgeBuffer();
    private int[] first = new int[64];
    private int contours;

    private Outline() {}

    /**
     * {@return the outline of all shapes, in the order of the shapes}
     *
     * @param merged merged shapes
     */
    public static Outline of(Trapezoids merged) {
        Outline outline = ofShapes(merged, 0, merged.shapes());
        outline.endContours();
        return outline;
    }

    /**
     * {@return the same}
     *
     * @param merged merged shapes
     * @param workers threads to compute on
     */
    public static Outline of(Trapezoids merged, Workers workers) {
        int[] start = merged.shapeRanges(PART);
        Outline[] parts = new Outline[start.length - 1];
        workers.run(parts.length, p -> parts[p] = ofShapes(merged, start[p], start[p + 1]));
        Outline outline = new Outline();
        outline.edges.reserve(Stream.of(parts).mapToInt(Outline::size).sum());
        for (int p = 0; p < parts.length; p++) {
            outline.addAll(parts[p]);
            parts[p] = null;
        }
        outline.endContours();
        return outline;
    }

    private static Outline ofShapes(Trapezoids merged, int from, int to) {
        Outline outline = new Outline();
        Builder builder = new Builder();
        for (int s = from; s < to; s++) {
            builder.shape(merged, s, outline);
        }
        return outline;
    }

    private void addAll(Outline other) {
        if (contours + other.contours >= first.length) {
            first = Arrays.copyOf(first, Math.max(contours + other.contours + 1, 2 * first.length));
        }
        for (int c = 0; c < other.contours; c++) {
            first[contours++] = edges.size() + other.first[c];
        }
        edges.addAll(other.edges);
    }

    /** {@return number of edges} */
    public int size() {
        return edges.size();
    }

    /** {@return number of contours} */
    public int contours() {
        return contours;
    }

    /**
     * {@return first edge of contour {@code c}; {@code c} may equal {@link #contours()}}
     *
     * @param c number of the contour
     */
    public int first(int c) {
        return first[c];
    }

    /**
     * {@return x of the start of edge {@code e}, dbu}
     *
     * @param e number of the edge, from 0
     */
    public double x0(int e) {
        return edges.x0(e);
    }

    /**
     * {@return y of the start of edge {@code e}, dbu}
     *
     * @param e number of the edge, from 0
     */
    public double y0(int e) {
        return edges.y0(e);
    }

    /**
     * {@return x of the end of edge {@code e}, dbu}
     *
     * @param e number of the edge, from 0
     */
    public double x1(int e) {
        return edges.x1(e);
    }

    /**
     * {@return y of the end of edge {@code e}, dbu}
     *
     * @param e number of the edge, from 0
     */
    public double y1(int e) {
        return edges.y1(e);
    }

    /**
     * {@return shape that edge {@code e} bounds}
     *
     * @param e number of the edge, from 0
     */
    public int shape(int e) {
        return edges.owner(e);
    }

    /**
     * {@return length of edge {@code e}, dbu}
     *
     * @param e number of the edge, from 0
     */
    public double length(int e) {
        return edges.length(e);
    }

    private void beginContour() {
        if (contours + 1 >= first.length) {
            first = Arrays.copyOf(first, 2 * first.length);
        }
        first[contours++] = edges.size();
    }

    private void endContours() {
        first[contours] = edges.size();
    }

    /** Collects the exposed sides of one shape after the other and chains them. */
    private static final class Builder {
        private final EdgeBuffer sides = new EdgeBuffer();
        private final EdgeLinks links = new EdgeLinks();
        private double[] px = new double[65];
        private double[] py = new double[65];

        void shape(Trapezoids t, int s, Outline outline) {
            sides.clear();
            sides.reserve(t.mostSides(s));
            for (int i = t.first(s); i < t.first(s + 1); i++) {
                if (t.rightExposed(i)) {
                    sides.add(t.xRightBottom(i), t.yBottom(i), t.xRightTop(i), t.yTop(i), s);
                }
                if (t.leftExposed(i)) {
                    sides.add(t.xLeftTop(i), t.yTop(i), t.xLeftBottom(i), t.yBottom(i), s);
                }
                for (int e = t.exposedFirst(i); e < t.exposedFirst(i + 1); e++) {
                    if (t.exposedOnTop(e)) {
                        sides.add(t.exposedTo(e), t.yTop(i), t.exposedFrom(e), t.yTop(i), s);
                    } else {
                        sides.add(t.exposedFrom(e), t.yBottom(i), t.exposedTo(e), t.yBottom(i), s);
                    }
                }
            }
            int n = sides.size();
            links.link(sides);
            int[] next = links.next();
            boolean[] followed = new boolean[n];
            for (int e = 0; e < n; e++) {
                if (next[e] >= 0) {
                    followed[next[e]] = true;
                }
            }
            boolean[] seen = new boolean[n];
            // Open chains first, from their beginnings; what is left are closed ones.
            for (int e = 0; e < n; e++) {
                if (!followed[e]) {
                    contour(e, next, seen, s, outline);
                }
            }
            for (int e = 0; e < n; e++) {
                if (!seen[e]) {
                    contour(e, next, seen, s, outline);
                }
            }
        }

        /** Follows the chain from edge {@code e}, dropping points that lie on a straight line between their neighbours. */
        private void contour(int e, int[] next, boolean[] seen, int s, Outline outline) {
            int points = 0;
            int last = e;
            for (int k = e; k >= 0 && !seen[k]; k = next[k]) {
                seen[k] = true;
                last = k;
                points = point(points, sides.x0(k), sides.y0(k));
            }
            boolean closed = next[last] == e;
            if (!closed) {
                points = point(points, sides.x1(last), sides.y1(last));
            }
            int kept = straighten(points, closed);
            outline.beginContour();
            outline.edges.reserve(kept);
            for (int k = 0; k + 1 < kept; k++) {
                outline.edges.add(px[k], py[k], px[k + 1], py[k + 1], s);
            }
            if (closed && kept > 1) {
                outline.edges.add(px[kept - 1], py[kept - 1], px[0], py[0], s);
            }
        }

        private int point(int points, double x, double y) {
            if (points == px.length) {
                px = Arrays.copyOf(px, 2 * points);
                py = Arrays.copyOf(py, 2 * points);
            }
            px[points] = x;
            py[points] = y;
            return points + 1;
        }

        private int straighten(int points, boolean closed) {
            int start = 0;
            if (closed) {
                // Begin at a real vertex, so that the first edge is whole.
                while (start < points && onLine((start + points - 1) % points, start, (start + 1) % points)) {
                    start++;
                }
                rotate(points, start == points ? 0 : start);
            }
            int kept = 0;
            for (int k = 0; k < points; k++) {
                boolean end = k == 0 || (!closed && k == points - 1);
                int after = (k + 1) % points;
                if (end || !onLine(kept - 1, k, after)) {
                    px[kept] = px[k];
                    py[kept++] = py[k];
                }
            }
            return kept;
        }

        private void rotate(int points, int start) {
            if (start == 0) {
                return;
            }
            double[] x = new double[points];
            double[] y = new double[points];
            for (int k = 0; k < points; k++) {
                x[k] = px[(k + start) % points];
                y[k] = py[(k + start) % points];
            }
            System.arraycopy(x, 0, px, 0, points);
            System.arraycopy(y, 0, py, 0, points);
        }

        private boolean onLine(int before, int at, int after) {
            double ux = px[after] - px[before];
            double uy = py[after] - py[before];
            double vx = px[at] - px[before];
            double vy = py[at] - py[before];
            double length = Math.hypot(ux, uy);
            boolean between = ux * vx + uy * vy >= 0 && ux * vx + uy * vy <= length * length;
            double bend = isWhole(px[at]) && isWhole(py[at]) ? EXACTLY_STRAIGHT : STRAIGHT;
            return between && Math.abs(ux * vy - uy * vx) <= bend * length;
        }

        private static boolean isWhole(double dbu) {
            return Math.abs(dbu - Math.rint(dbu)) < EXACTLY_STRAIGHT;
        }
    }
}
