package evendose.geometry;

import java.util.Arrays;

/**
 * A growing list of directed straight edges, each with the number of what it bounds, without an object an edge. Emptied, it keeps
 * its room for the next use.
 */
public final class EdgeBuffer {
    private double[] x0 = new double[64];
    private double[] y0 = new double[64];
    private double[] x1 = new double[64];
    private double[] y1 = new double[64];
    private int[] owner = new int[64];
    private int size;

    /** {@return number of edges} */
    public int size() {
        return size;
    }

    /** Forgets all edges. */
    public void clear() {
        size = 0;
    }

    /**
     * Adds the edge from (ax, ay) to (bx, by).
     *
     * @param ax x of the start, dbu
     * @param ay y of the start, dbu
     * @param bx x of the end, dbu
     * @param by y of the end, dbu
     * @param number number of what the edge belongs to
     */
    public void add(double ax, double ay, double bx, double by, int number) {
        if (size == x0.length) {
            resize(2 * size);
        }
        x0[size] = ax;
        y0[size] = ay;
        x1[size] = bx;
        y1[size] = by;
        owner[size++] = number;
    }

    /** Adds all edges of another list. */
    void addAll(EdgeBuffer other) {
        reserve(other.size);
        System.arraycopy(other.x0, 0, x0, size, other.size);
        System.arraycopy(other.y0, 0, y0, size, other.size);
        System.arraycopy(other.x1, 0, x1, size, other.size);
        System.arraycopy(other.y1, 0, y1, size, other.size);
        System.arraycopy(other.owner, 0, owner, size, other.size);
        size += other.size;
    }

    /**
     * Makes room for more edges at once.
     *
     * @param more how many may be added without growing
     */
    public void reserve(int more) {
        if (size + more > x0.length) {
            resize(Math.max(size + more, 2 * size));
        }
    }

    private void resize(int length) {
        x0 = Arrays.copyOf(x0, length);
        y0 = Arrays.copyOf(y0, length);
        x1 = Arrays.copyOf(x1, length);
        y1 = Arrays.copyOf(y1, length);
        owner = Arrays.copyOf(owner, length);
    }

    /**
     * {@return x of the start of edge {@code e}, dbu}
     *
     * @param e number of the edge, from 0
     */
    public double x0(int e) {
        return x0[e];
    }

    /**
     * {@return y of the start of edge {@code e}, dbu}
     *
     * @param e number of the edge, from 0
     */
    public double y0(int e) {
        return y0[e];
    }

    /**
     * {@return x of the end of edge {@code e}, dbu}
     *
     * @param e number of the edge, from 0
     */
    public double x1(int e) {
        return x1[e];
    }

    /**
     * {@return y of the end of edge {@code e}, dbu}
     *
     * @param e number of the edge, from 0
     */
    public double y1(int e) {
        return y1[e];
    }

    /**
     * {@return number of what edge {@code e} bounds}
     *
     * @param e number of the edge, from 0
     */
    public int owner(int e) {
        return owner[e];
    }

    /**
     * Lets edge {@code e} bound something else.
     *
     * @param e number of the edge, from 0
     * @param number number of what it belongs to now
     */
    public void setOwner(int e, int number) {
        owner[e] = number;
    }

    /**
     * {@return length of edge {@code e}}
     *
     * @param e number of the edge, from 0
     */
    public double length(int e) {
        return Math.hypot(x1[e] - x0[e], y1[e] - y0[e]);
    }
}
