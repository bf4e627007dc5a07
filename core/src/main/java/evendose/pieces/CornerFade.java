package evendose.pieces;

import org.apache.commons.numbers.gamma.Erfc;

/**
 * How much outline near a corner counts: corners round whatever the dose, so it fades out by
 *
 * <pre>g(t) = t^8 / (t^8 + 1.75^8)</pre>
 *
 * <p>t direct ranges from the corner. It is nowhere 0, so that a shape all of whose outline lies near corners is judged where it is
 * farthest from them, and nothing jumps when a side grows.
 */
final class CornerFade {
    /** Where the outline counts half, direct ranges. */
    private static final double HALF = 1.75;

    /** Beyond this distance, direct ranges, the outline counts in full. */
    static final double REACH = 3;

    /** Nearer than this to the corner of a long side, direct ranges, it counts for less than 2e-3 and is left out. */
    static final double NOTHING = 0.75;

    /** What the outline from a corner to {@link #REACH} counts, direct ranges. */
    static final double END_WEIGHT;

    /**
     * The one point, direct ranges from the corner, that stands for it: there the energy of a corner, which falls off by erfc(t) / 2
     * along its sides, has its weighted mean.
     */
    static final double END_PLACE;

    static {
        int n = 3000;
        double sum = 0;
        double missing = 0;
        for (int i = 0; i < n; i++) {
            double t = REACH * (i + 0.5) / n;
            sum += of(t) * REACH / n;
            missing += of(t) * Erfc.value(t) * REACH / n;
        }
        END_WEIGHT = sum;
        double low = 0;
        double high = REACH;
        while (high - low > 1e-12) {
            double middle = 0.5 * (low + high);
            if (Erfc.value(middle) > missing / sum) {
                low = middle;
            } else {
                high = middle;
            }
        }
        END_PLACE = 0.5 * (low + high);
    }

    private CornerFade() {}

    /** The weight at {@code t} direct ranges from a corner. */
    static double of(double t) {
        double x = t / HALF;
        double x2 = x * x;
        double x4 = x2 * x2;
        double x8 = x4 * x4;
        return x8 / (x8 + 1);
    }
}
