package evendose.geometry;

import java.util.Arrays;

/**
 * Links directed edges to contours: for each edge, which one goes on where it ends. Keeps its arrays for the next use; one
 * instance serves one thread.
 */
public final class EdgeLinks {
    /** Ends that lie this close are the same point, dbu. Cuts of one line are computed alike, so they differ by rounding. */
    private static final double SAME = 0.01;

    /** Size of a neighbourhood, as a power of two, dbu: so many numbers fill a line of the cache. */
    private static final int NEAR_BITS = 4;

    private int[] next = new int[64];
    private boolean[] taken = new boolean[64];
    private int[] table = new int[256];

    /** {@return what {@link #link} found: edge {@code e} is followed by edge {@code next()[e]}, or by none if that is -1; live, not to be changed} */
    public int[] next() {
        return next;
    }

    /**
     * Links edges, dbu, with the inside on their left. Where contours touch in a point, the sharpest left turn goes on, so that
     * each keeps to itself.
     *
     * @param edges the drawn outline
     */
    public void link(EdgeBuffer edges) {
        int n = edges.size();
        if (next.length < n) {
            int length = Math.max(n, 2 * next.length);
            next = new int[length];
            taken = new boolean[length];
        }
        int size = Integer.highestOneBit(Math.max(16, 2 * n - 1)) * 2;
        if (table.length < size) {
            table = new int[size];
        }
        Arrays.fill(table, 0, size, -1);
        Arrays.fill(taken, 0, n, false);
        for (int e = 0; e < n; e++) {
            int slot = slot(nearest(edges.x0(e)), nearest(edges.y0(e)), size);
            while (table[slot] >= 0) {
                slot = (slot + 1) & (size - 1);
            }
            table[slot] = e;
        }
        for (int e = 0; e < n; e++) {
            next[e] = -1;
            // An end near the middle between two grid points may have rounded to either.
            long right = nearest(edges.x1(e) + SAME);
            long top = nearest(edges.y1(e) + SAME);
            for (long gx = nearest(edges.x1(e) - SAME); gx <= right; gx++) {
                for (long gy = nearest(edges.y1(e) - SAME); gy <= top; gy++) {
                    for (int slot = slot(gx, gy, size); table[slot] >= 0; slot = (slot + 1) & (size - 1)) {
                        int f = table[slot];
                        if (f != next[e]
                                && !taken[f]
                                && Math.abs(edges.x0(f) - edges.x1(e)) < SAME
                                && Math.abs(edges.y0(f) - edges.y1(e)) < SAME) {
                            if (next[e] < 0 || turn(edges, e, f) > turn(edges, e, next[e])) {
                                next[e] = f;
                            }
                        }
                    }
                }
            }
            if (next[e] >= 0) {
                taken[next[e]] = true;
            }
        }
    }

    /** How far to the left edge {@code f} turns from edge {@code e}, radians. */
    private static double turn(EdgeBuffer edges, int e, int f) {
        double ax = edges.x1(e) - edges.x0(e);
        double ay = edges.y1(e) - edges.y0(e);
        double bx = edges.x1(f) - edges.x0(f);
        double by = edges.y1(f) - edges.y0(f);
        return Math.atan2(ax * by - ay * bx, ax * bx + ay * by);
    }

    /** As {@link Math#round} nearly, and much quicker. */
    private static long nearest(double dbu) {
        return (long) Math.floor(dbu + 0.5);
    }

    /** Points near each other come into the same line of the cache, since edges of a shape are told in the order of their heights. */
    private static int slot(long gx, long gy, int size) {
        long h = (gx >> NEAR_BITS) * 0x9E3779B97F4A7C15L + (gy >> NEAR_BITS) * 0xC2B2AE3D27D4EB4FL;
        h ^= h >>> 29;
        return ((int) (h * 0xBF58476D1CE4E5B9L >>> 33) ^ (int) (gx + 5 * gy & (1 << NEAR_BITS) - 1)) & (size - 1);
    }
}
