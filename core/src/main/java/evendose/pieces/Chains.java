package evendose.pieces;

import evendose.geometry.EdgeBuffer;
import java.util.Arrays;
import java.util.List;

/**
 * The outline of a region as chains that rise all the way, in the frame of the cuts: {@code v} is the coordinate that the cuts have
 * in common, {@code u} runs along them (level cuts: u = x, v = y; standing ones the other way round). A chain is the left or the
 * right border of the inside. Sides along a cut belong to no chain.
 */
final class Chains {
    private static final byte EXPOSED = Ring.EXPOSED;
    private static final byte CORNER = Ring.CORNER;

    int count;

    /** First and last vertex of each chain, and whether it is a right border. */
    int[] first = new int[16];

    int[] last = new int[16];
    boolean[] right = new boolean[16];

    double[] u = new double[64];
    double[] v = new double[64];

    /** Where each vertex is drawn, before it was rounded to the grid; of one that a cut has made, where it is. */
    double[] drawnU = new double[64];

    double[] drawnV = new double[64];

    /** {@link Ring#CORNER} of the vertex and {@link Ring#EXPOSED} of the edge that rises from it. */
    byte[] mark = new byte[64];

    /** Of the edge that rises from each vertex, the drawn edge that it is part of. */
    int[] drawn = new int[64];

    /** Integral of u over v from the chain's beginning. */
    double[] integral = new double[64];

    private int vertices;
    private boolean standing;
    private final EdgeBuffer outline;

    /**
     * For regions of one shape after the other.
     *
     * @param outline the drawn edges that the rings' numbers mean
     */
    Chains(EdgeBuffer outline) {
        this.outline = outline;
    }

    /** Fills the chains from rings; exposed sides along cuts go to {@code level} as they are, in real coordinates. */
    void fill(List<Ring> rings, boolean isStanding, EdgeBuffer level) {
        standing = isStanding;
        count = 0;
        vertices = 0;
        for (Ring r : rings) {
            int n = r.size;
            double[] rise = standing ? r.x : r.y;
            int start = 0;
            // Begin where the direction changes.
            while (start < n && sign(rise, n, start) == sign(rise, n, start == 0 ? n - 1 : start - 1)) {
                start++;
            }
            if (start == n) {
                continue;
            }
            for (int done = 0; done < n; ) {
                int k = start + done < n ? start + done : start + done - n;
                int way = sign(rise, n, k);
                int length = 1;
                while (done + length < n && sign(rise, n, wrapped(k + length, n)) == way) {
                    length++;
                }
                if (way != 0) {
                    addChain(r, k, length, way);
                } else {
                    for (int e = k; e < k + length; e++) {
                        addLevel(r, wrapped(e, n), level);
                    }
                }
                done += length;
            }
        }
    }

    private static int wrapped(int k, int n) {
        return k < n ? k : k - n;
    }

    private static int sign(double[] rise, int n, int k) {
        double a = rise[k];
        double b = rise[k + 1 == n ? 0 : k + 1];
        return b > a ? 1 : b < a ? -1 : 0;
    }

    private static void addLevel(Ring r, int k, EdgeBuffer level) {
        if ((r.mark[k] & EXPOSED) != 0) {
            int next = wrapped(k + 1, r.size);
            level.add(r.x[k], r.y[k], r.x[next], r.y[next], Cut.NO_PIECE);
        }
    }

    private void addChain(Ring r, int k, int length, int way) {
        if (count == first.length) {
            first = Arrays.copyOf(first, 2 * count);
            last = Arrays.copyOf(last, 2 * count);
            right = Arrays.copyOf(right, 2 * count);
        }
        if (vertices + length + 1 > u.length) {
            int room = Math.max(vertices + length + 1, 2 * u.length);
            u = Arrays.copyOf(u, room);
            v = Arrays.copyOf(v, room);
            drawnU = Arrays.copyOf(drawnU, room);
            drawnV = Arrays.copyOf(drawnV, room);
            mark = Arrays.copyOf(mark, room);
            integral = Arrays.copyOf(integral, room);
            drawn = Arrays.copyOf(drawn, room);
        }
        int n = r.size;
        first[count] = vertices;
        // With the inside on the left, what rises is a right border; the mirrored frame of standing cuts turns that
        // round.
        right[count] = (way > 0) != standing;
        double[] along = standing ? r.y : r.x;
        double[] rise = standing ? r.x : r.y;
        double sum = 0;
        for (int i = 0; i <= length; i++) {
            int at = wrapped(way > 0 ? k + i : k + length - i, n);
            int edge = wrapped(way > 0 ? k + i : k + length - i - 1 + n, n);
            u[vertices] = along[at];
            v[vertices] = rise[at];
            drawn[vertices] = r.drawn[wrapped(edge, n)];
            mark[vertices] = (byte) (r.mark[at] & CORNER | r.mark[wrapped(edge, n)] & EXPOSED);
            place(vertices, way > 0);
            if (i > 0) {
                sum += 0.5 * (u[vertices] + u[vertices - 1]) * (v[vertices] - v[vertices - 1]);
            }
            integral[vertices++] = sum;
        }
        last[count++] = vertices - 1;
    }

    /** Finds where a vertex is drawn: what is no corner lies between two drawn edges. */
    private void place(int k, boolean rises) {
        drawnU[k] = u[k];
        drawnV[k] = v[k];
        int edge = drawn[k];
        if (edge >= 0 && (mark[k] & CORNER) == 0) {
            double x = rises ? outline.x0(edge) : outline.x1(edge);
            double y = rises ? outline.y0(edge) : outline.y1(edge);
            drawnU[k] = standing ? y : x;
            drawnV[k] = standing ? x : y;
        }
    }

    double low(int c) {
        return v[first[c]];
    }

    double high(int c) {
        return v[last[c]];
    }

    /** The edge of chain {@code c} that holds {@code at}: the number of its lower vertex, searched from {@code hint} on. */
    int edgeAt(int c, double at, int hint) {
        int e = Math.max(first[c], Math.min(hint, last[c] - 1));
        while (e > first[c] && v[e] > at) {
            e--;
        }
        while (e < last[c] - 1 && v[e + 1] <= at) {
            e++;
        }
        return e;
    }

    /** As {@link #edgeAt} without a hint. */
    int findEdge(int c, double at) {
        int low = first[c];
        int high = last[c];
        while (high - low > 1) {
            int middle = (low + high) >>> 1;
            if (v[middle] <= at) {
                low = middle;
            } else {
                high = middle;
            }
        }
        return low;
    }

    /** Position on edge {@code e} at {@code at}. */
    double on(int e, double at) {
        if (at == v[e]) {
            return u[e];
        }
        if (at == v[e + 1]) {
            return u[e + 1];
        }
        return u[e] + (at - v[e]) / (v[e + 1] - v[e]) * (u[e + 1] - u[e]);
    }

    /** Integral of u over v up to {@code at} on edge {@code e}. */
    double integralTo(int e, double at) {
        return integral[e] + 0.5 * (u[e] + on(e, at)) * (at - v[e]);
    }

    boolean isExposed(int e) {
        return (mark[e] & EXPOSED) != 0;
    }

    /** Ends of the drawn edge that edge {@code e} is part of, in the frame of the cuts; of the edge itself if that is along a cut. */
    double fromU(int e) {
        return drawn[e] < 0 ? u[e] : standing ? outline.y0(drawn[e]) : outline.x0(drawn[e]);
    }

    double fromV(int e) {
        return drawn[e] < 0 ? v[e] : standing ? outline.x0(drawn[e]) : outline.y0(drawn[e]);
    }

    double toU(int e) {
        return drawn[e] < 0 ? u[e + 1] : standing ? outline.y1(drawn[e]) : outline.x1(drawn[e]);
    }

    double toV(int e) {
        return drawn[e] < 0 ? v[e + 1] : standing ? outline.x1(drawn[e]) : outline.y1(drawn[e]);
    }

    /** Position on edge {@code e} at {@code at}: that of its vertex there, or on the drawn edge, which cuts may have bent here. */
    double drawnAt(int e, double at) {
        if (drawn[e] < 0 || isVertex(e, at)) {
            return on(e, at);
        }
        double u0 = fromU(e);
        double v0 = fromV(e);
        double u1 = toU(e);
        double v1 = toV(e);
        // From the lower end, so that borders of neighbours that share the edge find the same place.
        return v0 < v1 ? u0 + (at - v0) / (v1 - v0) * (u1 - u0) : u1 + (at - v1) / (v0 - v1) * (u0 - u1);
    }

    /** Whether edge {@code e} begins or ends at {@code at}. */
    boolean isVertex(int e, double at) {
        return at == v[e] || at == v[e + 1];
    }
}
