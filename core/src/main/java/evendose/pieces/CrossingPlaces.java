package evendose.pieces;

import java.util.Arrays;
import java.util.List;

/**
 * Whether a region can be cut along a line and both parts into pieces that are not thin: new vertices must lie so that a straight side can follow the
 * outline from each, either way, and no closer to corners, along x and along y, than a piece is wide.
 */
final class CrossingPlaces {
    /** How far a side is followed, smallest extents. */
    private static final double FOLLOWED = 2.5;

    private final double tolerance;
    private final double smallest;

    /** Edges that any of the lines may cross, and corners that may be close to one. */
    private Ring[] ring = new Ring[64];

    private int[] edge = new int[64];
    private int edges;
    private double[] crossed = new double[16];
    private int crossings;
    private List<Ring> rings;
    private boolean alongY;

    /**
     * For one region after the other.
     *
     * @param tolerance how far sides may stray
     * @param smallest extent below which a piece is thin; 0 if any will do
     */
    CrossingPlaces(double tolerance, double smallest) {
        this.tolerance = tolerance;
        this.smallest = smallest;
    }

    /** Begins with lines near {@code c}, no farther from it than {@code window}. */
    void begin(List<Ring> region, boolean isAlongY, double c, double window) {
        rings = region;
        alongY = isAlongY;
        edges = 0;
        if (smallest == 0) {
            return;
        }
        for (Ring r : region) {
            for (int k = 0; k < r.size; k++) {
                double p0 = r.along(alongY, k);
                double p1 = r.along(alongY, k + 1 == r.size ? 0 : k + 1);
                if (Math.min(p0, p1) <= c + window && Math.max(p0, p1) >= c - window) {
                    if (edges == edge.length) {
                        ring = Arrays.copyOf(ring, 2 * edges);
                        edge = Arrays.copyOf(edge, 2 * edges);
                    }
                    ring[edges] = r;
                    edge[edges++] = k;
                }
            }
        }
    }

    /** Whether the line at {@code c} is such a line. */
    boolean allow(double c) {
        crossings = 0;
        for (int i = 0; i < edges; i++) {
            Ring r = ring[i];
            int k = edge[i];
            int next = k + 1 == r.size ? 0 : k + 1;
            double p0 = r.along(alongY, k);
            double p1 = r.along(alongY, next);
            if (p0 < c != p1 < c) {
                double q0 = r.along(!alongY, k);
                double q = Math.rint(q0 + (c - p0) / (p1 - p0) * (r.along(!alongY, next) - q0));
                if ((r.mark[k] & Ring.EXPOSED) != 0 && !(isFollowed(r, next, 1, c, q) && isFollowed(r, k, -1, c, q))) {
                    return false;
                }
                if (crossings == crossed.length) {
                    crossed = Arrays.copyOf(crossed, 2 * crossings);
                }
                crossed[crossings++] = q;
            }
        }
        return edges == 0 || isClear(c);
    }

    /** Whether a straight side can follow the outline from a place on the line: from vertex {@code from} on, forwards or backwards. */
    private boolean isFollowed(Ring r, int from, int step, double p, double q) {
        double baseP = 0;
        double baseQ = 0;
        double low = -Math.PI;
        double high = Math.PI;
        int k = from;
        for (int n = 0; n < r.size; n++) {
            double dp = r.along(alongY, k) - p;
            double dq = r.along(!alongY, k) - q;
            double away = Math.hypot(dp, dq);
            if (away > tolerance) {
                if (baseP == 0 && baseQ == 0) {
                    baseP = dp;
                    baseQ = dq;
                }
                double angle = Math.atan2(baseP * dq - baseQ * dp, baseP * dp + baseQ * dq);
                double give = Math.asin(tolerance / away);
                low = Math.max(low, angle - give);
                high = Math.min(high, angle + give);
                if (low > high) {
                    return false;
                }
            }
            if (away > FOLLOWED * smallest || (r.mark[k] & Ring.CORNER) != 0) {
                return true;
            }
            k = k + step == r.size ? 0 : k + step < 0 ? r.size - 1 : k + step;
        }
        return true;
    }

    /** Whether no corner and no other crossing lies closer than a piece is wide without being in line. */
    private boolean isClear(double c) {
        for (int i = 0; i < crossings; i++) {
            for (int j = 0; j < i; j++) {
                if (isClose(crossed[i], crossed[j])) {
                    return false;
                }
            }
        }
        for (Ring r : rings) {
            for (int k = 0; k < r.size; k++) {
                if ((r.mark[k] & Ring.CORNER) != 0) {
                    if (isClose(r.along(alongY, k), c)) {
                        return false;
                    }
                    double q = r.along(!alongY, k);
                    for (int i = 0; i < crossings; i++) {
                        if (isClose(q, crossed[i])) {
                            return false;
                        }
                    }
                }
            }
        }
        return true;
    }

    private boolean isClose(double a, double b) {
        return a != b && Math.abs(a - b) < smallest;
    }
}
