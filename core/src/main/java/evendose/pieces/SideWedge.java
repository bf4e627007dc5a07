package evendose.pieces;

import java.util.Arrays;

/**
 * The straight sides that can follow a border of a run from a place on: the slopes that stay within the tolerance of all vertices, by
 * the height they reach, and where on the grid such a side may end.
 */
final class SideWedge {
    /** Ends that are looked at for one height, at most. */
    private static final int MOST_ENDS = 4;

    private final Chains chains;

    /** How far a side may stray. */
    private double tolerance;

    private int chain;

    /** 1 if what moves outwards along u adds to the area, -1 if it takes away. */
    private double sign;

    private double a;
    private double ua;
    private int edgeA;

    /** Integral of the border up to the side's beginning. */
    private double before;

    /** Edge and place in the wedge that were found last: heights are asked for in turn. */
    private int edgeB;

    private int place;
    private int count;
    private double[] height = new double[32];
    private double[] lowest = new double[32];
    private double[] highest = new double[32];

    /** What {@link #isOpen} has found: how far left and right a side may end. */
    private double least;

    private double most;

    /** Ends found by {@link #end}, and the area that each adds. */
    final double[] end = new double[MOST_ENDS];

    final double[] added = new double[MOST_ENDS];
    int ends;

    SideWedge(Chains chains) {
        this.chains = chains;
    }

    /** Begins at a place of chain {@code c}. */
    void begin(int c, double from, double u, double reach) {
        chain = c;
        sign = chains.right[c] ? 1 : -1;
        tolerance = reach;
        a = from;
        ua = u;
        edgeA = chains.findEdge(c, from);
        before = chains.integralTo(edgeA, from);
        edgeB = edgeA;
        place = 0;
        count = 0;
        put(from, Double.NEGATIVE_INFINITY, Double.POSITIVE_INFINITY);
    }

    private void put(double v, double low, double high) {
        if (count == height.length) {
            int length = 2 * count;
            height = Arrays.copyOf(height, length);
            lowest = Arrays.copyOf(lowest, length);
            highest = Arrays.copyOf(highest, length);
        }
        height[count] = v;
        lowest[count] = low;
        highest[count++] = high;
    }

    /**
     * Takes vertices up to {@code to} as long as a slope is left; returns the height that can be reached. A side passes a vertex
     * within the tolerance if its line meets the circle of that radius about it.
     */
    double grow(double to) {
        double low = Double.NEGATIVE_INFINITY;
        double high = Double.POSITIVE_INFINITY;
        double square = tolerance * tolerance;
        for (int e = edgeA + 1; e < chains.last[chain] && chains.v[e] < to; e++) {
            // The longest side is asked for first.
            edgeB = e;
            double dv = chains.drawnV[e] - a;
            double du = chains.drawnU[e] - ua;
            double clear = dv * dv - square;
            double away = du * du + clear;
            if (!(away > 0)) {
                // The side begins within the circle.
                continue;
            }
            if (dv <= 0 && (dv <= -tolerance || Math.abs(du) <= tolerance)) {
                // A vertex off the grid that lies behind the side.
                return chains.v[e];
            }
            double give = tolerance * Math.sqrt(away);
            if (clear > 0) {
                low = Math.max(low, (du * dv - give) / clear);
                high = Math.min(high, (du * dv + give) / clear);
            } else if (du > 0) {
                low = Math.max(low, (du * du - square) / (du * dv + give));
            } else {
                high = Math.min(high, (du * du - square) / (du * dv - give));
            }
            if (low > high) {
                return chains.v[e];
            }
            put(chains.v[e], low, high);
            place = count - 1;
        }
        return to;
    }

    /** The last vertex taken below {@code b}. */
    private int wedgeTo(double b) {
        while (place + 1 < count && height[place + 1] < b) {
            place++;
        }
        while (place > 0 && height[place] >= b) {
            place--;
        }
        return place;
    }

    /** Whether any end on the grid at {@code b} passes all vertices. */
    boolean isOpen(double b) {
        int w = wedgeTo(b);
        least = ua + lowest[w] * (b - a);
        most = ua + highest[w] * (b - a);
        return Math.ceil(least) <= most;
    }

    boolean allows(double b, double u) {
        int w = wedgeTo(b);
        double slope = (u - ua) / (b - a);
        return slope >= lowest[w] && slope <= highest[w] && passes(edgeAt(b), b, u);
    }

    /**
     * Whether a side that ends at {@code (b, u)} passes the vertices just below its end, up to that of edge {@code e}: its line may
     * meet their circles beyond the end only.
     */
    private boolean passes(int e, double b, double u) {
        for (int k = e; k > edgeA && chains.v[k] > b - tolerance - 1; k--) {
            if (chains.drawnV[k] > b - tolerance && !isWithin(chains.drawnU[k], chains.drawnV[k], ua, a, u, b)) {
                return false;
            }
        }
        return true;
    }

    /** Finds the ends on the grid at {@code b}; false if there is none. */
    boolean end(double b) {
        return isOpen(b) && endOpen(b);
    }

    /** As {@link #end}, where {@link #isOpen} has just told that it is. */
    boolean endOpen(double b) {
        int e = edgeAt(b);
        double at = chains.drawnAt(e, b);
        if ((chains.mark[e] & Ring.EXPOSED) == 0) {
            // A seam is shared with a neighbour, which goes straight along it.
            at = Math.rint(at);
            end[0] = at;
            added[0] = added(b, at, chains.integralTo(e, b) - before);
            ends = 1;
            return at >= least && at <= most;
        }
        double slope = (at - ua) / (b - a);
        double give = tolerance * Math.sqrt(1 + slope * slope);
        double from = Math.ceil(Math.max(least, at - give));
        double to = Math.floor(Math.min(most, at + give));
        ends = 0;
        if (from > to) {
            return false;
        }
        double border = chains.integralTo(e, b) - before;
        double stride = Math.max(1, Math.floor((to - from) / (MOST_ENDS - 1)));
        for (double u = from; u <= to && ends < MOST_ENDS; u += stride) {
            if (isNear(e, u, b) && passes(e, b, u)) {
                end[ends] = u;
                added[ends++] = added(b, u, border);
            }
        }
        return ends > 0;
    }

    /** Whether a side may end at a point: within the tolerance of edge {@code e}, or of the next one if it passes the vertex between. */
    private boolean isNear(int e, double u, double v) {
        return isNearDrawn(e, u, v)
                || (e + 1 < chains.last[chain]
                        && isNearDrawn(e + 1, u, v)
                        && isWithin(chains.drawnU[e + 1], chains.drawnV[e + 1], ua, a, u, v));
    }

    /** Whether a point lies within the tolerance of the drawn edge, not of what cuts have bent it to. */
    private boolean isNearDrawn(int e, double u, double v) {
        return isWithin(u, v, chains.fromU(e), chains.fromV(e), chains.toU(e), chains.toV(e));
    }

    /** Whether a point lies within the tolerance of a straight line from one point to another. */
    private boolean isWithin(double u, double v, double u0, double v0, double u1, double v1) {
        double du = u1 - u0;
        double dv = v1 - v0;
        double t = ((u - u0) * du + (v - v0) * dv) / (du * du + dv * dv);
        t = Math.max(0, Math.min(1, t));
        double au = u - u0 - t * du;
        double av = v - v0 - t * dv;
        return au * au + av * av <= tolerance * tolerance;
    }

    /** Area that the side adds if it ends at {@code (b, u)}. */
    double addedAt(double b, double u) {
        return added(b, u, chains.integralTo(edgeAt(b), b) - before);
    }

    private double added(double b, double u, double border) {
        return sign * (0.5 * (ua + u) * (b - a) - border);
    }

    private int edgeAt(double b) {
        edgeB = chains.edgeAt(chain, b, edgeB);
        return edgeB;
    }
}
