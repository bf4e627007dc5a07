package evendose.verification;

import evendose.parallel.Workers;
import java.util.Arrays;
import java.util.Random;

/**
 * Random places on the drawn outline, spread evenly over its length, where the developed edge is compared with the drawn one.
 *
 * <p>Each place lies at the middle of an edge or, on an edge longer than eight direct ranges, anywhere on it but within two
 * of its ends. Places nearer than two direct ranges to a corner are marked: corners round whatever the dose.
 */
final class EdgeGauges {
    /** Direct ranges within which a corner spoils a place. */
    public static final double CORNER_RANGES = 2;

    /** Places drawn at most for each that is wanted. */
    private static final int MOST_DRAWN = 5;

    /** Sums of wide terms that a place takes on its own: one for its energy, three for a line. */
    private static final int SUMS_A_PLACE = 4;

    /** Whether a place counts, for places that must lie in some region. */
    @FunctionalInterface
    public interface Region {
        /**
         * {@return whether the point (um) is inside}
         *
         * @param xUm x of the point, um
         * @param yUm y of the point, um
         */
        boolean holds(double xUm, double yUm);

        /** Holds everything. */
        Region ALL = (x, y) -> true;
    }

    private final OutlineEdges edges;
    private final Exposure exposure;
    final int[] edge;
    final double[] xUm;
    final double[] yUm;
    final boolean[] corner;

    private EdgeGauges(OutlineEdges edges, Exposure exposure, int[] edge, double[] x, double[] y, boolean[] corner) {
        this.edges = edges;
        this.exposure = exposure;
        this.edge = edge;
        this.xUm = x;
        this.yUm = y;
        this.corner = corner;
    }

    /**
     * {@return random places}
     *
     * @param edges the drawn outline
     * @param exposure the doses and what they expose
     * @param count number of places wanted; fewer come back if edges in the region are few
     * @param region where places lie, on edges whose middles lie there, too
     * @param seed the same seed gives the same places
     */
    public static EdgeGauges random(OutlineEdges edges, Exposure exposure, int count, Region region, long seed) {
        int n = edges.size();
        int[] kept = new int[n];
        double[] sum = new double[n];
        int m = 0;
        double total = 0;
        for (int e = 0; e < n; e++) {
            double x = edges.xUm(e, 0.5);
            double y = edges.yUm(e, 0.5);
            if (exposure.isCorrected(edges.layer(e)) && region.holds(x, y)) {
                total += edges.lengthUm(e);
                kept[m] = e;
                sum[m++] = total;
            }
        }
        Random random = new Random(seed);
        double s = exposure.psf().direct().rangeUm();
        int places = m == 0 ? 0 : count;
        int[] edge = new int[places];
        double[] x = new double[places];
        double[] y = new double[places];
        boolean[] corner = new boolean[places];
        for (int g = 0; g < places; g++) {
            // One place in each of equal lengths of outline: better spread than independent ones.
            double at = (g + random.nextDouble()) / places * total;
            int found = Arrays.binarySearch(sum, 0, m, at);
            edge[g] = kept[Math.min(m - 1, found < 0 ? -found - 1 : found)];
            double length = edges.lengthUm(edge[g]);
            double margin = CORNER_RANGES * s / length;
            double share = random.nextDouble();
            double t = length > 8 * s ? margin + share * (1 - 2 * margin) : 0.5;
            // Of a long edge only the middle need lie in the region.
            while (!region.holds(edges.xUm(edge[g], t), edges.yUm(edge[g], t))) {
                t = 0.5 * (t + 0.5);
            }
            x[g] = edges.xUm(edge[g], t);
            y[g] = edges.yUm(edge[g], t);
            corner[g] = edges.nearCorner(edge[g], t, CORNER_RANGES * s * (1 - 1e-9), s);
        }
        return new EdgeGauges(edges, exposure, edge, x, y, corner);
    }

    /** Given places, none of them near a corner. */
    static EdgeGauges at(OutlineEdges edges, Exposure exposure, int[] edge, double[] xUm, double[] yUm) {
        return new EdgeGauges(edges, exposure, edge, xUm, yUm, new boolean[edge.length]);
    }

    /**
     * As {@link #random}, but of about {@code count} places away from corners: more are drawn where corners take many.
     */
    static EdgeGauges awayFromCorners(OutlineEdges edges, Exposure exposure, int count, Region region, long seed) {
        EdgeGauges drawn = random(edges, exposure, count, region, seed);
        int good = drawn.size() - drawn.nearCorners();
        // A tenth more, since shares of random places scatter.
        double wanted = Math.min(MOST_DRAWN * (double) count, 1.1 * count * count / Math.max(1, good));
        return good == 0 || good >= count ? drawn : random(edges, exposure, (int) wanted, region, seed);
    }

    /** {@return number of places} */
    public int size() {
        return edge.length;
    }

    /** {@return number of places that lie near a corner and do not count in statistics} */
    public int nearCorners() {
        int count = 0;
        for (boolean c : corner) {
            count += c ? 1 : 0;
        }
        return count;
    }

    /** An energy that has ready what can be computed once for all places; for {@link #energyErrors} and {@link #placementsNm}. */
    PointEnergy ready(PointEnergy energy, Workers workers) {
        return energy.about(xUm, yUm, SUMS_A_PLACE, workers);
    }

    /** Energy at each place over the threshold of its shape, less 1; NaN near corners. */
    double[] energyErrors(PointEnergy energy, Workers workers) {
        double[] error = new double[size()];
        workers.runRanges(size(), 8, (from, to, part) -> {
            for (int g = from; g < to; g++) {
                double threshold = exposure.threshold(edges.layer(edge[g]), xUm[g], yUm[g]);
                error[g] = corner[g] ? Double.NaN : energy.at(xUm[g], yUm[g]) / threshold - 1;
            }
        });
        return error;
    }

    /**
     * Distance from each place to the contour, outward, nm; infinite where there is none (see {@link ContourSearch}), NaN near
     * corners.
     *
     * @param energy the energy
     * @param search how to look
     */
    double[] placementsNm(PointEnergy energy, ContourSearch search, Workers workers) {
        double[] placement = new double[size()];
        workers.runRanges(size(), 8, (from, to, part) -> {
            for (int g = from; g < to; g++) {
                int e = edge[g];
                if (corner[g]) {
                    placement[g] = Double.NaN;
                    continue;
                }
                placement[g] = 1e3
                        * search.displacementUm(
                                energy.onLine(
                                        xUm[g],
                                        yUm[g],
                                        edges.outX(e),
                                        edges.outY(e),
                                        -search.reachUm(),
                                        search.reachUm()),
                                exposure.threshold(edges.layer(e), xUm[g], yUm[g]),
                                xUm[g],
                                yUm[g],
                                edges.outX(e),
                                edges.outY(e),
                                Double.POSITIVE_INFINITY);
            }
        });
        return placement;
    }

    /** The values at places away from corners. */
    double[] awayFromCorners(double[] values) {
        double[] kept = new double[size() - nearCorners()];
        int n = 0;
        for (int g = 0; g < size(); g++) {
            if (!corner[g]) {
                kept[n++] = values[g];
            }
        }
        return kept;
    }
}
