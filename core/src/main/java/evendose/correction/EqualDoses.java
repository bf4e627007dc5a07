package evendose.correction;

import evendose.pieces.Pieces;
import java.util.Arrays;

/**
 * Makes doses of a shape equal that differ by less than it matters, so that their pieces can be joined: doses that lie within the
 * tolerance of each other get the middle of their range, so none moves by more than half the tolerance.
 */
final class EqualDoses {
    private final Pieces pieces;
    private final double range;

    EqualDoses(Pieces pieces, double tolerance) {
        this.pieces = pieces;
        this.range = tolerance;
    }

    /** Largest relative change of a dose. */
    double mostMoved() {
        return 0.5 * range;
    }

    /**
     * Changes the doses of units; those that are fixed or at a bound keep theirs. Returns whether any has changed.
     *
     * @param factor dose factor of each unit
     * @param fixed fixed factors, NaN for corrected units
     */
    boolean apply(double[] factor, double[] fixed, double min, double max) {
        boolean changed = false;
        for (int s = 0; s < pieces.shapes(); s++) {
            int from = pieces.shapeFirst(s);
            int to = pieces.shapeFirst(s + 1);
            if (to - from > 1) {
                changed |= apply(factor, fixed, min, max, from, to);
            }
        }
        return changed;
    }

    private boolean apply(double[] factor, double[] fixed, double min, double max, int from, int to) {
        double[] sorted = new double[to - from];
        int n = 0;
        for (int u = from; u < to; u++) {
            if (isFree(factor[u], fixed[u], min, max)) {
                sorted[n++] = factor[u];
            }
        }
        Arrays.sort(sorted, 0, n);
        double[] begin = new double[n];
        double[] shared = new double[n];
        int groups = 0;
        for (int k = 0; k < n; ) {
            int last = k;
            while (last + 1 < n && sorted[last + 1] <= sorted[k] * (1 + range)) {
                last++;
            }
            begin[groups] = sorted[k];
            shared[groups++] = 0.5 * (sorted[k] + sorted[last]);
            k = last + 1;
        }
        boolean changed = false;
        for (int u = from; u < to; u++) {
            if (isFree(factor[u], fixed[u], min, max)) {
                int g = Arrays.binarySearch(begin, 0, groups, factor[u]);
                double equal = shared[g >= 0 ? g : -g - 2];
                changed |= equal != factor[u];
                factor[u] = equal;
            }
        }
        return changed;
    }

    /** Whether a unit's dose may change: it is neither fixed, NaN otherwise, nor held at a bound. */
    static boolean isFree(double factor, double fixed, double min, double max) {
        return Double.isNaN(fixed) && factor > min && factor < max;
    }
}
