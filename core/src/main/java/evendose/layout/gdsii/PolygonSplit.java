package evendose.layout.gdsii;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Deque;
import java.util.List;

/**
 * Cuts polygons of very many points into smaller ones.
 *
 * <p>A polygon is clipped against both sides of a line through the median of its vertices (I. E. Sutherland, G. W. Hodgman,
 * Commun. ACM 17, 32 (1974)), again and again. Where the polygon crosses the line several times, the parts hang together by
 * edges along the line that run to and fro; so the winding numbers stay what they were, also for polygons that touch or cross
 * themselves.
 */
final class PolygonSplit {
    private PolygonSplit() {}

    /** Parts of at most {@code most} points each. Checks nothing. */
    static List<long[]> split(long[] xy, int points, int most) {
        List<long[]> parts = new ArrayList<>();
        Deque<long[]> pending = new ArrayDeque<>();
        pending.push(Arrays.copyOf(xy, 2 * points));
        while (!pending.isEmpty()) {
            long[] polygon = pending.pop();
            if (polygon.length <= 2 * most) {
                parts.add(polygon);
                continue;
            }
            long[][] best = null;
            for (int axis = 0; axis < 2; axis++) {
                long[][] halves = halve(polygon, axis);
                if (best == null || larger(halves) < larger(best)) {
                    best = halves;
                }
            }
            if (larger(best) >= polygon.length) {
                throw new IllegalArgumentException(
                        "a polygon of " + polygon.length / 2 + " points cannot be cut into smaller ones");
            }
            for (int i = 1; i >= 0; i--) {
                if (best[i].length >= 6) {
                    pending.push(best[i]);
                }
            }
        }
        return parts;
    }

    private static int larger(long[][] halves) {
        return Math.max(halves[0].length, halves[1].length);
    }

    private static long[][] halve(long[] polygon, int axis) {
        int n = polygon.length / 2;
        long[] values = new long[n];
        for (int i = 0; i < n; i++) {
            values[i] = polygon[2 * i + axis];
        }
        Arrays.sort(values);
        // A line through the middle of the bounding values where the median is the edge itself, else through the
        // median.
        long cut = values[n / 2];
        if (cut == values[0] || cut == values[n - 1]) {
            cut = Math.floorDiv(values[0] + values[n - 1], 2);
        }
        return new long[][] {clip(polygon, axis, cut, -1), clip(polygon, axis, cut, 1)};
    }

    /** The part where {@code side * (coordinate - cut) >= 0}. */
    private static long[] clip(long[] polygon, int axis, long cut, int side) {
        int n = polygon.length / 2;
        long[] result = new long[polygon.length + 16];
        int at = 0;
        long px = polygon[2 * n - 2];
        long py = polygon[2 * n - 1];
        for (int i = 0; i < n; i++) {
            long qx = polygon[2 * i];
            long qy = polygon[2 * i + 1];
            long before = side * ((axis == 0 ? px : py) - cut);
            long after = side * ((axis == 0 ? qx : qy) - cut);
            if (at + 4 > result.length) {
                result = Arrays.copyOf(result, 2 * result.length);
            }
            if ((before < 0 && after > 0) || (before > 0 && after < 0)) {
                // Taken from the same end whichever way the edge runs, so that edges to and fro still cancel.
                boolean swap = px > qx || (px == qx && py > qy);
                long ax = swap ? qx : px;
                long ay = swap ? qy : py;
                long bx = swap ? px : qx;
                long by = swap ? py : qy;
                long crossing = axis == 0
                        ? ay + Math.round((double) (by - ay) * (cut - ax) / (bx - ax))
                        : ax + Math.round((double) (bx - ax) * (cut - ay) / (by - ay));
                at = put(result, at, axis == 0 ? cut : crossing, axis == 0 ? crossing : cut);
            }
            if (after >= 0) {
                at = put(result, at, qx, qy);
            }
            px = qx;
            py = qy;
        }
        while (at > 2 && result[0] == result[at - 2] && result[1] == result[at - 1]) {
            at -= 2;
        }
        return Arrays.copyOf(result, at);
    }

    /** Adds a point unless it repeats the one before; drops a point that turned out to lie amid a run along an axis. */
    private static int put(long[] result, int at, long x, long y) {
        if (at >= 2 && result[at - 2] == x && result[at - 1] == y) {
            return at;
        }
        if (at >= 4) {
            boolean vertical = result[at - 4] == x && result[at - 2] == x;
            boolean horizontal = result[at - 3] == y && result[at - 1] == y;
            if (vertical || horizontal) {
                // Three points in a row: the middle one adds nothing to the winding, wherever it lies.
                result[at - 2] = x;
                result[at - 1] = y;
                boolean back = result[at - 4] == x && result[at - 3] == y;
                return back ? at - 2 : at;
            }
        }
        result[at] = x;
        result[at + 1] = y;
        return at + 2;
    }
}
