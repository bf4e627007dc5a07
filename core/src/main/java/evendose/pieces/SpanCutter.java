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

    /** Pieces that keep the wider tolerance where a curve has asked for it by zigzagging, or more would be cut from it than saved. */
    private static final int LOOSE_PIECES = 4;

    /** Heights that are looked at, at most about, where the piece after the next counts. */
    private static final int MOST_LOOKED_AT = 32;

    /** How far a side may stray usually, and where that leaves no way. */
    final double usual;

    final double loose;

    /** Steps in height: where the grid is much finer than the tolerance, not every place on it is worth a look. */
    private final double stride;

    private final Chains chains;
    private final double smallest;
    private final SideWedge leftSide;
    private final SideWedge rightSide;
    private final SideWedge leftAhead;
    private final SideWedge rightAhead;
    private final CutWays ways = new CutWays();
    private final CutWays best = new CutWays();
    private int left;
    private int right;

    // Where the run is to end.
    private double end;
    private double leftEnd;
    private double rightEnd;

    private double tolerance;

    /** Whether ways are judged by how far the piece after the next can reach, and how far that must be. */
    private boolean looksAhead;

    private double leastAhead;

    SpanCutter(Chains chains, double tolerance, double smallest) {
        this.chains = chains;
        this.usual = tolerance;
        this.loose = Math.max(tolerance, HALF_DIAGONAL);
        this.stride = Math.max(1, Math.floor(tolerance));
        this.smallest = smallest;
        this.leftSide = new SideWedge(chains);
        this.rightSide = new SideWedge(chains);
        this.leftAhead = new SideWedge(chains);
        this.rightAhead = new SideWedge(chains);
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
        end = to;
        leftEnd = lTo;
        rightEnd = rTo;
        int last = breaks.size - 1;
        ways.clear();
        ways.add(breaks.v[last], breaks.l[last], breaks.r[last], out[0], out[1], -1);
        int looseUpTo = 0;
        int before = -1;
        int begin = 0;
        for (int round = 1; round < most; round++) {
            int finished = round < looseUpTo ? follow(begin, ways.size, loose) : follow(begin, ways.size);
            if (finished < 0 && best.size == 0) {
                finished = collectNearest(begin);
                if (best.v[0] - ways.v[begin] < smallest && before >= 0) {
                    // A piece thinner than the smallest is only made where nothing else is possible.
                    boolean goesOn = goBack(before, begin);
                    looseUpTo = goesOn ? round + LOOSE_PIECES : 0;
                    finished = goesOn ? follow(begin, ways.size, loose) : -1;
                    if (finished < 0 && best.size == 0) {
                        finished = collectNearest(begin);
                    }
                }
            }
            if (finished >= 0) {
                finish(finished, breaks);
                return true;
            }
            before = begin;
            begin = ways.size;
            addBest();
        }
        return false;
    }

    private void addBest() {
        for (int k = 0; k < best.size; k++) {
            ways.add(best.v[k], best.l[k], best.r[k], best.outL[k], best.outR[k], best.from[k]);
        }
    }

    /** Adds a piece to each of the ways from {@code from} on, within the usual tolerance if one of them can go on so. */
    private int follow(int from, int to) {
        int finished = follow(from, to, usual);
        return finished < 0 && best.size == 0 && loose > usual ? follow(from, to, loose) : finished;
    }

    /**
     * Adds a piece to each of the ways from number {@code from} to {@code to - 1}; returns one that can reach the end with it, or -1, with what
     * others are worth in {@link #best}.
     */
    private int follow(int from, int to, double reachTolerance) {
        tolerance = reachTolerance;
        int finished = -1;
        double least = Double.MAX_VALUE;
        best.clear();
        for (int w = from; w < to; w++) {
            double reach = look(w);
            if (reach >= end && leftSide.allows(end, leftEnd) && rightSide.allows(end, rightEnd)) {
                double error = areaError(
                        ways.outL[w] + leftSide.addedAt(end, leftEnd), ways.outR[w] + rightSide.addedAt(end, rightEnd));
                if (error < least) {
                    least = error;
                    finished = w;
                }
            } else if (finished < 0) {
                collect(w, reach);
            }
        }
        return finished;
    }

    /**
     * Where no way goes on but with a thin piece: goes back by one piece and takes ways instead from which another can follow. On a curve that
     * zigzags with the grid of its vertices, what has come furthest may lie on the wrong side of it.
     *
     * @return whether there are any; they take the place of those from {@code begin} on
     */
    private boolean goBack(int before, int begin) {
        looksAhead = true;
        leastAhead = Math.min(end, ways.v[begin] + smallest);
        follow(before, begin);
        looksAhead = false;
        if (best.size == 0) {
            return false;
        }
        ways.size = begin;
        addBest();
        return true;
    }

    /** Sets the wedges to where way {@code w} stands; returns how high the next piece can reach. */
    private double look(int w) {
        leftSide.begin(left, ways.v[w], ways.l[w], tolerance);
        double reach = leftSide.grow(end);
        rightSide.begin(right, ways.v[w], ways.r[w], tolerance);
        return rightSide.grow(reach);
    }

    private void collect(int w, double reach) {
        double a = ways.v[w];
        double highest = Math.min(reach, end - smallest);
        double lowest = Math.max(a + smallest, a + SHORTEST_SHARE * (highest - a));
        double pace = looksAhead ? Math.max(stride, Math.floor((highest - lowest) / MOST_LOOKED_AT)) : stride;
        for (double b = Math.floor(highest); b >= lowest; b -= pace) {
            if (!looksAhead && best.isFull() && b <= best.lowestScore()) {
                break;
            }
            offer(w, b);
        }
    }

    /** Offers all places on the grid where the next piece can end at height {@code b}. */
    private void offer(int w, double b) {
        SideWedge l = leftSide;
        SideWedge r = rightSide;
        if (l.isOpen(b) && r.isOpen(b) && l.endOpen(b) && r.endOpen(b)) {
            for (int i = 0; i < l.ends; i++) {
                for (int j = 0; j < r.ends; j++) {
                    if (l.end[i] > r.end[j]) {
                        // Putting the ends in order afterwards would bend a side further than looked at.
                        continue;
                    }
                    double reached = looksAhead ? reachAfter(b, l.end[i], r.end[j]) : b;
                    if (reached == Double.NEGATIVE_INFINITY) {
                        continue;
                    }
                    double outL = ways.outL[w] + l.added[i];
                    double outR = ways.outR[w] + r.added[j];
                    best.offer(reached - AREA_PRICE * areaError(outL, outR), b, l.end[i], r.end[j], outL, outR, w);
                }
            }
        }
    }

    /** How high a piece can reach that follows one which ends at height {@code b}; minus infinity if it would be thin or not get far enough. */
    private double reachAfter(double b, double l, double r) {
        leftAhead.begin(left, b, l, loose);
        rightAhead.begin(right, b, r, loose);
        double reach = rightAhead.grow(leftAhead.grow(end));
        if (reach >= end && leftAhead.allows(end, leftEnd) && rightAhead.allows(end, rightEnd)) {
            return end;
        }
        double highest = Math.floor(Math.min(reach, end - smallest));
        double lowest = Math.max(leastAhead, b + smallest);
        double pace = Math.max(stride, Math.floor((highest - lowest) / MOST_LOOKED_AT));
        for (double v = highest; v >= lowest; v -= pace) {
            if (leftAhead.isOpen(v) && rightAhead.isOpen(v) && leftAhead.endOpen(v) && rightAhead.endOpen(v)) {
                return v;
            }
        }
        return Double.NEGATIVE_INFINITY;
    }

    /** The error in area of the shape, and that of each border at half its weight, so that both stay in place. */
    private static double areaError(double left, double right) {
        return Math.abs(left + right) + 0.5 * (Math.abs(left) + Math.abs(right));
    }

    /** Adds a piece of any height to way {@code w}; returns the way if that reaches the end, or -1. */
    private int collectNearest(int w) {
        tolerance = loose;
        double a = ways.v[w];
        double reach = look(w);
        best.clear();
        for (double b = Math.floor(Math.min(reach, end - 1)); b > a && best.size == 0; b -= stride) {
            offer(w, b);
        }
        if (best.size == 0) {
            // Nothing on the grid lies within the tolerance: the nearest place has to do.
            double b = nextVertex(a);
            best.offer(0, b, nearest(left, b), nearest(right, b), ways.outL[w], ways.outR[w], w);
        }
        return best.v[0] >= end ? w : -1;
    }

    private double nextVertex(double a) {
        int l = chains.findEdge(left, a);
        int r = chains.findEdge(right, a);
        double next = Math.min(chains.v[l + 1], chains.v[r + 1]);
        return Math.min(end, Math.max(a + 1, Math.rint(next)));
    }

    private double nearest(int chain, double at) {
        return Math.rint(chains.drawnAt(chains.findEdge(chain, at), at));
    }

    private void finish(int w, Breaks breaks) {
        int count = 0;
        for (int k = w; ways.from[k] >= 0; k = ways.from[k]) {
            count++;
        }
        int at = breaks.size + count;
        breaks.resize(at);
        for (int k = w; ways.from[k] >= 0; k = ways.from[k]) {
            breaks.set(--at, ways.v[k], ways.l[k], ways.r[k]);
        }
        breaks.add(end, leftEnd, rightEnd, true);
    }
}
