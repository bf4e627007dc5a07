package evendose.correction;

import evendose.pieces.OutlinePoints;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * Where a part of a shape is best divided into two dose units: along the border that takes away most of the squares of what is off along
 * its outline. Known from the points where the outline was measured.
 */
final class BestBorder {
    /** Shortest straight outline that a dose of its own makes sense for, direct ranges: nearer neighbours trade with each other. */
    static final double SHORTEST = 5;

    /** How far from the outline a border may run along it, as a share of the shortest: doses of two sides so far from it hardly trade. */
    private static final double BESIDE = 0.5;

    /** Of the shorter part, the share that may lie nearer to a border that runs along the outline: ends of bars. */
    private static final double SEVERED = 0.2;

    /** Outline that a part has at least, as it counts where units are judged, as a share of the shortest. */
    private static final double LEAST = 0.4;

    /** Neighbours along the outline, with corners or short sides between them, are at most so much farther apart than what they stand for, shortest lengths. */
    private static final double CORNER = 1.6;

    /** Borders that are told of one part, at most. */
    private static final int MOST = 6;

    /** Errors are told apart down to this, so that the engine's own do not decide anything. */
    private static final double GRAIN = 1e-4;

    /** Points this near to each other are in one place, um. */
    private static final double ROUNDING = 1e-6;

    private final OutlinePoints points;
    private final double[] off;
    private final double shortestUm;
    private final double leastUm;
    private final double besideUm;

    /**
     * Borders between points of an outline.
     *
     * @param off by how much the energy at each point is off, relative to its target
     * @param shortestUm shortest straight outline of a part, um
     */
    BestBorder(OutlinePoints points, double[] off, double shortestUm) {
        this.points = points;
        this.off = Arrays.stream(off).map(e -> GRAIN * Math.rint(e / GRAIN)).toArray();
        this.shortestUm = shortestUm * (1 - ROUNDING);
        this.leastUm = LEAST * this.shortestUm;
        this.besideUm = BESIDE * this.shortestUm;
    }

    /**
     * A border and what it is worth.
     *
     * @param alongY whether {@code at} is a height: the border runs along x
     * @param at where it lies, um
     * @param worth length of outline times squares of relative errors that it takes away, um
     * @param apart by how much means of both parts differ
     */
    record Found(boolean alongY, double at, double worth, double apart) {}

    /**
     * {@return borders worth at least so much, or with parts that differ by so much, the best first; none if no parts can be told that
     * could have doses of their own}
     *
     * @param inside points in the part
     * @param least what a border has to be worth, unless...
     * @param apart ...means of both parts differ by at least this
     * @param box left, bottom, right, top of the place of the part, um
     */
    List<Found> of(int[] inside, double least, double apart, double... box) {
        List<Found> found = new ArrayList<>();
        find(found, inside, least, apart, false, points.inCellXUm(), box[0], box[2]);
        find(found, inside, least, apart, true, points.inCellYUm(), box[1], box[3]);
        // Upright ones first where they are worth the same.
        found.sort((a, b) -> Double.compare(grains(b.worth), grains(a.worth)));
        List<Found> best = new ArrayList<>();
        for (Found f : found) {
            boolean isAnother = best.stream().noneMatch(b -> b.alongY == f.alongY && Math.abs(b.at - f.at) < besideUm);
            if (isAnother && best.size() < MOST) {
                best.add(f);
            }
        }
        return best;
    }

    private double grains(double worth) {
        return Math.rint(worth / (GRAIN * GRAIN * shortestUm));
    }

    private void find(
            List<Found> found,
            int[] inside,
            double least,
            double apart,
            boolean alongY,
            double[] along,
            double from,
            double to) {
        if (to - from < 2 * besideUm) {
            return;
        }
        int n = inside.length;
        Integer[] sorted = new Integer[n];
        double length = 0;
        double sum = 0;
        double outline = 0;
        for (int k = 0; k < n; k++) {
            sorted[k] = k;
            length += points.lengthUm()[inside[k]];
            sum += points.lengthUm()[inside[k]] * off[inside[k]];
            outline += k > 0 ? step(inside, k) : 0;
        }
        Arrays.sort(sorted, (a, b) -> Double.compare(along[inside[a]], along[inside[b]]));
        boolean[] isLow = new boolean[n];
        double lower = 0;
        double lowerSum = 0;
        double lowerOutline = 0;
        double crossing = 0;
        int crossings = 0;
        for (int k = 0; k + 1 < n; k++) {
            int i = sorted[k];
            int p = inside[i];
            isLow[i] = true;
            for (int next = i; next <= i + 1; next++) {
                double step = next > 0 && next < n ? step(inside, next) : 0;
                if (step > 0 && isLow[next == i ? i - 1 : next]) {
                    crossings--;
                    crossing -= step;
                    lowerOutline += step;
                } else if (step > 0) {
                    crossings++;
                    crossing += step;
                }
            }
            lower += points.lengthUm()[p];
            lowerSum += points.lengthUm()[p] * off[p];
            double upper = length - lower;
            double after = along[inside[sorted[k + 1]]];
            if (after - along[p] < ROUNDING || lower < leastUm || upper < leastUm) {
                continue;
            }
            double difference = lowerSum / lower - (sum - lowerSum) / upper;
            double worth = lower * upper / length * difference * difference;
            double upperOutline = outline - lowerOutline - crossing;
            // Outline that a border crosses goes on for half a shortest length to either side, on average.
            boolean isLong = crossings * shortestUm
                    <= (1 + 2 * ROUNDING)
                            * Math.min(
                                    Math.max(lower, lowerOutline + 0.5 * crossing),
                                    Math.max(upper, upperOutline + 0.5 * crossing));
            boolean isWanted = worth >= least || Math.abs(difference) >= apart;
            if (isWanted && isLong) {
                double at = place(inside, sorted, along, k, from, to, Math.min(lower, upper));
                if (!Double.isNaN(at)) {
                    found.add(new Found(alongY, at, worth, Math.abs(difference)));
                }
            }
        }
    }

    /** How far point {@code k} of a part lies from the one before along the outline, um; 0 if they are no neighbours. */
    private double step(int[] inside, int k) {
        int p = inside[k - 1];
        int q = inside[k];
        if (q != p + 1) {
            return 0;
        }
        double step = Math.abs(points.inCellXUm()[q] - points.inCellXUm()[p])
                + Math.abs(points.inCellYUm()[q] - points.inCellYUm()[p]);
        double most = 0.5 * (points.lengthUm()[p] + points.lengthUm()[q]) + CORNER * shortestUm;
        return step <= Math.sqrt(2) * most ? step : 0;
    }

    /** A place for a border between point k and the next, as near to their middle as the parts allow; NaN if there is none. */
    private double place(
            int[] inside, Integer[] sorted, double[] along, int k, double from, double to, double shorter) {
        double before = along[inside[sorted[k]]];
        double after = along[inside[sorted[k + 1]]];
        double at = Math.max(from + besideUm, Math.min(to - besideUm, 0.5 * (before + after)));
        if (at <= before || at >= after) {
            return Double.NaN;
        }
        double low = 0;
        for (int i = k; i >= 0 && at - along[inside[sorted[i]]] < besideUm; i--) {
            low += points.lengthUm()[inside[sorted[i]]];
        }
        double high = 0;
        for (int i = k + 1; i < sorted.length && along[inside[sorted[i]]] - at < besideUm; i++) {
            high += points.lengthUm()[inside[sorted[i]]];
        }
        // Outline that the border crosses has as many points on either side; what runs along it has not.
        return Math.abs(high - low) <= SEVERED * shorter ? at : Double.NaN;
    }
}
