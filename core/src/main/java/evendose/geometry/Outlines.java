package evendose.geometry;

/** Exact properties of single polygons, given as {@code vertices} points at {@code xy[from], xy[from + 1], ...}. */
final class Outlines {
    private Outlines() {}

    /** Sign of the area: 1 if counter-clockwise, -1 if clockwise, 0 if the area vanishes. */
    static int orientation(long[] xy, int from, int vertices) {
        double x = xy[from];
        double y = xy[from + 1];
        double twice = 0;
        double size = 0;
        for (int i = from + 2; i + 2 < from + 2 * vertices; i += 2) {
            double there = (xy[i] - x) * (xy[i + 3] - y);
            double back = (xy[i + 2] - x) * (xy[i + 1] - y);
            twice += there - back;
            size += Math.abs(there) + Math.abs(back);
        }
        // What rounding may add: coordinates have less than 53 bits, so products and sums are off by half a bit each.
        if (Math.abs(twice) > vertices * 0x1p-51 * size) {
            return twice > 0 ? 1 : -1;
        }
        return exactOrientation(xy, from, vertices);
    }

    private static int exactOrientation(long[] xy, int from, int vertices) {
        long x0 = xy[from];
        long y0 = xy[from + 1];
        long high = 0;
        long low = 0;
        long ax = 0;
        long ay = 0;
        for (int i = 1; i < vertices; i++) {
            long bx = xy[from + 2 * i] - x0;
            long by = xy[from + 2 * i + 1] - y0;
            long sum = low + ax * by;
            high += Math.multiplyHigh(ax, by) + (Long.compareUnsigned(sum, low) < 0 ? 1 : 0);
            low = sum - bx * ay;
            high -= Math.multiplyHigh(bx, ay) + (Long.compareUnsigned(sum, bx * ay) < 0 ? 1 : 0);
            ax = bx;
            ay = by;
        }
        return high < 0 ? -1 : (high | low) == 0 ? 0 : 1;
    }

    /** Whether the polygon is certainly convex: it turns one way only and rises once. Then no winding cancels another. */
    static boolean convex(long[] xy, int from, int vertices) {
        int last = from + 2 * vertices - 2;
        long dx = 0;
        long dy = 0;
        for (int i = last; dx == 0 && dy == 0; i -= 2) {
            if (i == from) {
                return true;
            }
            dx = xy[from] - xy[i];
            dy = xy[from + 1] - xy[i + 1];
        }
        int turn = 0;
        int rises = 0;
        int vertical = 0;
        int firstVertical = 0;
        long px = xy[from];
        long py = xy[from + 1];
        for (int i = 1; i <= vertices; i++) {
            int at = i == vertices ? from : from + 2 * i;
            long ex = xy[at] - px;
            long ey = xy[at + 1] - py;
            if (ex == 0 && ey == 0) {
                continue;
            }
            px = xy[at];
            py = xy[at + 1];
            int side = Lines.compareProducts(dx, ey, ex, dy);
            if (side == 0) {
                if (Long.signum(dx) != Long.signum(ex) || Long.signum(dy) != Long.signum(ey)) {
                    return false;
                }
            } else if (turn == 0) {
                turn = side;
            } else if (turn != side) {
                return false;
            }
            int up = Long.signum(ey);
            if (up != 0) {
                if (firstVertical == 0) {
                    firstVertical = up;
                } else if (up > vertical) {
                    rises++;
                }
                vertical = up;
            }
            dx = ex;
            dy = ey;
        }
        if (firstVertical > vertical) {
            rises++;
        }
        return rises <= 1;
    }
}
