package evendose.geometry;

import java.util.Arrays;

/**
 * The edges of one band as the scan line takes them, in growing arrays indexed by edge, and the exact order of two of them. An edge lies on
 * the line through {@code (x, y)} in direction {@code (dx, dy)}, {@code dy > 0}, and reaches from one height of the grid to another.
 */
final class BandEdges {
    /** Marks in {@link #attached}: the boundary does not count; it does, with nothing to the right; not settled yet. */
    static final int NONE = -1;

    static final int VOID = -2;
    static final int UNSETTLED = -3;

    /** Relative error bound of the floating-point order of two edges, in {@link #compare}. */
    static final double FILTER = 0x1p-50;

    int size;
    /** Whether some edge is not upright. */
    boolean slanted;

    long[] x = new long[64];
    long[] y = new long[64];
    long[] dx = new long[64];
    long[] dy = new long[64];
    long[] from = new long[64];
    long[] to = new long[64];
    double[] slope = new double[64];
    int[] windings = new int[64];
    char[] group = new char[64];
    /** The span that is open to the right of the edge's boundary, or a mark. Kept by the boundary's first edge. */
    int[] attached = new int[64];

    void clear() {
        size = 0;
        slanted = false;
    }

    /**
     * Adds an edge on the line through {@code (xa, ya)} in direction {@code (dxa, dya)}, {@code dya > 0}, dbu.
     *
     * @param low lower end, on the height grid
     * @param high upper end, on the height grid, above {@code low}
     * @param change by how much the winding number grows from left to right
     */
    void add(long xa, long ya, long dxa, long dya, long low, long high, int change, int owner) {
        if (size == x.length) {
            grow();
        }
        int e = size++;
        x[e] = xa;
        y[e] = ya << Lines.STEP_BITS;
        dx[e] = dxa;
        dy[e] = dya;
        from[e] = low;
        to[e] = high;
        slope[e] = Lines.slope(dxa, dya);
        windings[e] = change;
        group[e] = (char) owner;
        slanted |= dxa != 0;
    }

    private void grow() {
        int length = 2 * size;
        x = Arrays.copyOf(x, length);
        y = Arrays.copyOf(y, length);
        dx = Arrays.copyOf(dx, length);
        dy = Arrays.copyOf(dy, length);
        from = Arrays.copyOf(from, length);
        to = Arrays.copyOf(to, length);
        slope = Arrays.copyOf(slope, length);
        windings = Arrays.copyOf(windings, length);
        group = Arrays.copyOf(group, length);
        attached = new int[length];
    }

    /** Order of two edges just above {@code height}; 0 only if they lie on the same line. */
    int compare(int a, int b, long height) {
        double slopeA = slope[a];
        double slopeB = slope[b];
        long apart = x[a] - x[b];
        if (slopeA == 0 && slopeB == 0) {
            return Long.signum(apart);
        }
        double runA = slopeA * (height - y[a]);
        double runB = slopeB * (height - y[b]);
        double difference = apart + (runA - runB);
        if (Math.abs(difference) > (Math.abs(apart) + Math.abs(runA) + Math.abs(runB)) * FILTER) {
            return difference > 0 ? 1 : -1;
        }
        return Lines.compare(
                height, x[a], y[a] >> Lines.STEP_BITS, dx[a], dy[a], x[b], y[b] >> Lines.STEP_BITS, dx[b], dy[b]);
    }

    /** As {@link #compare}, but by number on the same line. */
    int total(int a, int b, long height) {
        int order = compare(a, b, height);
        return order != 0 ? order : Integer.compare(a, b);
    }

    boolean sameLine(int a, int b, long height) {
        return compare(a, b, height) == 0;
    }

    /** x of an edge's line at a height, dbu. */
    double xAt(int e, long height) {
        return slope[e] == 0 ? x[e] : Lines.x(height, x[e], y[e] >> Lines.STEP_BITS, dx[e], dy[e]);
    }

    /** Writes the line of an edge: x, y, dx, dy, dbu. */
    void putLine(int e, long[] lines, int at) {
        lines[at] = x[e];
        lines[at + 1] = y[e] >> Lines.STEP_BITS;
        lines[at + 2] = dx[e];
        lines[at + 3] = dy[e];
    }

    /** Adds the part of an edge between two heights to {@code unwound}. */
    void addSideTo(UnwoundEdges unwound, int e, long low, long high, int change, int owner) {
        unwound.add(x[e], y[e] >> Lines.STEP_BITS, dx[e], dy[e], low, high, change, owner);
    }
}
