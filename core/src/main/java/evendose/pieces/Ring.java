package evendose.pieces;

import java.util.Arrays;

/**
 * A closed line of straight edges with the inside on its left, in grid units: the outline of a region, or of a hole in it. Edge
 * {@code k} runs from vertex {@code k} to the next one.
 */
final class Ring {
    /** The edge that begins here lies on the outline of all shapes. */
    static final byte EXPOSED = 1;

    /** A vertex that pieces must keep: a sharp corner, the end of a straight side, or where a cut meets the outline. */
    static final byte CORNER = 2;

    static final int NONE = -1;

    double[] x;
    double[] y;
    byte[] mark;

    /** The drawn edge of the shape that each edge is part of, {@link #NONE} for one along a cut. */
    int[] drawn;

    int size;

    Ring(int room) {
        x = new double[room];
        y = new double[room];
        mark = new byte[room];
        drawn = new int[room];
    }

    /**
     * Adds a vertex. One that repeats the vertex before is not added, but marks that one as a corner if it is a corner, and what
     * begins there is then its edge.
     */
    void add(double px, double py, byte marks, int drawnEdge) {
        if (size > 0 && x[size - 1] == px && y[size - 1] == py) {
            mark[size - 1] = (byte) (mark[size - 1] & CORNER | marks);
            drawn[size - 1] = drawnEdge;
            return;
        }
        if (size == x.length) {
            reserve(size);
        }
        x[size] = px;
        y[size] = py;
        drawn[size] = drawnEdge;
        mark[size++] = marks;
    }

    /** Adds vertices {@code from} to {@code to - 1} of another ring. */
    void addAll(Ring other, int from, int to) {
        if (to <= from) {
            return;
        }
        add(other.x[from], other.y[from], other.mark[from], other.drawn[from]);
        int count = to - from - 1;
        if (size + count > x.length) {
            reserve(count);
        }
        System.arraycopy(other.x, from + 1, x, size, count);
        System.arraycopy(other.y, from + 1, y, size, count);
        System.arraycopy(other.mark, from + 1, mark, size, count);
        System.arraycopy(other.drawn, from + 1, drawn, size, count);
        size += count;
    }

    private void reserve(int more) {
        // Some more, for the vertex that closes what is added.
        int length = Math.max(2 * size, size + more + 8);
        x = Arrays.copyOf(x, length);
        y = Arrays.copyOf(y, length);
        mark = Arrays.copyOf(mark, length);
        drawn = Arrays.copyOf(drawn, length);
    }

    /** To be called after the last vertex: drops what repeats the first one, and tells whether a ring of three vertices or more is left. */
    boolean close() {
        while (size > 1 && x[size - 1] == x[0] && y[size - 1] == y[0]) {
            size--;
            mark[0] |= (byte) (mark[size] & CORNER);
        }
        return size > 2;
    }

    /** Position of vertex {@code k} along x, or along y. */
    double along(boolean y, int k) {
        return y ? this.y[k] : x[k];
    }

    /** Share of the outline that is neither level nor upright. */
    double slantedShare() {
        double length = 0;
        double slanted = 0;
        for (int k = 0; k < size; k++) {
            int next = k + 1 == size ? 0 : k + 1;
            double dx = Math.abs(x[next] - x[k]);
            double dy = Math.abs(y[next] - y[k]);
            length += dx + dy;
            slanted += dx > 0 && dy > 0 ? dx + dy : 0;
        }
        return slanted / length;
    }

    /** Area on the left, negative for a hole. */
    double area() {
        double twice = 0;
        for (int k = 0; k < size; k++) {
            int next = k + 1 == size ? 0 : k + 1;
            twice += (x[k] - x[0]) * (y[next] - y[0]) - (x[next] - x[0]) * (y[k] - y[0]);
        }
        return 0.5 * twice;
    }
}
