package evendose.layout;

import java.util.Arrays;

/**
 * The outline of a path as one polygon, before rounding. Works on primitive arrays and checks nothing; one instance serves
 * many paths, one after the other.
 *
 * <p>Under the non-zero rule the outline covers exactly the union of the segments' rectangles, the joins and the ends: it is
 * the sum of their outlines, all turning the same way, so nothing in it can cancel. Inner corners run through the spine's
 * point where the neighbouring segments are too short for a plain corner.
 *
 * <p>Joins are mitred, and neither side reaches farther ahead than half the width beyond the spine's point: corners of up to
 * 90 degrees are whole, sharper ones are cut off square to it. A fold back thus ends half a width beyond the fold.
 *
 * <p>Round ends are inscribed polygons: no farther from the half circle than half a dbu or a thousandth of its radius,
 * whichever is larger; so they lack at most
 * 0.14 % of its area where the radius is 500 dbu or more.
 */
final class PathOutline {
    private static final double ROUND_TOLERANCE_DBU = 0.5;
    private static final double ROUND_TOLERANCE = 1e-3;
    private static final double STRAIGHT = 1e-12;

    private double[] px = new double[16];
    private double[] py = new double[16];
    private double[] dx = new double[16];
    private double[] dy = new double[16];
    /** Segment lengths, extensions included. */
    private double[] length = new double[16];

    private double[] outline = new double[64];
    private int at;
    private double half;

    /** Whether the path covers any area, given a positive width. */
    static boolean hasArea(PathStyle style, long[] spine, int points) {
        double longest = 0;
        int distinct = 1;
        for (int i = 1; i < points; i++) {
            double step = Math.hypot(
                    (double) (spine[2 * i] - spine[2 * i - 2]), (double) (spine[2 * i + 1] - spine[2 * i - 1]));
            longest = Math.max(longest, step);
            distinct += step > 0 ? 1 : 0;
        }
        double extension = switch (style.end()) {
            case FLUSH -> 0;
            case ROUND, HALF_WIDTH -> style.width();
            case EXTENDED -> (double) style.beginExtension() + style.endExtension();
        };
        return distinct > 2 || longest + extension > 0;
    }

    /**
     * Outlines a path.
     *
     * @param magnification of the place where the path goes; the outline is in the path's own coordinates, so an absolute
     *     width is divided by it
     * @return number of points, read by {@link #xy()}
     */
    int outline(PathStyle style, long[] spine, int points, double magnification) {
        half = 0.5 * style.width() / (style.absolute() ? magnification : 1);
        int n = distinctPoints(spine, points);
        double begin = switch (style.end()) {
            case FLUSH, ROUND -> 0;
            case HALF_WIDTH -> half;
            case EXTENDED -> style.beginExtension();
        };
        double end = style.end() == PathStyle.End.EXTENDED ? style.endExtension() : begin;
        int segments = n - 1;
        if (segments == 0) {
            // A single point has no direction of its own; x serves.
            px[1] = px[0];
            py[1] = py[0];
            segments = 1;
            dx[0] = 1;
            dy[0] = 0;
            length[0] = 0;
        }
        if (segments > 1) {
            begin = Math.max(begin, -length[0]);
            end = Math.max(end, -length[segments - 1]);
        }
        length[0] += begin;
        length[segments - 1] += end;

        at = 0;
        boolean round = style.end() == PathStyle.End.ROUND;
        int last = segments - 1;
        put(px[0] - begin * dx[0] - half * dy[0], py[0] - begin * dy[0] + half * dx[0]);
        for (int i = 1; i < segments; i++) {
            join(i, 1, false);
        }
        double ex = px[segments] + end * dx[last];
        double ey = py[segments] + end * dy[last];
        put(ex - half * dy[last], ey + half * dx[last]);
        if (round) {
            arc(ex, ey, dx[last], dy[last]);
        }
        put(ex + half * dy[last], ey - half * dx[last]);
        for (int i = segments - 1; i >= 1; i--) {
            join(i, -1, true);
        }
        put(px[0] - begin * dx[0] + half * dy[0], py[0] - begin * dy[0] - half * dx[0]);
        if (round) {
            arc(px[0], py[0], -dx[0], -dy[0]);
        }
        return at / 2;
    }

    /** The latest outline: x0, y0, x1, y1, ...; valid until the next call. */
    double[] xy() {
        return outline;
    }

    private int distinctPoints(long[] spine, int points) {
        if (px.length < points + 1) {
            int size = Math.max(points + 1, 2 * px.length);
            px = new double[size];
            py = new double[size];
            dx = new double[size];
            dy = new double[size];
            length = new double[size];
        }
        px[0] = spine[0];
        py[0] = spine[1];
        int n = 1;
        for (int i = 1; i < points; i++) {
            double stepX = spine[2 * i] - px[n - 1];
            double stepY = spine[2 * i + 1] - py[n - 1];
            if (stepX == 0 && stepY == 0) {
                continue;
            }
            double step = Math.sqrt(stepX * stepX + stepY * stepY);
            length[n - 1] = step;
            dx[n - 1] = stepX / step;
            dy[n - 1] = stepY / step;
            px[n] = spine[2 * i];
            py[n] = spine[2 * i + 1];
            n++;
        }
        return n;
    }

    /** The outline's points beside spine point {@code i}, on the left ({@code side} 1) or right ({@code side} -1). */
    private void join(int i, int side, boolean backward) {
        double ax = dx[i - 1];
        double ay = dy[i - 1];
        double bx = dx[i];
        double by = dy[i];
        double cross = ax * by - ay * bx;
        double dot = ax * bx + ay * by;
        double offset = side * half;
        double beforeX = px[i] - offset * ay;
        double beforeY = py[i] + offset * ax;
        double afterX = px[i] - offset * by;
        double afterY = py[i] + offset * bx;
        if (Math.abs(cross) < STRAIGHT && dot > 0) {
            put(beforeX, beforeY);
            return;
        }
        // Tangent of half the turn: the offset lines meet this many half widths before (inside) or beyond (outside).
        double tangent = Math.abs(cross) / Math.max(1 + dot, Double.MIN_NORMAL);
        boolean foldBack = Math.abs(cross) < STRAIGHT;
        boolean inner = foldBack ? side < 0 : side * cross > 0;
        double shift = half * tangent;
        if (inner && !foldBack && shift <= length[i - 1] && shift <= length[i]) {
            put(beforeX - shift * ax, beforeY - shift * ay);
        } else if (inner) {
            put(backward ? afterX : beforeX, backward ? afterY : beforeY);
            put(px[i], py[i]);
            put(backward ? beforeX : afterX, backward ? beforeY : afterY);
        } else if (!foldBack && tangent <= 1 + STRAIGHT) {
            put(beforeX + shift * ax, beforeY + shift * ay);
        } else {
            double farBeforeX = beforeX + half * ax;
            double farBeforeY = beforeY + half * ay;
            double farAfterX = afterX - half * bx;
            double farAfterY = afterY - half * by;
            put(backward ? farAfterX : farBeforeX, backward ? farAfterY : farBeforeY);
            put(backward ? farBeforeX : farAfterX, backward ? farBeforeY : farAfterY);
        }
    }

    /** Points of the half circle about (x, y) from its left to its right, seen along (ux, uy), without its ends. */
    private void arc(double x, double y, double ux, double uy) {
        double sagitta = Math.max(ROUND_TOLERANCE_DBU, ROUND_TOLERANCE * half);
        double widest = 2 * StrictMath.acos(Math.max(0, 1 - sagitta / half));
        int parts = Math.max(4, (int) Math.ceil(Math.PI / widest));
        for (int k = 1; k < parts; k++) {
            double angle = Math.PI * k / parts;
            double along = half * StrictMath.sin(angle);
            double left = half * StrictMath.cos(angle);
            put(x + along * ux - left * uy, y + along * uy + left * ux);
        }
    }

    private void put(double x, double y) {
        if (at + 2 > outline.length) {
            outline = Arrays.copyOf(outline, 2 * outline.length);
        }
        outline[at++] = x;
        outline[at++] = y;
    }
}
