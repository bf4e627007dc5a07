package evendose.pieces;

/**
 * Cuts a run from one height where the outline asks for a break to the next, with as few pieces as it finds. Pieces are added one by
 * one to several ways at once: of all ways with the same number of pieces, those are followed that have come furthest, errors in area
 * counted against them.
 */
final class SpanCutter {
    /** Half the diagonal of the grid: what rounding to it may cost where a border leaves no other way. */
    private static final double HALF_DIAGONAL = Math.sqrt(0.5) * (1 + 1e-9);

    /** Sides end no earlier than at this share of the longest that fits. */
    private static final double SHORTEST_SHARE = 0.6;

    /** Length that is worth an error in area of one square grid unit. */
    private static final double AREA_PRICE = 0.2;

    /** How far a side may stray usually, and where that leaves no way. */
    final double usual;

    final double loose;

    /** Steps in height: where the grid is much finer than the tolerance, not every place on it is worth a look. */
    private final double stride;

    private final Chains chains;
    private final double smallest;
    private final SideWedge leftSide;
    private final SideWedge rightSide;
    private final CutWays ways = new CutWays();
    private final CutWays best = new CutWays();
    private int left;
    private int right;
    private double tolerance;

    SpanCutter(Chains chains, double tolerance, double smallest) {
        this.chains = chains;
        this.usual = tolerance;
        this.loose = Math.max(tolerance, HALF_DIAGONAL);
        this.stride = Math.max(1, Math.floor(tolerance));
        this.smallest = smallest;
        this.leftSide = new SideWedge(chains);
        this.rightSide = new SideWedge(chains);
    }

    /** Begins a run between two chains. */
    void begin(int leftChain, int rightChain) {
        left = leftChain;
        right = rightChain;
    }

    /**
     * Adds breaks from the last one on up to {@code to}.
     *
     * @param out area added so far beyond the left and the right border
     * @param most pieces that are too many
     * @return whether fewer were enough
     */
    boolean cut(Breaks breaks, double to, double lTo, double rTo, double[] out, double most) {
        int last = breaks.size - 1;
        ways.clear();
        ways.add(breaks.v[last], breaks.l[last], breaks.r[last], out[0], out[1], -1);
        int begin = 0;
        for (int round = 1; round < most; round++) {
            int end = ways.size;
            tolerance = usual;
            int finished = follow(begin, end, to, lTo, rTo);
            if (finished < 0 && best.size == 0 && loose > usual) {
                tolerance = loose;
                finished = follow(begin, end, to, lTo, rTo);
            }
            if (finished < 0 && best.size == 0) {
                // A piece thinner than the smallest is only made where nothing else is possible.
                collectThin(begin, to);
                finished = best.v[0] >= to ? begin : -1;
            }
            if (finished >= 0) {
                finish(finished, breaks, to, lTo, rTo);
                return true;
            }
            begin = end;
            for (int k = 0; k < best.size; k++) {
                ways.add(best.v[k], best.l[k], best.r[k], best.outL[k], best.outR[k], best.from[k]);
            }
        }
        return false;
    }

    /** Adds a piece to each of the ways from {@code begin} on; returns one that can end at {@code to} with it, or -1. */
    private int follow(int begin, int end, double to, double lTo, double rTo) {
        int finished = -1;
        double least = Double.MAX_VALUE;
        best.clear();
        for (int w = begin; w < end; w++) {
            double reach = look(w, to);
            if (reach >= to && leftSide.allows(to, lTo) && rightSide.allows(to, rTo)) {
                double error =
                        areaError(ways.outL[w] + leftSide.addedAt(to, lTo), ways.outR[w] + rightSide.addedAt(to, rTo));
                if (error < least) {
                    least = error;
                    finished = w;
                }
            } else if (finished < 0) {
                collect(w, reach, to);
            }
        }
        return finished;
    }

    /** Sets the wedges to where way {@code w} stands; returns how high the next piece can reach. */
    private double look(int w, double to) {
        leftSide.begin(left, ways.v[w], ways.l[w], tolerance);
        double reach = leftSide.grow(to);
        rightSide.begin(right, ways.v[w], ways.r[w], tolerance);
        return rightSide.grow(reach);
    }

    private void collect(int w, double reach, double to) {
        double a = ways.v[w];
        double highest = Math.min(reach, to - smallest);
        double lowest = Math.max(a + smallest, a + SHORTEST_SHARE * (highest - a));
        for (double b = Math.floor(highest); b >= lowest; b -= stride) {
            if (best.isFull() && b <= best.lowestScore()) {
                break;
            }
            offer(w, b);
        }
    }

    /** Offers all places on the grid where the next piece can end at height {@code b}. */
    private void offer(int w, double b) {
        SideWedge l = leftSide;
        SideWedge r = rightSide;
        if (l.isOpen(b) && r.isOpen(b) && l.end(b) && r.end(b)) {
            for (int i = 0; i < l.ends; i++) {
                for (int j = 0; j < r.ends; j++) {
                    if (l.end[i] > r.end[j]) {
                        // Putting the ends in order afterwards would bend a side further than looked at.
                        continue;
                    }
                    double outL = ways.outL[w] + l.added[i];
                    double outR = ways.outR[w] + r.added[j];
                    best.offer(b - AREA_PRICE * areaError(outL, outR), b, l.end[i], r.end[j], outL, outR, w);
                }
            }
        }
    }

    /** The error in area of the shape, and that of each border at half its weight, so that both stay in place. */
    private static double areaError(double left, double right) {
        return Math.abs(left + right) + 0.5 * (Math.abs(left) + Math.abs(right));
    }

    private void collectThin(int w, double to) {
        double a = ways.v[w];
        double reach = look(w, to);
        for (double b = Math.floor(Math.min(reach, to - 1)); b > a && best.size == 0; b -= stride) {
            offer(w, b);
        }
        if (best.size == 0) {
            // Nothing on the grid lies within the tolerance: the nearest place has to do.
            double b = nextVertex(a, to);
            best.offer(0, b, nearest(left, b), nearest(right, b), ways.outL[w], ways.outR[w], w);
        }
    }

    private double nextVertex(double a, double to) {
        int l = chains.findEdge(left, a);
        int r = chains.findEdge(right, a);
        double next = Math.min(chains.v[l + 1], chains.v[r + 1]);
        return Math.min(to, Math.max(a + 1, Math.rint(next)));
    }

    private double nearest(int chain, double at) {
        return Math.rint(chains.drawnAt(chains.findEdge(chain, at), at));
    }

    private void finish(int w, Breaks breaks, double to, double lTo, double rTo) {
        int count = 0;
        for (int k = w; ways.from[k] >= 0; k = ways.from[k]) {
            count++;
        }
        int at = breaks.size + count;
        breaks.resize(at);
        for (int k = w; ways.from[k] >= 0; k = ways.from[k]) {
            breaks.set(--at, ways.v[k], ways.l[k], ways.r[k]);
        }
        breaks.add(to, lTo, rTo, true);
    }
}
