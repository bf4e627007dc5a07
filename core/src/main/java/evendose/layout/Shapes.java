package evendose.layout;

import java.io.Serializable;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;

/**
 * The shapes of one cell on one layer, stored flat: a rectangle takes 20 bytes, a polygon or path eight a point.
 *
 * <p>Coordinates are dbu. They are kept in 32 bits where they fit and in 64 where they do not.
 *
 * <p>A shape may be repeated; it is stored once then, counted as often as it occurs, and shown copy by copy.
 *
 * <p>Storage: a list of blocks of {@code int}. An entry is a header {@code points << 4 | repeated << 3 | wide << 2 | kind},
 * for a path the index of its style, if {@code repeated} the index of its repetition, and the coordinates: one {@code int}
 * each, or two (low half first) if {@code wide}. A rectangle has the points lower-left and upper-right. An entry never
 * straddles two blocks.
 *
 * @serial exclude
 */
public final class Shapes implements Serializable {
    private static final long serialVersionUID = 1L;

    private static final int RECTANGLE = 0;
    private static final int POLYGON = 1;
    private static final int PATH = 2;
    private static final int WIDE = 4;
    private static final int REPEATED = 8;
    private static final int POINTS_SHIFT = 4;
    private static final int PLAIN_RECTANGLE = 2 << POINTS_SHIFT | RECTANGLE;
    private static final int MAX_POINTS = 1 << 27;
    private static final int FIRST_BLOCK = 16;
    /** 256 KB: below half a heap region, where the collector handles arrays without waste. */
    private static final int BLOCK = 1 << 16;

    private final List<int[]> full = new ArrayList<>();
    private final List<Integer> used = new ArrayList<>();
    private final List<Box> boxes = new ArrayList<>();
    private Box boxOfBlock = new Box();
    private final List<PathStyle> styles = new ArrayList<>();
    private final Map<PathStyle, Integer> styleIndex = new HashMap<>();
    private final List<Repetition> repetitions = new ArrayList<>();
    private int[] block = new int[FIRST_BLOCK];
    private int at;
    private long size;
    private long stored;
    private long left = Long.MAX_VALUE;
    private long bottom = Long.MAX_VALUE;
    private long right = Long.MIN_VALUE;
    private long top = Long.MIN_VALUE;
    private long absoluteReach;

    /** Number of shapes, each copy counted; {@code Long.MAX_VALUE} if there are more. */
    long size() {
        return size;
    }

    /** Number of shapes, repeated ones counted once. */
    long stored() {
        return stored;
    }

    /**
     * Adds an axis-parallel rectangle given by two opposite corners.
     *
     * @param xa x of a corner, dbu
     * @param ya y of this corner, dbu
     * @param xb x of the opposite corner, dbu
     * @param yb y of the opposite corner, dbu
     * @return whether it was kept: one without area is not
     */
    public boolean addRectangle(long xa, long ya, long xb, long yb) {
        return addRectangle(xa, ya, xb, yb, Repetition.ONCE);
    }

    /**
     * Adds a rectangle and its copies; see {@link #addRectangle(long, long, long, long)}.
     *
     * @param xa x of a corner, dbu
     * @param ya y of this corner, dbu
     * @param xb x of the opposite corner, dbu
     * @param yb y of the opposite corner, dbu
     * @param repetition where the copies lie
     * @return whether it has an area
     */
    public boolean addRectangle(long xa, long ya, long xb, long yb, Repetition repetition) {
        if (xa == xb || ya == yb) {
            return false;
        }
        long x0 = Math.min(xa, xb);
        long y0 = Math.min(ya, yb);
        long x1 = Math.max(xa, xb);
        long y1 = Math.max(ya, yb);
        boolean narrow = (int) x0 == x0 && (int) y0 == y0 && (int) x1 == x1 && (int) y1 == y1;
        if (narrow && repetition.equals(Repetition.ONCE)) {
            reserve(5);
            block[at++] = PLAIN_RECTANGLE;
            block[at++] = (int) x0;
            block[at++] = (int) y0;
            block[at++] = (int) x1;
            block[at++] = (int) y1;
            extend(x0, y0, x1, y1);
            size++;
            stored++;
            return true;
        }
        return put(RECTANGLE, -1, new long[] {x0, y0, x1, y1}, 2, 0, repetition);
    }

    /**
     * Adds a polygon; a repeated closing point is accepted, and rectangles of four points are recognised.
     *
     * @param xy x0, y0, x1, y1, ... in dbu
     * @param points number of points taken from {@code xy}
     * @return whether it was kept: one of fewer than three points is not, nor one whose points lie on one vertical or
     *     horizontal line
     */
    public boolean addPolygon(long[] xy, int points) {
        return addPolygon(xy, points, Repetition.ONCE);
    }

    /**
     * Adds a polygon and its copies; see {@link #addPolygon(long[], int)}.
     *
     * @param xy x and y of the corners in turn, dbu
     * @param points number of corners that count
     * @param repetition where the copies lie
     * @return whether it has an area
     */
    public boolean addPolygon(long[] xy, int points, Repetition repetition) {
        int n = points;
        while (n > 1 && xy[0] == xy[2 * n - 2] && xy[1] == xy[2 * n - 1]) {
            n--;
        }
        if (n < 3) {
            return false;
        }
        if (n == 4 && isRectangle(xy)) {
            return addRectangle(xy[0], xy[1], xy[4], xy[5], repetition);
        }
        return put(POLYGON, -1, xy, n, 0, repetition);
    }

    /**
     * Adds a path.
     *
     * @param style width and ends
     * @param spine x0, y0, x1, y1, ... in dbu
     * @param points number of points taken from {@code spine}, at least 1
     * @return whether it was kept: one without area (width 0; a single point without extent) is not
     */
    public boolean addPath(PathStyle style, long[] spine, int points) {
        return addPath(style, spine, points, Repetition.ONCE);
    }

    /**
     * Adds a path and its copies; see {@link #addPath(PathStyle, long[], int)}.
     *
     * @param style width and ends
     * @param spine x and y of the points of the middle line in turn, dbu
     * @param points number of corners that count
     * @param repetition where the copies lie
     * @return whether it has an area
     */
    public boolean addPath(PathStyle style, long[] spine, int points, Repetition repetition) {
        if (style.width() == 0 || !PathOutline.hasArea(style, spine, points)) {
            return false;
        }
        Integer index = styleIndex.get(style);
        if (index == null) {
            index = styles.size();
            styles.add(style);
            styleIndex.put(style, index);
        }
        if (style.absolute()) {
            absoluteReach = Math.max(absoluteReach, style.reach());
        }
        return put(PATH, index, spine, points, style.reach(), repetition);
    }

    /** Shows all shapes to {@code visitor}, in the order they were added. */
    void forEach(Visitor visitor) {
        forEach(visitor, (box, repetition) -> Copies.all(repetition));
    }

    /** Shows the shapes to {@code visitor}, and of repeated ones the chosen copies, in the order of {@link #forEach(Visitor)}. */
    void forEach(Visitor visitor, Choice choice) {
        long[] scratch = new long[0];
        for (int b = 0; b <= full.size(); b++) {
            int[] data = b < full.size() ? full.get(b) : block;
            int end = b < full.size() ? used.get(b) : at;
            if (!choice.sees(b < full.size() ? boxes.get(b) : boxOfBlock)) {
                continue;
            }
            for (int i = 0; i < end; ) {
                int header = data[i++];
                if (header == PLAIN_RECTANGLE) {
                    visitor.rectangle(data[i], data[i + 1], data[i + 2], data[i + 3]);
                    i += 4;
                    continue;
                }
                int kind = header & 3;
                int points = header >>> POINTS_SHIFT;
                int style = kind == PATH ? data[i++] : -1;
                Repetition repetition = (header & REPEATED) == 0 ? null : repetitions.get(data[i++]);
                if (scratch.length < 2 * points) {
                    scratch = new long[Math.max(2 * points, 2 * scratch.length)];
                }
                if ((header & WIDE) == 0) {
                    for (int k = 0; k < 2 * points; k++) {
                        scratch[k] = data[i + k];
                    }
                    i += 2 * points;
                } else {
                    for (int k = 0; k < 2 * points; k++) {
                        scratch[k] = (data[i + 2 * k] & 0xffffffffL) | ((long) data[i + 2 * k + 1] << 32);
                    }
                    i += 4 * points;
                }
                if (repetition == null) {
                    show(visitor, kind, style, scratch, points);
                    continue;
                }
                long[] copy = new long[2 * points];
                Copies copies = choice.of(
                        box(scratch, points, kind == PATH ? styles.get(style).reach() : 0), repetition);
                for (long k = copies.next(); k >= 0; k = copies.next()) {
                    long dx = Math.round(repetition.x(k));
                    long dy = Math.round(repetition.y(k));
                    for (int p = 0; p < 2 * points; p += 2) {
                        copy[p] = scratch[p] + dx;
                        copy[p + 1] = scratch[p + 1] + dy;
                    }
                    show(visitor, kind, style, copy, points);
                }
            }
        }
    }

    /** Sum of the areas of all shapes, dbu^2, of paths about: ends and bends are left out. Copies are counted, not visited. */
    double area() {
        AreaSum sum = new AreaSum();
        forEach(sum, sum);
        return sum.area;
    }

    private static final class AreaSum implements Visitor, Choice {
        private double area;
        private double times = 1;

        @Override
        public Copies of(Box box, Repetition repetition) {
            times = repetition.count();
            return Copies.one();
        }

        private void add(double ofOne) {
            area += times * ofOne;
            times = 1;
        }

        @Override
        public void rectangle(long x0, long y0, long x1, long y1) {
            add((double) (x1 - x0) * (y1 - y0));
        }

        @Override
        public void polygon(long[] xy, int points) {
            double twice = 0;
            for (int k = 0, j = points - 1; k < points; j = k++) {
                twice += (double) (xy[2 * j] - xy[2 * k]) * (xy[2 * j + 1] + xy[2 * k + 1]);
            }
            add(0.5 * Math.abs(twice));
        }

        @Override
        public void path(PathStyle style, long[] spine, int points) {
            double length = 0;
            for (int k = 1; k < points; k++) {
                length += Math.hypot(spine[2 * k] - spine[2 * k - 2], spine[2 * k + 1] - spine[2 * k - 1]);
            }
            add(style.width() * length);
        }
    }

    private static Box box(long[] xy, int points, long margin) {
        // Offsets are rounded, by up to half a dbu.
        double around = margin + 0.5;
        Box box = new Box();
        for (int i = 0; i < 2 * points; i += 2) {
            box.include(xy[i] - around, xy[i + 1] - around).include(xy[i] + around, xy[i + 1] + around);
        }
        return box;
    }

    private void show(Visitor visitor, int kind, int style, long[] xy, int points) {
        switch (kind) {
            case RECTANGLE -> visitor.rectangle(xy[0], xy[1], xy[2], xy[3]);
            case POLYGON -> visitor.polygon(xy, points);
            default -> visitor.path(styles.get(style), xy, points);
        }
    }

    /** Sees shapes one by one. Arrays handed over hold x0, y0, x1, y1, ... and are valid during the call only. */
    public interface Visitor {
        /**
         * A rectangle with {@code x0 < x1} and {@code y0 < y1}.
         *
         * @param x0 left end, dbu
         * @param y0 lower end, dbu
         * @param x1 right end, dbu
         * @param y1 upper end, dbu
         */
        void rectangle(long x0, long y0, long x1, long y1);

        /**
         * A polygon of {@code points} points without a repeated closing one.
         *
         * @param xy x and y of the corners in turn, dbu
         * @param points number of corners that count
         */
        void polygon(long[] xy, int points);

        /**
         * A path along {@code points} points.
         *
         * @param style width and ends
         * @param spine x and y of the points of the middle line in turn, dbu
         * @param points number of corners that count
         */
        void path(PathStyle style, long[] spine, int points);
    }

    /** Chooses the copies of a repeated shape that are shown. */
    interface Choice {
        /** Copies by rising number; {@code box} holds the shape at offset 0, with room for the rounding of offsets. */
        Copies of(Box box, Repetition repetition);

        /** Whether shapes in a box need be shown at all: files draw in some order, so most of a large cell lies far from a window. */
        default boolean sees(Box box) {
            return true;
        }
    }

    /** Smallest x that a shape may reach; {@code Long.MAX_VALUE} when empty. Paths are counted with a margin. */
    long left() {
        return left;
    }

    long bottom() {
        return bottom;
    }

    long right() {
        return right;
    }

    long top() {
        return top;
    }

    /** Largest reach of a path of absolute width around its spine, which magnification does not shrink; 0 if there is none. */
    long absoluteReach() {
        return absoluteReach;
    }

    private boolean put(int kind, int style, long[] xy, int points, long margin, Repetition repetition) {
        if (points > MAX_POINTS) {
            throw new IllegalArgumentException("a shape of " + points + " points is beyond the limit of " + MAX_POINTS);
        }
        long x0 = Long.MAX_VALUE;
        long y0 = Long.MAX_VALUE;
        long x1 = Long.MIN_VALUE;
        long y1 = Long.MIN_VALUE;
        for (int i = 0; i < 2 * points; i += 2) {
            x0 = Math.min(x0, xy[i]);
            x1 = Math.max(x1, xy[i]);
            y0 = Math.min(y0, xy[i + 1]);
            y1 = Math.max(y1, xy[i + 1]);
        }
        if (kind == POLYGON && (x0 == x1 || y0 == y1)) {
            return false;
        }
        boolean wide = (int) x0 != x0 || (int) y0 != y0 || (int) x1 != x1 || (int) y1 != y1;
        boolean repeated = !repetition.equals(Repetition.ONCE);
        reserve(3 + (wide ? 4 : 2) * points);
        block[at++] = points << POINTS_SHIFT | (repeated ? REPEATED : 0) | (wide ? WIDE : 0) | kind;
        if (kind == PATH) {
            block[at++] = style;
        }
        if (repeated) {
            block[at++] = index(repetition);
        }
        for (int i = 0; i < 2 * points; i++) {
            if (wide) {
                putLong(xy[i]);
            } else {
                block[at++] = (int) xy[i];
            }
        }
        // Steps need not be whole; what is shown lies at whole offsets.
        extend(
                x0 - margin + (long) Math.floor(repetition.left()),
                y0 - margin + (long) Math.floor(repetition.bottom()),
                x1 + margin + (long) Math.ceil(repetition.right()),
                y1 + margin + (long) Math.ceil(repetition.top()));
        size = FlattenKernel.saturatedSum(size, repetition.count());
        stored++;
        return true;
    }

    /** Files reuse a repetition for many shapes in a row. */
    private int index(Repetition repetition) {
        int last = repetitions.size() - 1;
        if (last < 0 || !repetitions.get(last).equals(repetition)) {
            repetitions.add(repetition);
        }
        return repetitions.size() - 1;
    }

    private void putLong(long value) {
        block[at++] = (int) value;
        block[at++] = (int) (value >> 32);
    }

    private void reserve(int length) {
        if (at + length <= block.length) {
            return;
        }
        if (block.length < BLOCK && at + length <= BLOCK) {
            // Many cells hold a few shapes only, so blocks start small.
            block = Arrays.copyOf(block, Math.max(at + length, Math.min(BLOCK, 2 * block.length)));
            return;
        }
        full.add(block);
        used.add(at);
        boxes.add(boxOfBlock);
        boxOfBlock = new Box();
        block = new int[Math.max(BLOCK, length)];
        at = 0;
    }

    private void extend(long x0, long y0, long x1, long y1) {
        boxOfBlock.include(x0, y0).include(x1, y1);
        left = Math.min(left, x0);
        bottom = Math.min(bottom, y0);
        right = Math.max(right, x1);
        top = Math.max(top, y1);
    }

    private static boolean isRectangle(long[] p) {
        boolean horizontalFirst = p[1] == p[3] && p[2] == p[4] && p[5] == p[7] && p[6] == p[0];
        boolean verticalFirst = p[0] == p[2] && p[3] == p[5] && p[4] == p[6] && p[7] == p[1];
        return horizontalFirst || verticalFirst;
    }
}
