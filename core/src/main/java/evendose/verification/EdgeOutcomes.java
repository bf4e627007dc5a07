package evendose.verification;

import evendose.geometry.EdgeGrid;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
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
    private static final double SHARE = 0.1;
    private static final double NM = 1e3;

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
            double ux = edges.outX(gauges.edge[g]);
            double uy = edges.outY(gauges.edge[g]);
            double p = placementNm[g];
            double line = NM * across(edges, x, y, -ux, -uy, widestUm);
            double gap = NM * across(edges, x, y, ux, uy, widestUm);
            if (p <= -line) {
                lost++;
                failures.add(new TroubleSpot(
                        TroubleSpot.Kind.LOST_LINE, x, y, 0, feature("line", line) + " does not develop"));
            } else if (p >= gap) {
                closed++;
                failures.add(new TroubleSpot(TroubleSpot.Kind.CLOSED_GAP, x, y, 0, feature("gap", gap) + " closes"));
            } else if (Math.abs(p) > allowedNm.orElse(SHARE * Math.min(line, gap))) {
                off++;
                failures.add(TroubleSpot.edge(x, y, p));
            }
        }
        return new EdgeOutcomes(places, lost, closed, off, failures);
    }

    private static String feature(String what, double nm) {
        return Double.isFinite(nm) ? String.format(Locale.ROOT, "a %s of %.0f nm", what, nm) : "a wide " + what;
    }

    /** Distance to the next edge, um; infinite if there is none up to {@code most}. */
    private static double across(OutlineEdges edges, double x, double y, double ux, double uy, double most) {
        EdgeGrid.Hit hit = edges.ray(x, y, ux, uy, 1e-6, most);
        return hit == null ? Double.POSITIVE_INFINITY : hit.distanceUm();
    }
}
