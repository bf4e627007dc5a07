package evendose.pieces;

import evendose.geometry.EdgeBuffer;
import evendose.geometry.EdgeLinks;
import evendose.geometry.Trapezoids;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;

/**
 * Puts the outline of one merged shape together again as closed rings in grid units, seams to other groups included: what the scan
 * line cut is joined, drawn vertices are left and rounded to the grid. One instance serves one thread.
 */
final class ShapeRings {
    /** Vertices that deviate from one line by less than this, dbu, come from cuts; crossings moved to the merge's height grid count. */
    private static final double STRAIGHT = 0.02;

    /** The same where every drawn vertex is to stay. */
    private static final double EXACTLY_STRAIGHT = 1e-5;

    /** Level sides no longer than this, dbu, come from rounding; ends this close are linked as one point. */
    private static final double SHORTEST = 0.009;

    /** Turn, looked at over a length that noise of the grid does not bend, that makes a sharp corner: 30 degrees. */
    private static final double SHARP = Math.cos(Math.toRadians(30));

    /** Turn at the end of a straight side that must stay: 2 degrees. */
    private static final double TURN = Math.cos(Math.toRadians(2));

    /** A side so many times as long as its neighbour is a straight one, not a part of a drawn curve. */
    private static final double LONGER = 4;

    /** The shape's rings. */
    final List<Ring> rings = new ArrayList<>();

    /** Edges of the rings, by their numbers there: what cuts are placed on, however often an edge has been cut before. */
    final EdgeBuffer drawn = new EdgeBuffer();

    /** Area that rounding of drawn vertices has added, square grid units. */
    double addedArea;

    private final Trapezoids merged;
    private final double gridPerDbu;
    private final boolean exact;
    private final double chord;
    private final double straight;
    private final boolean oneGroup;

    /** Sides of the shape; the number of each is {@link Ring#EXPOSED} or 0. */
    private final EdgeBuffer sides = new EdgeBuffer();

    private final EdgeLinks links = new EdgeLinks();
    private double[] px = new double[64];
    private double[] py = new double[64];
    private byte[] exposed = new byte[64];

    /**
     * For shapes of {@code merged}.
     *
     * @param gridPerDbu grid units per database unit
     * @param exact whether vertices keep their place
     * @param tolerance how far pieces may stray from the outline, grid units
     */
    ShapeRings(Trapezoids merged, boolean oneGroup, double gridPerDbu, boolean exact, double tolerance) {
        this.merged = merged;
        this.oneGroup = oneGroup;
        this.gridPerDbu = gridPerDbu;
        this.exact = exact;
        // Over this length, rounding of vertices turns a chord by a few degrees only.
        this.chord = Math.max(40 * tolerance, 20);
        this.straight = Math.max(2000 * tolerance, 1000);
    }

    /** Whether all trapezoids are of one group and touch no other, so that every side of a shape is exposed. */
    static boolean isOneGroup(Trapezoids merged) {
        for (int i = 0; i < merged.size(); i++) {
            if (merged.group(i) != merged.group(0) || !merged.leftExposed(i) || !merged.rightExposed(i)) {
                return false;
            }
        }
        return true;
    }

    /** Collects the rings of a shape, given by the numbers of its parts. */
    void collect(int... parts) {
        rings.clear();
        drawn.clear();
        sides.clear();
        double area = 0;
        for (int s : parts) {
            area += collectSides(s);
        }
        links.link(sides);
        int[] next = links.next();
        int n = sides.size();
        closeGaps(next, n);
        if (px.length < n) {
            int room = Math.max(n, 2 * px.length);
            px = new double[room];
            py = new double[room];
            exposed = new byte[room];
        }
        int[] former = new int[n];
        Arrays.fill(former, -1);
        for (int e = 0; e < n; e++) {
            if (next[e] >= 0) {
                former[next[e]] = e;
            }
        }
        boolean[] seen = new boolean[n];
        double kept = 0;
        for (int e = 0; e < n; e++) {
            int points = 0;
            for (int k = e; k >= 0 && !seen[k]; k = next[k]) {
                seen[k] = true;
                points = point(points, former[k], k);
            }
            if (points > 2) {
                Ring ring = ring(points);
                if (ring.close()) {
                    markCorners(ring);
                    number(ring);
                    kept += ring.area();
                    rings.add(ring);
                }
            }
        }
        addedArea = kept - area * gridPerDbu * gridPerDbu;
    }

    /** Adds the sides of a part; its area. */
    private double collectSides(int s) {
        double area = 0;
        sides.reserve(merged.mostSides(s));
        for (int i = merged.first(s); i < merged.first(s + 1); i++) {
            area += merged.area(i);
            sides.add(
                    merged.xRightBottom(i),
                    merged.yBottom(i),
                    merged.xRightTop(i),
                    merged.yTop(i),
                    merged.rightExposed(i) ? Ring.EXPOSED : 0);
            sides.add(
                    merged.xLeftTop(i),
                    merged.yTop(i),
                    merged.xLeftBottom(i),
                    merged.yBottom(i),
                    merged.leftExposed(i) ? Ring.EXPOSED : 0);
            if (oneGroup) {
                for (int e = merged.exposedFirst(i); e < merged.exposedFirst(i + 1); e++) {
                    addLevelSide(i, merged.exposedOnTop(e), merged.exposedFrom(e), merged.exposedTo(e), Ring.EXPOSED);
                }
            }
        }
        if (!oneGroup) {
            addLevelSides(s);
        }
        return area;
    }

    private void addLevelSide(int i, boolean top, double from, double to, int mark) {
        double y = top ? merged.yTop(i) : merged.yBottom(i);
        if (top) {
            sides.add(to, y, from, y, mark);
        } else {
            sides.add(from, y, to, y, mark);
        }
    }

    /** Level sides lie where bottoms and tops of the shape's trapezoids do not meet. */
    private void addLevelSides(int s) {
        List<LevelEnd> ends = new ArrayList<>();
        for (int i = merged.first(s); i < merged.first(s + 1); i++) {
            if (merged.xRightBottom(i) > merged.xLeftBottom(i)) {
                ends.add(new LevelEnd(merged.yBottom(i), merged.xLeftBottom(i), i, false, true));
                ends.add(new LevelEnd(merged.yBottom(i), merged.xRightBottom(i), i, false, false));
            }
            if (merged.xRightTop(i) > merged.xLeftTop(i)) {
                ends.add(new LevelEnd(merged.yTop(i), merged.xLeftTop(i), i, true, true));
                ends.add(new LevelEnd(merged.yTop(i), merged.xRightTop(i), i, true, false));
            }
        }
        ends.sort(Comparator.comparingDouble(LevelEnd::y).thenComparingDouble(LevelEnd::x));
        int below = -1;
        int above = -1;
        for (int k = 0; k + 1 < ends.size(); k++) {
            LevelEnd end = ends.get(k);
            LevelEnd following = ends.get(k + 1);
            if (end.top) {
                below = end.begins ? end.trapezoid : below == end.trapezoid ? -1 : below;
            } else {
                above = end.begins ? end.trapezoid : above == end.trapezoid ? -1 : above;
            }
            if (following.y == end.y && following.x - end.x > SHORTEST && (below < 0) != (above < 0)) {
                addLevelSide(Math.max(below, above), above < 0, end.x, following.x);
            }
        }
    }

    private record LevelEnd(double y, double x, int trapezoid, boolean top, boolean begins) {}

    /** A level side in parts, exposed and not. */
    private void addLevelSide(int i, boolean top, double from, double to) {
        double x = from;
        for (int e = merged.exposedFirst(i); e < merged.exposedFirst(i + 1); e++) {
            if (merged.exposedOnTop(e) == top) {
                double a = Math.max(x, merged.exposedFrom(e));
                double b = Math.min(to, merged.exposedTo(e));
                if (b - a > SHORTEST) {
                    if (a - x > SHORTEST) {
                        addLevelSide(i, top, x, a, 0);
                    } else {
                        a = x;
                    }
                    addLevelSide(i, top, a, b, Ring.EXPOSED);
                    x = b;
                }
            }
        }
        if (to - x > SHORTEST) {
            addLevelSide(i, top, x, to, 0);
        }
    }

    /** Links ends that found no beginning to the nearest beginning without an end: short exposed parts are left out by the merge. */
    private void closeGaps(int[] next, int n) {
        int open = 0;
        for (int e = 0; e < n; e++) {
            open += next[e] < 0 ? 1 : 0;
        }
        if (open == 0) {
            return;
        }
        boolean[] followed = new boolean[n];
        for (int e = 0; e < n; e++) {
            if (next[e] >= 0) {
                followed[next[e]] = true;
            }
        }
        for (int e = 0; e < n; e++) {
            if (next[e] < 0) {
                double nearest = Double.MAX_VALUE;
                for (int f = 0; f < n; f++) {
                    double away = Math.hypot(sides.x0(f) - sides.x1(e), sides.y0(f) - sides.y1(e));
                    if (!followed[f] && away < nearest) {
                        nearest = away;
                        next[e] = f;
                    }
                }
                followed[next[e]] = true;
            }
        }
    }

    /**
     * Adds the point where a side begins. The height of a crossing is rounded, so sides that meet there end a little beside each other; the point
     * is that of the steeper one, which is bent least by it.
     */
    private int point(int points, int former, int side) {
        boolean isFormers = former >= 0 && sides.y1(former) == sides.y0(side) && isSteeper(former, side);
        px[points] = isFormers ? sides.x1(former) : sides.x0(side);
        py[points] = sides.y0(side);
        exposed[points] = (byte) sides.owner(side);
        return points + 1;
    }

    private boolean isSteeper(int a, int b) {
        return Math.abs(sides.x1(a) - sides.x0(a)) * Math.abs(sides.y1(b) - sides.y0(b))
                < Math.abs(sides.x1(b) - sides.x0(b)) * Math.abs(sides.y1(a) - sides.y0(a));
    }

    /** The ring through the points found, without those that only a cut has made. */
    private Ring ring(int points) {
        int start = 0;
        while (start < points && isCut((start + points - 1) % points, start, (start + 1) % points)) {
            start++;
        }
        start %= points;
        int[] kept = new int[points];
        int count = 0;
        for (int step = 0; step < points; step++) {
            int k = (start + step) % points;
            if (step == 0 || !isCut(kept[count - 1], k, (k + 1) % points)) {
                kept[count++] = k;
            }
        }
        Ring ring = new Ring(count);
        for (int i = 0; i < count; i++) {
            int k = kept[i];
            ring.add(toGrid(px[k]), toGrid(py[k]), exposed[k], k);
        }
        return ring;
    }

    private double toGrid(double dbu) {
        return exact ? dbu * gridPerDbu : Math.rint(dbu * gridPerDbu);
    }

    private boolean isCut(int before, int at, int after) {
        double ux = px[after] - px[before];
        double uy = py[after] - py[before];
        double vx = px[at] - px[before];
        double vy = py[at] - py[before];
        double square = ux * ux + uy * uy;
        double along = ux * vx + uy * vy;
        double aside = ux * vy - uy * vx;
        double bend = exact || isWhole(at) ? EXACTLY_STRAIGHT : STRAIGHT;
        return exposed[before] == exposed[at] && along >= 0 && along <= square && aside * aside <= bend * bend * square;
    }

    /** Whether a point lies on the database grid, as drawn vertices do: beside a cut one bends the outline no more than the cut does. */
    private boolean isWhole(int point) {
        return Math.abs(px[point] - Math.rint(px[point])) < EXACTLY_STRAIGHT
                && Math.abs(py[point] - Math.rint(py[point])) < EXACTLY_STRAIGHT;
    }

    /** Gives the ring's edges their numbers, drawn from where their ends were before they were rounded. */
    private void number(Ring r) {
        drawn.reserve(r.size);
        for (int k = 0; k < r.size; k++) {
            int next = r.drawn[k + 1 == r.size ? 0 : k + 1];
            int point = r.drawn[k];
            drawn.add(px[point] * gridPerDbu, py[point] * gridPerDbu, px[next] * gridPerDbu, py[next] * gridPerDbu, 0);
        }
        for (int k = 0; k < r.size; k++) {
            r.drawn[k] = drawn.size() - r.size + k;
        }
    }

    private void markCorners(Ring r) {
        int n = r.size;
        for (int k = 0; k < n; k++) {
            int before = k == 0 ? n - 1 : k - 1;
            if ((r.mark[k] & Ring.EXPOSED) != (r.mark[before] & Ring.EXPOSED)
                    || endsStraight(r, before, k)
                    || isSharp(r, k)) {
                r.mark[k] |= Ring.CORNER;
            }
        }
    }

    private boolean endsStraight(Ring r, int before, int k) {
        int after = k + 1 == r.size ? 0 : k + 1;
        double ux = r.x[k] - r.x[before];
        double uy = r.y[k] - r.y[before];
        double vx = r.x[after] - r.x[k];
        double vy = r.y[after] - r.y[k];
        double u = Math.sqrt(ux * ux + uy * uy);
        double v = Math.sqrt(vx * vx + vy * vy);
        return Math.max(u, v) >= straight
                && (Math.max(u, v) >= LONGER * Math.min(u, v) || ux * vx + uy * vy < TURN * u * v);
    }

    private boolean isSharp(Ring r, int k) {
        double ux = 0;
        double uy = 0;
        double vx = 0;
        double vy = 0;
        int n = r.size;
        int j = k;
        double left = chord;
        for (int steps = 0; left > 0 && steps < n; steps++) {
            int after = j + 1 == n ? 0 : j + 1;
            double dx = r.x[after] - r.x[j];
            double dy = r.y[after] - r.y[j];
            double length = Math.sqrt(dx * dx + dy * dy);
            double f = Math.min(1, left / length);
            vx += f * dx;
            vy += f * dy;
            left -= length;
            j = after;
        }
        j = k;
        left = chord;
        for (int steps = 0; left > 0 && steps < n; steps++) {
            int before = j == 0 ? n - 1 : j - 1;
            double dx = r.x[j] - r.x[before];
            double dy = r.y[j] - r.y[before];
            double length = Math.sqrt(dx * dx + dy * dy);
            double f = Math.min(1, left / length);
            ux += f * dx;
            uy += f * dy;
            left -= length;
            j = before;
        }
        return ux * vx + uy * vy < SHARP * Math.sqrt((ux * ux + uy * uy) * (vx * vx + vy * vy));
    }
}
