package evendose.verification;

import evendose.parallel.Workers;
import java.util.Arrays;

/**
 * What one exposure does to edges, at places off corners.
 *
 * @param energyError energy on the drawn edge over the threshold, less 1
 * @param placementNm distance from drawn to developed edge, nm, of the places that have one
 * @param lost number of places without a developed edge
 * @param slopePerUm fall of the energy across the drawn edge over the energy there, 1/um, mean over the places: the contrast of the edge
 * @param leastSlopePerUm that which 95 % of the places reach, 1/um
 * @param doseWindow how far all doses together may be off either way from the middle of their range, as a share of it, so that 95 % of the
 *     edges stay where they may; below 0 if no dose does it
 */
public record EdgeQuality(
        Spread energyError,
        Spread placementNm,
        int lost,
        double slopePerUm,
        double leastSlopePerUm,
        double doseWindow) {
    private static final double MOST = 0.95;

    /** Half the way, in direct ranges, over which slopes are measured; across an edge this takes 1.3e-4 off them. */
    private static final double HALF_STEP = 0.02;

    /**
     * Judges.
     *
     * @param places where
     * @param edges their edges
     * @param exposure pattern and threshold
     * @param energy the energy
     * @param allowedUm how far an edge may be off, um, positive
     */
    static EdgeQuality of(
            EdgeGauges places,
            OutlineEdges edges,
            Exposure exposure,
            PointEnergy energy,
            double allowedUm,
            Workers workers) {
        double[] placed =
                places.awayFromCorners(places.placementsNm(energy, ContourSearch.of(exposure.psf()), workers));
        double step = HALF_STEP * exposure.psf().direct().rangeUm();
        double[] on = places.awayFromCorners(along(places, edges, energy, 0, workers));
        double[] justIn = places.awayFromCorners(along(places, edges, energy, -step, workers));
        double[] justOut = places.awayFromCorners(along(places, edges, energy, step, workers));
        double[] slope = new double[on.length];
        Arrays.setAll(slope, g -> (justIn[g] - justOut[g]) / (2 * step * on[g]));
        double mean = Arrays.stream(slope).average().orElse(0);

        double threshold = exposure.threshold();
        double[] least = places.awayFromCorners(along(places, edges, energy, -allowedUm, workers));
        double[] most = places.awayFromCorners(along(places, edges, energy, allowedUm, workers));
        // All doses times f develop up to the inner place if f times its energy reaches the threshold, and not to the
        // outer one if below.
        Arrays.setAll(least, g -> threshold / least[g]);
        Arrays.setAll(most, g -> threshold / most[g]);
        double low = reachedBy(least, 1 - (1 - MOST) / 2);
        double high = reachedBy(most, (1 - MOST) / 2);
        return new EdgeQuality(
                Spread.of(places.awayFromCorners(places.energyErrors(energy, workers))),
                Spread.of(placed),
                Verifier.infinite(placed),
                mean,
                reachedBy(slope, 1 - MOST),
                (high - low) / (high + low));
    }

    /** The energy at a distance outwards from each place, um. */
    private static double[] along(
            EdgeGauges places, OutlineEdges edges, PointEnergy energy, double outUm, Workers workers) {
        double[] at = new double[places.size()];
        workers.runRanges(at.length, 8, (from, to, part) -> {
            for (int g = from; g < to; g++) {
                int e = places.edge[g];
                at[g] = energy.at(places.xUm[g] + outUm * edges.outX(e), places.yUm[g] + outUm * edges.outY(e));
            }
        });
        return at;
    }

    /** The value that so large a share of all does not exceed; 0 of none. */
    private static double reachedBy(double[] values, double share) {
        double[] rising = values.clone();
        Arrays.sort(rising);
        return rising.length == 0 ? 0 : rising[(int) Math.round(share * (rising.length - 1))];
    }
}
