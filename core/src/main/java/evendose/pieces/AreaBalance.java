package evendose.pieces;

/** Moves breaks of a run within the tolerance such that its area comes out: in each round one break or two, which do not adjoin. */
final class AreaBalance {
    /** Breaks that are tried to be moved, at most about, and how far. */
    private static final int MOST_MOVED = 8;

    private static final double MOVED = 8;

    private static final int ROUNDS = 3;

    /** Errors that differ by less, square grid units, are the same: a moved layout is cut at the same places. */
    private static final double ROUNDING = 1e-4;

    private final double tolerance;
    private final double smallest;
    private final SideWedge leftSide;
    private final SideWedge rightSide;
    private final SideWedge ahead;

    /** Places that breaks may move to: the break, and in place of the left area what the move adds. */
    private final CutWays moves = new CutWays();

    AreaBalance(Chains chains, double tolerance, double smallest) {
        this.tolerance = tolerance;
        this.smallest = smallest;
        this.leftSide = new SideWedge(chains);
        this.rightSide = new SideWedge(chains);
        this.ahead = new SideWedge(chains);
    }

    /** Moves breaks of the run between two chains, which has added {@code error} to the area, until no more than {@code allowed} is left. */
    void even(Breaks breaks, int left, int right, double error, double allowed) {
        double rest = error;
        for (int round = 0; round < ROUNDS && Math.abs(rest) > allowed; round++) {
            moves.clear();
            int step = 1 + (breaks.size - 2) / MOST_MOVED;
            for (int k = 1 + round % step; k < breaks.size - 1; k += step) {
                if (!breaks.isStop[k]) {
                    collect(breaks, left, right, k);
                }
            }
            double moved = moveBest(breaks, rest);
            if (moved == 0) {
                return;
            }
            rest += moved;
        }
    }

    /** Makes the move or the two that leave least of the error; returns what they add to the area. */
    private double moveBest(Breaks breaks, double error) {
        int best = -1;
        int second = -1;
        double least = Math.abs(error) - ROUNDING;
        for (int i = 0; i < moves.size; i++) {
            if (Math.abs(error + moves.outL[i]) < least) {
                least = Math.abs(error + moves.outL[i]) - ROUNDING;
                best = i;
                second = -1;
            }
            for (int j = 0; j < i; j++) {
                if (moves.from[i] - moves.from[j] > 1 && Math.abs(error + moves.outL[i] + moves.outL[j]) < least) {
                    least = Math.abs(error + moves.outL[i] + moves.outL[j]) - ROUNDING;
                    best = i;
                    second = j;
                }
            }
        }
        return move(breaks, best) + move(breaks, second);
    }

    private double move(Breaks breaks, int i) {
        if (i < 0) {
            return 0;
        }
        breaks.set(moves.from[i], moves.v[i], moves.l[i], moves.r[i]);
        return moves.outL[i];
    }

    /** Other places for break {@code k} and what each adds to the area. */
    private void collect(Breaks breaks, int left, int right, int k) {
        double low = breaks.v[k - 1];
        double high = breaks.v[k + 1];
        double before = breaks.area(k) + breaks.area(k + 1);
        double v = breaks.v[k];
        double l = breaks.l[k];
        double r = breaks.r[k];
        leftSide.begin(left, low, breaks.l[k - 1], tolerance);
        rightSide.begin(right, low, breaks.r[k - 1], tolerance);
        double reach = rightSide.grow(leftSide.grow(high));
        double last = Math.min(v + MOVED, Math.min(reach, high - smallest));
        for (double b = Math.max(v - MOVED, low + smallest); b <= last; b++) {
            if (!leftSide.end(b) || !rightSide.end(b)) {
                continue;
            }
            for (int i = 0; i < leftSide.ends; i++) {
                for (int j = 0; j < rightSide.ends; j++) {
                    double lb = leftSide.end[i];
                    double rb = rightSide.end[j];
                    if (lb <= rb
                            && goesOn(left, b, lb, high, breaks.l[k + 1])
                            && goesOn(right, b, rb, high, breaks.r[k + 1])) {
                        breaks.set(k, b, lb, rb);
                        moves.add(b, lb, rb, breaks.area(k) + breaks.area(k + 1) - before, 0, k);
                    }
                }
            }
        }
        breaks.set(k, v, l, r);
    }

    private boolean goesOn(int chain, double a, double ua, double b, double ub) {
        ahead.begin(chain, a, ua, tolerance);
        return ahead.grow(b) >= b && ahead.allows(b, ub);
    }
}
