package evendose.pieces;

import java.util.Arrays;

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
    static final double AREA_PRICE = 0.2;

    /** Pieces that keep the wider tolerance where a curve has asked for it by zigzagging, or more would be cut from it than saved. */
    private static final int LOOSE_PIECES = 4;

    /** Where no piece higher than so many smallest extents would go on, it is worth going back. */
    private static final double SHORT = 4;

    /** Pieces to go back by, at most, and how often between two stops by more than one. */
    private static final int MOST_BACK = 3;

    private static final int MOST_DEEP = 8;

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
    private final Detours detours;
    private final Span span;

    /** Where the ways of each round before begin. */
    private int[] rounds = new int[64];

    private int behind;

    private int deepLeft;

    /** Where the ways of the round begin that is to go on. */
    private int begin;

    /** Below this no way around is looked for again. */
    private double failedUpTo;

    private double tolerance;

    SpanCutter(Chains chains, double tolerance, double smallest) {
        this.chains = chains;
        this.usual = tolerance;
        this.loose = loose(tolerance);
        this.stride = Math.max(1, Math.floor(tolerance));
        this.smallest = smallest;
        this.leftSide = new SideWedge(chains);
        this.rightSide = new SideWedge(chains);
        this.span = new Span(chains, smallest);
        this.detours = new Detours(chains, loose, stride, span);
    }

    /** How far a side may stray where the tolerance leaves no way. */
    static double loose(double tolerance) {
        return Math.max(tolerance, HALF_DIAGONAL);
    }

    /** Begins a run between two chains. */
    void begin(int leftChain, int rightChain) {
        span.left = leftChain;
        span.right = rightChain;
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
        span.set(breaks.v[last], breaks.l[last], breaks.r[last], to, lTo, rTo);
        ways.clear();
        ways.add(breaks.v[last], breaks.l[last], breaks.r[last], out[0], out[1], -1);
        failedUpTo = Double.NEGATIVE_INFINITY;
        int looseUpTo = 0;
        behind = 0;
        begin = 0;
        deepLeft = MOST_DEEP;
        double fewest = most;
        for (int round = 1; round < fewest; round++) {
            int finished = round < looseUpTo ? follow(begin, ways.size, loose) : follow(begin, ways.size);
            if (finished < 0 && best.size == 0) {
                finished = collectNearest(begin);
                double height = best.v[0] - ways.v[begin];
                boolean isAround = false;
                if (height < SHORT * smallest && behind > 0) {
                    finished = goBack();
                    isAround = finished >= 0 || best.size > 0;
                    finished = isAround ? finished : collectNearest(begin);
                }
                if (isAround) {
                    round = 1 + count(finished >= 0 ? finished : best.from[0]);
                    looseUpTo = round + LOOSE_PIECES;
                } else {
                    looseUpTo = 0;
                    fewest -= height < smallest ? Cut.THIN : 0;
                }
            }
            if (finished >= 0) {
                finish(finished, breaks);
                return round < fewest;
            }
            if (behind == rounds.length) {
                rounds = Arrays.copyOf(rounds, 2 * behind);
            }
            rounds[behind++] = begin;
            begin = ways.size;
            addBest();
        }
        return false;
    }

    /** Pieces up to where way {@code w} stands. */
    private int count(int w) {
        int count = 0;
        for (int k = w; ways.from[k] >= 0; k = ways.from[k]) {
            count++;
        }
        return count;
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
            if (reach >= span.end && span.allowsEnd(leftSide, rightSide)) {
                double error = areaError(
                        ways.outL[w] + leftSide.addedAt(span.end, span.leftEnd),
                        ways.outR[w] + rightSide.addedAt(span.end, span.rightEnd));
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
     * Where no way goes on but with a short piece: goes back by one piece, or by some where only the grid is in the way, and takes ways around that
     * place.
     *
     * @return a way that can reach the end with one more piece, or -1, with others in {@link #best}
     */
    private int goBack() {
        double highest = ways.v[begin];
        for (int w = begin + 1; w < ways.size; w++) {
            highest = Math.max(highest, ways.v[w]);
        }
        best.clear();
        if (highest < failedUpTo || !span.allowsPieceAcross(highest, loose)) {
            return -1;
        }
        int size = ways.size;
        int most = deepLeft > 0 && span.zigzags(highest) ? Math.min(behind, MOST_BACK) : 1;
        deepLeft -= most > 1 ? 1 : 0;
        for (int back = 1; back <= most; back++) {
            int first = rounds[behind - back];
            ways.size = back > 1 ? rounds[behind - back + 1] : begin;
            int finished = detours.find(ways, first, span.beyond(highest), best);
            if (finished >= 0 || best.size > 0) {
                begin = back > 1 ? rounds[behind - back + 1] : begin;
                behind -= back - 1;
                return finished;
            }
        }
        ways.size = size;
        failedUpTo = highest + smallest;
        return -1;
    }

    /** Sets the wedges to where way {@code w} stands; returns how high the next piece can reach. */
    private double look(int w) {
        leftSide.begin(span.left, ways.v[w], ways.l[w], tolerance);
        double reach = leftSide.grow(span.end);
        rightSide.begin(span.right, ways.v[w], ways.r[w], tolerance);
        return rightSide.grow(reach);
    }

    private void collect(int w, double reach) {
        double a = ways.v[w];
        double highest = Math.min(reach, span.lastBegin);
        double lowest = Math.max(span.lowestEnd(a), a + SHORTEST_SHARE * (highest - a));
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
        if (l.isOpen(b) && r.isOpen(b) && l.endOpen(b) && r.endOpen(b)) {
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
    static double areaError(double left, double right) {
        return Math.abs(left + right) + 0.5 * (Math.abs(left) + Math.abs(right));
    }

    /** Adds a piece of any height to way {@code w}; returns the way if that reaches the end, or -1. */
    private int collectNearest(int w) {
        tolerance = loose;
        double a = ways.v[w];
        double reach = look(w);
        best.clear();
        for (double b = Math.floor(Math.min(reach, span.end - 1)); b > a && best.size == 0; b -= stride) {
            offer(w, b);
        }
        if (best.size == 0) {
            // Nothing on the grid lies within the tolerance: the nearest place has to do.
            double b = nextVertex(a);
            best.offer(0, b, nearest(span.left, b), nearest(span.right, b), ways.outL[w], ways.outR[w], w);
        }
        return best.v[0] >= span.end ? w : -1;
    }

    private double nextVertex(double a) {
        int l = chains.findEdge(span.left, a);
        int r = chains.findEdge(span.right, a);
        double next = Math.min(chains.v[l + 1], chains.v[r + 1]);
        return Math.min(span.end, Math.max(a + 1, Math.rint(next)));
    }

    private double nearest(int chain, double at) {
        return Math.rint(chains.drawnAt(chains.findEdge(chain, at), at));
    }

    private void finish(int w, Breaks breaks) {
        int at = breaks.size + count(w);
        breaks.resize(at);
        for (int k = w; ways.from[k] >= 0; k = ways.from[k]) {
            breaks.set(--at, ways.v[k], ways.l[k], ways.r[k]);
        }
        breaks.add(span.end, span.leftEnd, span.rightEnd, true);
    }
}
