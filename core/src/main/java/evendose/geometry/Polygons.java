package evendose.geometry;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.function.IntUnaryOperator;

/**
 * A growing list of polygons in database units, stored flat: no object per polygon.
 *
 * <p>Each polygon carries a group number. Groups are the roles that shapes play in one exposure (for instance one per
 * layer); where polygons of different groups overlap, the lowest group number owns the place. Axis-parallel rectangles take
 * four numbers, other polygons two per vertex. Closing edges are implied.
 *
 * <p>Coordinates may be at most {@link #MAX_COORDINATE} in magnitude, so that the scan line's exact arithmetic holds.
 *
 * <p>Storage: data is a list of blocks of {@code long}. An entry is a header {@code (vertices << 16) | group} followed by
 * {@code x0, y0, x1, y1} (lower-left, upper-right) if {@code vertices == 0} (a rectangle), else by
 * {@code x0, y0, x1, y1, ...}. An entry never straddles two blocks.
 */
public final class Polygons implements PolygonSink {
    /** Largest magnitude of a coordinate, in dbu. */
    public static final long MAX_COORDINATE = 1L << 42;

    /** Largest group number. */
    public static final int MAX_GROUP = 0xffff;

    private static final int FIRST_BLOCK = 1 << 6;
    private static final int BLOCK = 1 << 20;

    private final List<long[]> blocks = new ArrayList<>();
    private final List<Integer> used = new ArrayList<>();
    private long[] block = new long[0];
    private int at;
    private long size;
    private long left = Long.MAX_VALUE;
    private long bottom = Long.MAX_VALUE;
    private long right = Long.MIN_VALUE;
    private long top = Long.MIN_VALUE;

    /** {@return number of polygons} */
    public long size() {
        return size;
    }

    /** {@return smallest x, dbu; {@code Long.MAX_VALUE} when empty} */
    public long left() {
        return left;
    }

    /** {@return smallest y, dbu; {@code Long.MAX_VALUE} when empty} */
    public long bottom() {
        return bottom;
    }

    /** {@return largest x, dbu; {@code Long.MIN_VALUE} when empty} */
    public long right() {
        return right;
    }

    /** {@return largest y, dbu; {@code Long.MIN_VALUE} when empty} */
    public long top() {
        return top;
    }

    /**
     * Adds an axis-parallel rectangle given by any two opposite corners. One without area is dropped.
     *
     * @param group number of its group
     * @param xa x of a corner, dbu
     * @param ya y of this corner, dbu
     * @param xb x of the opposite corner, dbu
     * @param yb y of the opposite corner, dbu
     * @throws IllegalArgumentException if the group or a coordinate is out of range
     */
    @Override
    public void addRectangle(int group, long xa, long ya, long xb, long yb) {
        checkGroup(group);
        check(xa);
        check(ya);
        check(xb);
        check(yb);
        if (xa == xb || ya == yb) {
            return;
        }
        reserve(5);
        block[at++] = group;
        block[at++] = Math.min(xa, xb);
        block[at++] = Math.min(ya, yb);
        block[at++] = Math.max(xa, xb);
        block[at++] = Math.max(ya, yb);
        extend(xa, ya);
        extend(xb, yb);
        size++;
    }

    /**
     * Adds a polygon; a repeated closing point is accepted. Four-point rectangles are recognised. Polygons with fewer than
     * three distinct points are dropped.
     *
     * @param group number of its group
     * @param xy x0, y0, x1, y1, ... in dbu
     * @param points number of points taken from {@code xy}
     * @throws IllegalArgumentException if the group or a coordinate is out of range
     */
    @Override
    public void addPolygon(int group, long[] xy, int points) {
        checkGroup(group);
        int n = points;
        while (n > 1 && xy[0] == xy[2 * n - 2] && xy[1] == xy[2 * n - 1]) {
            n--;
        }
        if (n < 3) {
            return;
        }
        if (n == 4 && isRectangle(xy)) {
            addRectangle(group, xy[0], xy[1], xy[4], xy[5]);
            return;
        }
        for (int i = 0; i < 2 * n; i++) {
            check(xy[i]);
        }
        reserve(2 * n + 1);
        block[at++] = ((long) n << 16) | group;
        System.arraycopy(xy, 0, block, at, 2 * n);
        at += 2 * n;
        for (int i = 0; i < n; i++) {
            extend(xy[2 * i], xy[2 * i + 1]);
        }
        size++;
    }

    /**
     * Adds the polygons of another list.
     *
     * @param others the polygons
     * @param group gives the group of each here, from its group there
     * @throws IllegalArgumentException if a group is out of range
     */
    public void addAll(Polygons others, IntUnaryOperator group) {
        others.forEach(new Visitor() {
            @Override
            public void rectangle(int g, long x0, long y0, long x1, long y1) {
                addRectangle(group.applyAsInt(g), x0, y0, x1, y1);
            }

            @Override
            public void polygon(int g, long[] xy, int from, int vertices) {
                addPolygon(group.applyAsInt(g), Arrays.copyOfRange(xy, from, from + 2 * vertices), vertices);
            }
        });
    }

    /**
     * Shows all polygons to {@code visitor}, in the order they were added.
     *
     * @param visitor is shown them
     */
    public void forEach(Visitor visitor) {
        for (int b = 0; b < blocks.size(); b++) {
            long[] data = blocks.get(b);
            int end = blockEnd(b);
            for (int i = 0; i < end; ) {
                int group = (int) (data[i] & MAX_GROUP);
                int vertices = (int) (data[i] >>> 16);
                i++;
                if (vertices == 0) {
                    visitor.rectangle(group, data[i], data[i + 1], data[i + 2], data[i + 3]);
                    i += 4;
                } else {
                    visitor.polygon(group, data, i, vertices);
                    i += 2 * vertices;
                }
            }
        }
    }

    /** Sees polygons one by one. */
    public interface Visitor {
        /**
         * A rectangle with {@code x0 < x1} and {@code y0 < y1}.
         *
         * @param group number of its group
         * @param x0 left end, dbu
         * @param y0 lower end, dbu
         * @param x1 right end, dbu
         * @param y1 upper end, dbu
         */
        void rectangle(int group, long x0, long y0, long x1, long y1);

        /**
         * A polygon of {@code vertices} points at {@code xy[from], xy[from + 1], ...}; the array must not be changed or
         * kept.
         *
         * @param group number of its group
         * @param xy x and y of the corners in turn, dbu
         * @param from index of the first coordinate
         * @param vertices number of corners
         */
        void polygon(int group, long[] xy, int from, int vertices);
    }

    /** Number of storage blocks. */
    int blocks() {
        return blocks.size();
    }

    /** Storage block {@code b}, see the class comment. */
    long[] block(int b) {
        return blocks.get(b);
    }

    /** Where the used part of block {@code b} ends. */
    int blockEnd(int b) {
        return b == blocks.size() - 1 ? at : used.get(b);
    }

    private static boolean isRectangle(long[] p) {
        boolean horizontalFirst = p[1] == p[3] && p[2] == p[4] && p[5] == p[7] && p[6] == p[0];
        boolean verticalFirst = p[0] == p[2] && p[3] == p[5] && p[4] == p[6] && p[7] == p[1];
        return horizontalFirst || verticalFirst;
    }

    private void reserve(int length) {
        if (at + length > block.length) {
            if (!blocks.isEmpty()) {
                used.add(at);
            }
            block = new long[Math.max(Math.min(BLOCK, Math.max(FIRST_BLOCK, 16 * block.length)), length)];
            blocks.add(block);
            at = 0;
        }
    }

    private void extend(long x, long y) {
        left = Math.min(left, x);
        right = Math.max(right, x);
        bottom = Math.min(bottom, y);
        top = Math.max(top, y);
    }

    private static void checkGroup(int group) {
        if (group < 0 || group > MAX_GROUP) {
            throw new IllegalArgumentException("group " + group + " is outside 0 to " + MAX_GROUP);
        }
    }

    private static void check(long c) {
        if (c > MAX_COORDINATE || c < -MAX_COORDINATE) {
            throw new IllegalArgumentException("coordinate " + c + " dbu is beyond +-" + MAX_COORDINATE);
        }
    }

    @Override
    public String toString() {
        return "Polygons[" + size + "]";
    }
}
