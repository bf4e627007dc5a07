package evendose.pieces;

/**
 * The part of a run from one height where the outline asks for a break to the next, and how near its ends pieces may end: none is thin in either
 * direction where the part ends in a tip.
 */
final class Span {
    /** Heights that are looked at for the end of a tip, smallest extents. */
    private static final double LONGEST_TIP = 64;

    int left;
    int right;
    double begin;
    double end;
    double leftEnd;
    double rightEnd;

    /** Where the first piece may end, at least, and the last one begin, at most. */
    private double firstEnd;

    double lastBegin;

    private final Chains chains;
    private final double smallest;

    Span(Chains chains, double smallest) {
        this.chains = chains;
        this.smallest = smallest;
    }

    /** Sets both ends; of each the height, and where the left and the right side lie there. */
    void set(double from, double l0, double r0, double to, double l1, double r1) {
        begin = from;
        end = to;
        leftEnd = l1;
        rightEnd = r1;
        firstEnd = from + smallest;
        lastBegin = to - smallest;
        if (r0 - l0 < smallest) {
            firstEnd = wide(l0, r0, Math.ceil(firstEnd), 1);
        }
        if (r1 - l1 < smallest) {
            lastBegin = wide(l1, r1, Math.floor(lastBegin), -1);
        }
    }

    /** Where a piece is as wide as the smallest that comes from a tip, from height {@code at} on; there if it is nowhere. */
    private double wide(double l, double r, double at, double step) {
        double b = at;
        for (int k = 0; k < LONGEST_TIP * smallest && b > begin && b < end; k++) {
            if (Math.max(r, place(right, b)) - Math.min(l, place(left, b)) >= smallest) {
                return b;
            }
            b += step;
        }
        return at;
    }

    private double place(int chain, double at) {
        return chains.drawnAt(chains.findEdge(chain, at), at);
    }

    /** Whether both borders run straight enough for a piece of the smallest height that begins at {@code a}; false only if none is possible. */
    boolean allowsPiece(double a, double tolerance) {
        double b = Math.min(end, a + smallest);
        return isStraight(left, a, b, 3 * tolerance) && isStraight(right, a, b, 3 * tolerance);
    }

    /** Where a way has got beyond a height: one smallest piece above, or at the end if nothing can lie between. */
    double beyond(double at) {
        double beyond = Math.floor(at + smallest);
        return beyond > lastBegin ? end : beyond;
    }

    /** Whether the borders allow a piece that leads across a height, and one that ends the span where that has to be the same or the next. */
    boolean allowsPieceAcross(double at, double tolerance) {
        if (beyond(at) == end && !allowsPiece(end - smallest, tolerance)) {
            return false;
        }
        double highest = Math.min(at, end - smallest);
        for (double a = Math.max(begin, Math.ceil(at - smallest)); a <= highest; a++) {
            if (allowsPiece(a, tolerance)) {
                return true;
            }
        }
        return false;
    }

    /** Whether a border is drawn at a height with sides too short to hold two pieces: they turn to and fro with the grid. */
    boolean zigzags(double at) {
        return isShort(chains.findEdge(left, at)) || isShort(chains.findEdge(right, at));
    }

    private boolean isShort(int e) {
        return Math.hypot(chains.u[e + 1] - chains.u[e], chains.v[e + 1] - chains.v[e]) < 2 * smallest;
    }

    /** Whether the vertices of a border between two heights lie no farther than so from the straight line between its places there. */
    private boolean isStraight(int chain, double a, double b, double reach) {
        int e = chains.findEdge(chain, a);
        double ua = chains.drawnAt(e, a);
        double du = place(chain, b) - ua;
        double most = reach * Math.hypot(du, b - a);
        for (int k = e + 1; k < chains.last[chain] && chains.v[k] < b; k++) {
            if (Math.abs((chains.drawnU[k] - ua) * (b - a) - (chains.drawnV[k] - a) * du) > most) {
                return false;
            }
        }
        return true;
    }

    /** Whether a piece whose sides can reach the end may end where the span does. */
    boolean allowsEnd(SideWedge l, SideWedge r) {
        return l.allows(end, leftEnd) && r.allows(end, rightEnd);
    }

    /** Where a piece that begins at {@code a} may end, at least. */
    double lowestEnd(double a) {
        return a == begin ? firstEnd : a + smallest;
    }
}
