package evendose.verification;

import evendose.geometry.EdgeGrid;
import evendose.parallel.Workers;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.stream.IntStream;

/**
 * Looks along the whole outline for what cannot be right: narrow lines whose middle stays below the threshold, narrow gaps
 * whose middle exceeds it.
 *
 * @param edges number of edges looked at
 * @param narrow number of those that bound a narrow line or gap
 * @param lost number of those whose line stays below the threshold
 * @param closed number of those whose gap exceeds it
 * @param spots what was found, worst first, at most some of each kind
 */
record OutlineScan(int edges, int narrow, int lost, int closed, List<TroubleSpot> spots) {
    /** Most edges looked at; of more, this many at random. */
    public static final int MOST_EDGES = 200_000;

    /** Lines and gaps wider than this many direct ranges cannot be lost or closed by their neighbours alone. */
    private static final double NARROW_RANGES = 12;

    private static final int SPOTS_OF_A_KIND = 20;

    private static final int PART = 256;

    /**
     * Scans.
     *
     * @param exposure the doses and what they expose
     * @param edges the drawn outline
     * @param energy the energy at any point
     * @param region which edges are meant
     * @param workers threads to compute on
     * @return what was found
     */
    public static OutlineScan of(
            Exposure exposure, OutlineEdges edges, PointEnergy energy, EdgeGauges.Region region, Workers workers) {
        return of(exposure, edges, energy, region, MOST_EDGES, workers);
    }

    /** Scans at most {@code most} edges. */
    static OutlineScan of(
            Exposure exposure,
            OutlineEdges edges,
            PointEnergy energy,
            EdgeGauges.Region region,
            int most,
            Workers workers) {
        int[] chosen = EvenSample.of(edges.size(), most, 7);
        int count = chosen.length;
        // Widths of the line inside and of the gap outside, where they are narrow.
        double[] line = new double[count];
        double[] gap = new double[count];
        boolean[] looked = new boolean[count];
        double narrow = NARROW_RANGES * exposure.psf().direct().rangeUm();
        workers.runRanges(count, PART, (from, to, part) -> {
            for (int k = from; k < to; k++) {
                int e = chosen[k];
                double x = edges.xUm(e, 0.5);
                double y = edges.yUm(e, 0.5);
                if (exposure.isCorrected(edges.layer(e)) && region.holds(x, y)) {
                    looked[k] = true;
                    line[k] = narrow(edges, e, x, y, -1, narrow);
                    gap[k] = narrow(edges, e, x, y, 1, narrow);
                }
            }
        });
        int[] bounds =
                IntStream.range(0, count).filter(k -> line[k] > 0 || gap[k] > 0).toArray();
        PointEnergy near = energy.about(
                Arrays.stream(bounds)
                        .mapToDouble(k -> edges.xUm(chosen[k], 0.5))
                        .toArray(),
                Arrays.stream(bounds)
                        .mapToDouble(k -> edges.yUm(chosen[k], 0.5))
                        .toArray(),
                1,
                workers);
        TroubleSpot[] lines = new TroubleSpot[count];
        TroubleSpot[] gaps = new TroubleSpot[count];
        workers.runRanges(bounds.length, PART, (from, to, part) -> {
            for (int b = from; b < to; b++) {
                int k = bounds[b];
                if (line[k] > 0) {
                    lines[k] = look(exposure, edges, near, chosen[k], -1, line[k]);
                }
                if (gap[k] > 0) {
                    gaps[k] = look(exposure, edges, near, chosen[k], 1, gap[k]);
                }
            }
        });
        int total = 0;
        int lost = 0;
        int closed = 0;
        for (int k = 0; k < count; k++) {
            total += looked[k] ? 1 : 0;
            lost += lines[k] != null ? 1 : 0;
            closed += gaps[k] != null ? 1 : 0;
        }
        List<TroubleSpot> spots = new ArrayList<>(apart(lines, narrow));
        spots.addAll(apart(gaps, narrow));
        return new OutlineScan(total, bounds.length, lost, closed, spots);
    }

    /** Width of the line inside (side -1) or gap outside (side 1) if it is at most {@code most}, um; else 0. */
    private static double narrow(OutlineEdges edges, int e, double x, double y, int side, double most) {
        double ux = side * edges.outX(e);
        double uy = side * edges.outY(e);
        EdgeGrid.Hit hit = edges.ray(x, y, ux, uy, 1e-6, most);
        // The opposite edge must face this one: else it is the other arm of a corner.
        return hit == null || side * (edges.outX(hit.edge()) * ux + edges.outY(hit.edge()) * uy) > -0.5
                ? 0
                : hit.distanceUm();
    }

    private static TroubleSpot look(
            Exposure exposure, OutlineEdges edges, PointEnergy energy, int e, int side, double width) {
        double x = edges.xUm(e, 0.5);
        double y = edges.yUm(e, 0.5);
        double threshold = exposure.threshold(edges.layer(e), x, y);
        double mx = x + 0.5 * width * side * edges.outX(e);
        double my = y + 0.5 * width * side * edges.outY(e);
        double over = energy.at(mx, my) / threshold - 1;
        if (side < 0 ? over >= 0 : over <= 0) {
            return null;
        }
        return new TroubleSpot(
                side < 0 ? TroubleSpot.Kind.LOST_LINE : TroubleSpot.Kind.CLOSED_GAP,
                mx,
                my,
                Math.abs(over),
                String.format(
                        Locale.ROOT,
                        side < 0
                                ? "a line of %.0f nm stays %.1f %% below the threshold and does not develop"
                                : "a gap of %.0f nm is %.1f %% above the threshold and develops too",
                        1e3 * width,
                        100 * Math.abs(over)));
    }

    /** The worst ones, none nearer than {@code distance} to a worse one. */
    private static List<TroubleSpot> apart(TroubleSpot[] found, double distance) {
        List<TroubleSpot> sorted = new ArrayList<>();
        for (TroubleSpot spot : found) {
            if (spot != null) {
                sorted.add(spot);
            }
        }
        sorted.sort(TroubleSpot::compare);
        return keepApart(sorted, distance, SPOTS_OF_A_KIND);
    }

    /** The first ones of a sorted list that keep {@code distance} (um) from those before. */
    static List<TroubleSpot> keepApart(List<TroubleSpot> sorted, double distance, int most) {
        List<TroubleSpot> kept = new ArrayList<>();
        for (TroubleSpot spot : sorted) {
            boolean near = false;
            for (TroubleSpot k : kept) {
                near |= Math.hypot(k.xUm() - spot.xUm(), k.yUm() - spot.yUm()) < distance;
            }
            if (!near) {
                kept.add(spot);
                if (kept.size() == most) {
                    break;
                }
            }
        }
        return kept;
    }
}
