package evendose.correction;

import evendose.pieces.CellRule;
import evendose.pieces.OutlinePoints;
import evendose.pieces.Pieces;
import java.util.Arrays;

/**
 * Divides the cells in which the energy along the outline still varies: each where parts with the least squares of what then remains
 * come out, and again, until the energy varies by less than allowed or the parts would become too short for a dose of their own. What
 * lies in a cell is known from the points where it was measured.
 */
final class UnitDivision implements CellRule {
    /** Shortest part of the outline that a dose of its own makes sense for, direct ranges: nearer neighbours only trade with each other. */
    static final double SHORTEST = 5;

    /** Outline nearer than this to a border and running along it, direct ranges, is not cut off but left to the other side. */
    private static final double BESIDE = 2.5;

    /** How much of that a border may have, as a share of the outline of the shorter part. */
    private static final double SEVERED = 0.2;

    /** Parts whose means differ by less than this share of what is allowed are not worth doses of their own. */
    private static final double WORTH = 0.5;

    /** Errors are told apart down to this, so that the engine's own do not decide anything. */
    private static final double GRAIN = 1e-4;

    /** Points this near to the border of a cell belong to it, and points this near to each other are in one place, um. */
    private static final double ROUNDING = 1e-6;

    private final OutlinePoints points;
    private final double[] off;
    private final double allowed;
    private final double shortestUm;
    private final double besideUm;

    /** Points of each shape that is divided: firstOfShape[s] to firstOfShape[s + 1] - 1 in points. */
    private final int[] firstOfShape;

    private final boolean[] divided;

    // Points in the order of the buckets that they lie in.
    private final double bucketUm;
    private final double originXUm;
    private final double originYUm;
    private final int[] order;
    private final long[] places;

    /**
     * A rule.
     *
     * @param off by how much the energy at each point is off, relative to its target
     * @param isFree for each unit whether its dose may change
     * @param divisibleUm smallest extent of a unit that is worth dividing, um
     * @param bucketUm about the size of the smaller cells, um: only speed depends on it
     * @param allowed largest difference between errors within a unit
     */
    UnitDivision(
            Pieces pieces,
            OutlinePoints points,
            double[] off,
            boolean[] isFree,
            double divisibleUm,
            double directUm,
            double bucketUm,
            double allowed) {
        this.points = points;
        this.off = Arrays.stream(off).map(e -> GRAIN * Math.rint(e / GRAIN)).toArray();
        this.allowed = allowed;
        this.shortestUm = SHORTEST * directUm * (1 - ROUNDING);
        this.besideUm = BESIDE * directUm * (1 - ROUNDING);
        this.firstOfShape = new int[pieces.shapes() + 1];
        this.divided = new boolean[pieces.shapes()];
        // A contour goes through several units and comes back.
        double[] least = new double[pieces.units()];
        double[] most = new double[pieces.units()];
        Arrays.fill(least, Double.MAX_VALUE);
        Arrays.fill(most, -Double.MAX_VALUE);
        for (int p = 0; p < points.size(); p++) {
            int unit = points.unit()[p];
            least[unit] = Math.min(least[unit], this.off[p]);
            most[unit] = Math.max(most[unit], this.off[p]);
        }
        int p = 0;
        for (int s = 0; s < pieces.shapes(); s++) {
            firstOfShape[s] = p;
            int end = pieces.shapeFirst(s + 1);
            while (p < points.size() && points.unit()[p] < end) {
                p++;
            }
            for (int u = pieces.shapeFirst(s); u < end && !divided[s]; u++) {
                if (most[u] - least[u] > allowed && isFree[u]) {
                    double[] box = pieces.unitBoundsUm(u);
                    divided[s] = Math.max(box[2] - box[0], box[3] - box[1]) > divisibleUm;
                }
            }
        }
        firstOfShape[pieces.shapes()] = p;
        this.bucketUm = bucketUm;
        this.originXUm = Arrays.stream(points.xUm()).min().orElse(0);
        this.originYUm = Arrays.stream(points.yUm()).min().orElse(0);
        this.order = new int[points.size()];
        this.places = new long[points.size()];
        if (dividesAny()) {
            sortIntoBuckets();
        }
    }

    boolean dividesAny() {
        for (boolean d : divided) {
            if (d) {
                return true;
            }
        }
        return false;
    }

    @Override
    public boolean concerns(int shape) {
        return divided[shape];
    }

    @Override
    public Border border(int shape, double leftUm, double bottomUm, double rightUm, double topUm) {
        if (!divided[shape]) {
            return null;
        }
        int[] inside = inside(shape, leftUm, bottomUm, rightUm, topUm);
        double least = Double.MAX_VALUE;
        double most = -Double.MAX_VALUE;
        for (int p : inside) {
            least = Math.min(least, off[p]);
            most = Math.max(most, off[p]);
        }
        if (!(most - least > allowed)) {
            return null;
        }
        Candidate x = best(inside, points.xUm(), leftUm, rightUm);
        Candidate y = best(inside, points.yUm(), bottomUm, topUm);
        if (x == null && y == null) {
            return null;
        }
        boolean alongY = x == null || (y != null && y.gain > x.gain + GRAIN * GRAIN);
        return new Border(alongY, alongY ? y.at : x.at);
    }

    private int[] inside(int shape, double left, double bottom, double right, double top) {
        int[] found = new int[16];
        int n = 0;
        long row = row(bottom - ROUNDING);
        long lastRow = row(top + ROUNDING);
        for (long column = column(left - ROUNDING); column <= column(right + ROUNDING); column++) {
            for (int k = firstFrom(place(column, row)); k < places.length && places[k] <= place(column, lastRow); k++) {
                int p = order[k];
                double x = points.xUm()[p];
                double y = points.yUm()[p];
                if (p >= firstOfShape[shape]
                        && p < firstOfShape[shape + 1]
                        && x >= left - ROUNDING
                        && x <= right + ROUNDING
                        && y >= bottom - ROUNDING
                        && y <= top + ROUNDING) {
                    if (n == found.length) {
                        found = Arrays.copyOf(found, 2 * n);
                    }
                    found[n++] = p;
                }
            }
        }
        int[] inside = Arrays.copyOf(found, n);
        Arrays.sort(inside);
        return inside;
    }

    private long column(double xUm) {
        return (long) Math.floor((xUm - originXUm) / bucketUm);
    }

    private long row(double yUm) {
        return (long) Math.floor((yUm - originYUm) / bucketUm);
    }

    /** Buckets by column, then row; what lies outside of all points is brought to their rim. */
    private static long place(long column, long row) {
        return Math.max(-1, column) << 32 | Math.max(0, Math.min(0xFFFFFFFFL, row));
    }

    /** First place that is not before the given one. */
    private int firstFrom(long place) {
        int k = Arrays.binarySearch(places, place);
        if (k < 0) {
            return -k - 1;
        }
        while (k > 0 && places[k - 1] == place) {
            k--;
        }
        return k;
    }

    private void sortIntoBuckets() {
        int n = points.size();
        long[] keys = new long[n];
        Integer[] byPlace = new Integer[n];
        for (int p = 0; p < n; p++) {
            keys[p] = place(column(points.xUm()[p]), row(points.yUm()[p]));
            byPlace[p] = p;
        }
        Arrays.sort(byPlace, (a, b) -> Long.compare(keys[a], keys[b]));
        for (int k = 0; k < n; k++) {
            order[k] = byPlace[k];
            places[k] = keys[order[k]];
        }
    }

    /** Where a border takes away most of the squares of what is off, and how much. */
    private record Candidate(double at, double gain) {}

    private Candidate best(int[] inside, double[] along, double from, double to) {
        int n = inside.length;
        Integer[] sorted = new Integer[n];
        for (int k = 0; k < n; k++) {
            sorted[k] = inside[k];
        }
        Arrays.sort(sorted, (a, b) -> Double.compare(along[a], along[b]));
        double length = 0;
        double sum = 0;
        for (int p : inside) {
            length += points.lengthUm()[p];
            sum += points.lengthUm()[p] * off[p];
        }
        double lower = 0;
        double lowerSum = 0;
        Candidate best = null;
        for (int k = 0; k + 1 < n; k++) {
            int p = sorted[k];
            lower += points.lengthUm()[p];
            lowerSum += points.lengthUm()[p] * off[p];
            double upper = length - lower;
            if (along[sorted[k + 1]] - along[p] < ROUNDING || lower < shortestUm || upper < shortestUm) {
                continue;
            }
            double difference = lowerSum / lower - (sum - lowerSum) / upper;
            double gain = lower * upper / length * difference * difference;
            if (Math.abs(difference) < WORTH * allowed) {
                continue;
            }
            if (best == null || gain > best.gain + GRAIN * GRAIN * length) {
                double at = place(sorted, along, k, from, to, Math.min(lower, upper));
                best = Double.isNaN(at) ? best : new Candidate(at, gain);
            }
        }
        return best;
    }

    /** The middle between point k and the next if a border there makes parts that are large enough; NaN if not. */
    private double place(Integer[] sorted, double[] along, int k, double from, double to, double shorter) {
        double at = 0.5 * (along[sorted[k]] + along[sorted[k + 1]]);
        if (at - from < shortestUm || to - at < shortestUm) {
            return Double.NaN;
        }
        double low = 0;
        for (int i = k; i >= 0 && at - along[sorted[i]] < besideUm; i--) {
            low += points.lengthUm()[sorted[i]];
        }
        double high = 0;
        for (int i = k + 1; i < sorted.length && along[sorted[i]] - at < besideUm; i++) {
            high += points.lengthUm()[sorted[i]];
        }
        // Outline that the border crosses has as many points on either side; what runs along it has not.
        return Math.abs(high - low) <= SEVERED * shorter ? at : Double.NaN;
    }

    /**
     * What of the errors doses could take away: means over about the shortest part that can have a dose of its own, so that corners of drawn
     * polygons, which no dose smooths, do not divide units.
     *
     * @param off by how much the energy at each point is off
     * @return a new array
     */
    static double[] lasting(OutlinePoints points, double[] off, double directUm) {
        double reach = 0.5 * SHORTEST * directUm;
        double[] mean = new double[off.length];
        for (int p = 0; p < off.length; p++) {
            double length = 0;
            double sum = 0;
            for (int way = -1; way <= 1; way += 2) {
                for (int q = way < 0 ? p : p + 1; isWithin(points, p, q, reach); q += way) {
                    length += points.lengthUm()[q];
                    sum += points.lengthUm()[q] * off[q];
                }
            }
            mean[p] = sum / length;
        }
        return mean;
    }

    private static boolean isWithin(OutlinePoints points, int p, int q, double reachUm) {
        return q >= 0
                && q < points.size()
                && points.unit()[q] == points.unit()[p]
                && Math.hypot(points.xUm()[q] - points.xUm()[p], points.yUm()[q] - points.yUm()[p]) <= reachUm;
    }
}
