package evendose.layout;

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
 * <p>Storage: a list of blocks of {@code int}. An entry is a header {@code points << 3 | wide << 2 | kind}, for a path the
 * index of its style, and the coordinates: one {@code int} each, or two (low half first) if {@code wide}. A rectangle has the
 * points lower-left and upper-right. An entry never straddles two blocks.
 */
public final class Shapes {
    private static final int RECTANGLE = 0;
    private static final int POLYGON = 1;
    private static final int PATH = 2;
    private static final int WIDE = 4;
    private static final int MAX_POINTS = 1 << 28;
    private static final int FIRST_BLOCK = 16;
    /** 256 KB: below half a heap region, where the collector handles arrays without waste. */
    private static final int BLOCK = 1 << 16;

    private final List<int[]> full = new ArrayList<>();
    private final List<Integer> used = new ArrayList<>();
    private final List<PathStyle> styles = new ArrayList<>();
    private final Map<PathStyle, Integer> styleIndex = new HashMap<>();
    private int[] block = new int[FIRST_BLOCK];
    private int at;
    private long size;
    private long left = Long.MAX_VALUE;
    private long bottom = Long.MAX_VALUE;
    private long right = Long.MIN_VALUE;
    private long top = Long.MIN_VALUE;
    private long absoluteReach;

    /** Number of shapes. */
    public long size() {
        return size;
    }

    /**
     * Adds an axis-parallel rectangle given by two opposite corners.
     *
     * @return whether it was kept: one without area is not
     */
    public boolean addRectangle(long xa, long ya, long xb, long yb) {
        if (xa == xb || ya == yb) {
            return false;
        }
        long x0 = Math.min(xa, xb);
        long y0 = Math.min(ya, yb);
        long x1 = Math.max(xa, xb);
        long y1 = Math.max(ya, yb);
        if ((int) x0 == x0 && (int) y0 == y0 && (int) x1 == x1 && (int) y1 == y1) {
            reserve(5);
            block[at++] = 2 << 3 | RECTANGLE;
            block[at++] = (int) x0;
            block[at++] = (int) y0;
            block[at++] = (int) x1;
            block[at++] = (int) y1;
        } else {
            reserve(9);
            block[at++] = 2 << 3 | WIDE | RECTANGLE;
            putLong(x0);
            putLong(y0);
            putLong(x1);
            putLong(y1);
        }
        extend(x0, y0, x1, y1);
        size++;
        return true;
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
        int n = points;
        while (n > 1 && xy[0] == xy[2 * n - 2] && xy[1] == xy[2 * n - 1]) {
            n--;
        }
        if (n < 3) {
            return false;
        }
        if (n == 4 && isRectangle(xy)) {
            return addRectangle(xy[0], xy[1], xy[4], xy[5]);
        }
        return put(POLYGON, -1, xy, n, 0);
    }

    /**
     * Adds a path.
     *
     * @param spine x0, y0, x1, y1, ... in dbu
     * @param points number of points taken from {@code spine}, at least 1
     * @return whether it was kept: one without area (width 0; a single point without extent) is not
     */
    public boolean addPath(PathStyle style, long[] spine, int points) {
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
        return put(PATH, index, spine, points, style.reach());
    }

    /** Shows all shapes to {@code visitor}, in the order they were added. */
    public void forEach(Visitor visitor) {
        long[] scratch = new long[0];
        for (int b = 0; b <= full.size(); b++) {
            int[] data = b < full.size() ? full.get(b) : block;
            int end = b < full.size() ? used.get(b) : at;
            for (int i = 0; i < end; ) {
                int header = data[i++];
                if (header == (2 << 3 | RECTANGLE)) {
                    visitor.rectangle(data[i], data[i + 1], data[i + 2], data[i + 3]);
                    i += 4;
                    continue;
                }
                int kind = header & 3;
                int points = header >>> 3;
                int style = kind == PATH ? data[i++] : -1;
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
                switch (kind) {
                    case RECTANGLE -> visitor.rectangle(scratch[0], scratch[1], scratch[2], scratch[3]);
                    case POLYGON -> visitor.polygon(scratch, points);
                    default -> visitor.path(styles.get(style), scratch, points);
                }
            }
        }
    }

    /** Sees shapes one by one. Arrays handed over hold x0, y0, x1, y1, ... and are valid during the call only. */
    public interface Visitor {
        /** A rectangle with {@code x0 < x1} and {@code y0 < y1}. */
        void rectangle(long x0, long y0, long x1, long y1);

        /** A polygon of {@code points} points without a repeated closing one. */
        void polygon(long[] xy, int points);

        /** A path along {@code points} points. */
        void path(PathStyle style, long[] spine, int points);
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

    private boolean put(int kind, int style, long[] xy, int points, long margin) {
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
        reserve(2 + (wide ? 4 : 2) * points);
        block[at++] = points << 3 | (wide ? WIDE : 0) | kind;
        if (kind == PATH) {
            block[at++] = style;
        }
        for (int i = 0; i < 2 * points; i++) {
            if (wide) {
                putLong(xy[i]);
            } else {
                block[at++] = (int) xy[i];
            }
        }
        extend(x0 - margin, y0 - margin, x1 + margin, y1 + margin);
        size++;
        return true;
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
        block = new int[Math.max(BLOCK, length)];
        at = 0;
    }

    private void extend(long x0, long y0, long x1, long y1) {
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
