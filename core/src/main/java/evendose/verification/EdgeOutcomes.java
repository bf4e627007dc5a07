package evendose.verification;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;

/**
 * What becomes of places on the outline: whether the line inside develops, the gap outside stays open, and the edge comes to lie
 * where it may. See {@link Verdict} for what is allowed.
 *
 * @param places number of places judged
 * @param lost number of those at which the line does not develop
 * @param closed number of those at which the gap closes
 * @param off number of those at which the edge lies farther off than allowed
 * @param failures where, in the order of the places
 */
record EdgeOutcomes(int places, int lost, int closed, int off, List<TroubleSpot> failures) {
    /**
     * Judges.
     *
     * @param placementNm where the developed edge lies at each place, nm
     * @param widestUm widest line or gap that counts as a feature, um
     */
    static EdgeOutcomes of(
            EdgeGauges gauges, OutlineEdges edges, double[] placementNm, double widestUm, OptionalDouble allowedNm) {
        int places = 0;
        int lost = 0;
        int closed = 0;
        int off = 0;
        List<TroubleSpot> failures = new ArrayList<>();
        for (int g = 0; g < gauges.size(); g++) {
            if (gauges.corner[g]) {
                continue;
            }
            places++;
            double x = gauges.xUm[g];
            double y = gauges.yUm[g];
            Feature feature = Feature.of(edges, gauges.edge[g], x, y, widestUm);
            Optional<TroubleSpot> trouble = feature.trouble(x, y, placementNm[g], allowedNm);
            if (trouble.isPresent()) {
                failures.add(trouble.get());
                switch (trouble.get().kind()) {
                    case LOST_LINE -> lost++;
                    case CLOSED_GAP -> closed++;
                    default -> off++;
                }
            }
        }
        return new EdgeOutcomes(places, lost, closed, off, failures);
    }
}
