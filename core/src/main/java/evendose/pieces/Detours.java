package evendose.pieces;

import java.util.Arrays;

/**
 * Ways around a place where all ways that were followed can go on with a short piece only. Takes all places on the grid where pieces may end, piece by
 * piece, from the ways before on, until some lie beyond that place and can go on. On a curve that zigzags with the grid of its
 * vertices, what has come furthest may lie on the wrong side of it.
 */
final class Detours {
    /** Heights that are looked at for one piece, at most about. */
    private static final int MOST_LOOKED_AT = 32;

    /** Pieces that a detour has, at most. */
    private static final int MOST_PIECES = 4;

    /** Places from which a detour goes on, at most. */
    private static final int MOST_PLACES = 64;

    /** Places that are looked at once there are as many ways beyond as are followed. */
    private static final int MOST_MORE = 6;

    private static final int NONE = -1;

    /** In place of the newest place at a height: not looked at, and one at which no piece can begin. */
    private static final int UNSEEN = -2;

    private static final int CLOSED = -3;

    private final double tolerance;
    private final double stride;
    private final Span span;
    private final SideWedge leftSide;
    private final SideWedge rightSide;
    private final SideWedge leftAhead;
    private final SideWedge rightAhead;

    /** Where pieces of detours end; those that were begun with come first, and come from the ways themselves. */
    private final CutWays places = new CutWays();

    /** The place found last at each height, and of each place the one found before it at the same height. */
    private int[] newest = new int[256];

    private int[] former = new int[256];
    private double lowest;

    /** The best places beyond, and how they are reached. */
    private final CutWays found = new CutWays();

    Detours(Chains chains, double tolerance, double stride, Span span) {
        this.tolerance = tolerance;
        this.stride = stride;
        this.span = span;
        this.leftSide = new SideWedge(chains);
        this.rightSide = new SideWedge(chains);
        this.leftAhead = new SideWedge(chains);
        this.rightAhead = new SideWedge(chains);
    }

    /**
     * Finds the shortest detours from ways number {@code from} to the last one.
     *
     * @param beyond where they have to get at least, not above the end of the span
     * @param best takes the ways that they lead to; what lies before the last pieces is added to {@code ways}
     * @return a way that can reach the end with one more piece, or -1
     */
    int find(CutWays ways, int from, double beyond, CutWays best) {
        best.clear();
        places.clear();
        found.clear();
        lowest = Math.floor(ways.v[from]);
        for (int w = from; w < ways.size; w++) {
            lowest = Math.min(lowest, Math.floor(ways.v[w]));
        }
        int heights = (int) (beyond - lowest) + 1;
        if (newest.length < heights) {
            newest = new int[2 * heights];
        }
        Arrays.fill(newest, 0, heights, UNSEEN);
        for (int w = from; w < ways.size; w++) {
            if (ways.v[w] < beyond) {
                add(ways.v[w], ways.l[w], ways.r[w], ways.outL[w], ways.outR[w], w);
            }
        }
        int begun = places.size;
        int first = 0;
        for (int piece = 0; piece < MOST_PIECES && first < places.size && first < MOST_PLACES; piece++) {
            int end = Math.min(places.size, MOST_PLACES);
            int finished = NONE;
            double least = Double.MAX_VALUE;
            int full = end;
            for (int p = first; p < end && p < full + MOST_MORE; p++) {
                double reach = look(p);
                if (reach >= span.end && places.v[p] <= span.lastBegin && span.allowsEnd(leftSide, rightSide)) {
                    double error = SpanCutter.areaError(
                            places.outL[p] + leftSide.addedAt(span.end, span.leftEnd),
                            places.outR[p] + rightSide.addedAt(span.end, span.rightEnd));
                    if (error < least) {
                        least = error;
                        finished = p;
                    }
                } else if (finished == NONE) {
                    collect(p, reach, beyond);
                    full = found.isFull() && full == end ? p : full;
                }
            }
            if (finished != NONE) {
                return way(finished, begun, ways);
            }
            if (found.size > 0) {
                for (int k = 0; k < found.size; k++) {
                    int w = way(found.from[k], begun, ways);
                    best.add(found.v[k], found.l[k], found.r[k], found.outL[k], found.outR[k], w);
                }
                return NONE;
            }
            first = end;
        }
        return NONE;
    }

    /** The way that place {@code p} is; places on the way there become ways. */
    private int way(int p, int begun, CutWays ways) {
        if (p < begun) {
            return places.from[p];
        }
        int before = way(places.from[p], begun, ways);
        ways.add(places.v[p], places.l[p], places.r[p], places.outL[p], places.outR[p], before);
        return ways.size - 1;
    }

    private double look(int p) {
        leftSide.begin(span.left, places.v[p], places.l[p], tolerance);
        rightSide.begin(span.right, places.v[p], places.r[p], tolerance);
        return rightSide.grow(leftSide.grow(span.end));
    }

    private void collect(int p, double reach, double beyond) {
        double highest = Math.floor(Math.min(reach, span.lastBegin));
        double low = span.lowestEnd(places.v[p]);
        double pace = Math.max(stride, Math.floor((highest - low) / MOST_LOOKED_AT));
        for (double b = highest; b >= low && (b >= beyond || found.size == 0); b -= pace) {
            if (!leftSide.isOpen(b) || !rightSide.isOpen(b) || !leftSide.endOpen(b) || !rightSide.endOpen(b)) {
                continue;
            }
            for (int i = 0; i < leftSide.ends; i++) {
                for (int j = 0; j < rightSide.ends; j++) {
                    if (leftSide.end[i] <= rightSide.end[j]) {
                        take(p, b, i, j, beyond);
                    }
                }
            }
        }
    }

    private void take(int p, double b, int i, int j, double beyond) {
        double l = leftSide.end[i];
        double r = rightSide.end[j];
        double outL = places.outL[p] + leftSide.added[i];
        double outR = places.outR[p] + rightSide.added[j];
        if (b < beyond) {
            if (goesOn(b) && !isKnown(b, l, r)) {
                add(b, l, r, outL, outR, p);
            }
            return;
        }
        double price = SpanCutter.AREA_PRICE * SpanCutter.areaError(outL, outR);
        double reached = reachAfter(b, l, r, found.isFull() ? found.lowestScore() + price : b);
        if (reached > b) {
            found.offer(reached - price, b, l, r, outL, outR, p);
        }
    }

    /** Whether a piece can begin at a height. */
    private boolean goesOn(double v) {
        int height = (int) (v - lowest);
        if (newest[height] == UNSEEN) {
            newest[height] = span.allowsPiece(v, tolerance) ? NONE : CLOSED;
        }
        return newest[height] != CLOSED;
    }

    private boolean isKnown(double v, double l, double r) {
        for (int p = newest[(int) (v - lowest)]; p >= 0; p = former[p]) {
            if (places.v[p] == v && places.l[p] == l && places.r[p] == r) {
                return true;
            }
        }
        return false;
    }

    private void add(double v, double l, double r, double outL, double outR, int from) {
        if (places.size == former.length) {
            former = Arrays.copyOf(former, 2 * former.length);
        }
        int height = (int) (v - lowest);
        former[places.size] = newest[height];
        newest[height] = places.size;
        places.add(v, l, r, outL, outR, from);
    }

    /** How high a piece can reach that follows one which ends at height {@code b}; minus infinity if it would be thin or get no higher than so. */
    private double reachAfter(double b, double l, double r, double least) {
        leftAhead.begin(span.left, b, l, tolerance);
        rightAhead.begin(span.right, b, r, tolerance);
        double reach = rightAhead.grow(leftAhead.grow(span.end));
        if (reach >= span.end && b <= span.lastBegin && span.allowsEnd(leftAhead, rightAhead)) {
            return span.end;
        }
        double highest = Math.floor(Math.min(reach, span.lastBegin));
        double low = span.lowestEnd(b);
        double pace = Math.max(stride, Math.floor((highest - low) / MOST_LOOKED_AT));
        for (double v = highest; v >= low && v > least; v -= pace) {
            if (leftAhead.isOpen(v) && rightAhead.isOpen(v) && leftAhead.endOpen(v) && rightAhead.endOpen(v)) {
                return v;
            }
        }
        return Double.NEGATIVE_INFINITY;
    }
}
