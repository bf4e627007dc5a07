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

    /** Number of edges. */
    public int size() {
        return size;
    }

    /** Forgets all edges. */
    public void clear() {
        size = 0;
    }

    /** Adds the edge from (ax, ay) to (bx, by). */
    public void add(double ax, double ay, double bx, double by, int number) {
        if (size == x0.length) {
            x0 = Arrays.copyOf(x0, 2 * size);
            y0 = Arrays.copyOf(y0, 2 * size);
            x1 = Arrays.copyOf(x1, 2 * size);
            y1 = Arrays.copyOf(y1, 2 * size);
            owner = Arrays.copyOf(owner, 2 * size);
        }
        x0[size] = ax;
        y0[size] = ay;
        x1[size] = bx;
        y1[size] = by;
        owner[size++] = number;
    }

    public double x0(int e) {
        return x0[e];
    }

    public double y0(int e) {
        return y0[e];
    }

    public double x1(int e) {
        return x1[e];
    }

    public double y1(int e) {
        return y1[e];
    }

    /** Number of what edge {@code e} bounds. */
    public int owner(int e) {
        return owner[e];
    }

    /** Lets edge {@code e} bound something else. */
    public void setOwner(int e, int number) {
        owner[e] = number;
    }

    /** Length of edge {@code e}. */
    public double length(int e) {
        return Math.hypot(x1[e] - x0[e], y1[e] - y0[e]);
    }
}
