package evendose.verification;

import evendose.geometry.EdgeGrid;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalDouble;

/**
 * What a place on the outline bounds, and how far the developed edge may be off there: see {@link Verdict}.
 *
 * @param lineNm width of the line inside, nm; infinite if it is wide
 * @param gapNm width of the gap outside, nm; infinite if it is wide
 * @param smallestNm the narrowest feature there, nm: of the two, unless the side itself is narrower
 */
record Feature(double lineNm, double gapNm, double smallestNm) {
    private static final double SHARE = 0.1;
    private static final double NM = 1e3;

    /**
     * Looks across.
     *
     * @param e the edge that the place lies on
     * @param x x of the place, um
     * @param y y of it, um
     * @param widestUm widest line or gap that counts as a feature, um
     */
    static Feature of(OutlineEdges edges, int e, double x, double y, double widestUm) {
        double line = NM * across(edges, x, y, -edges.outX(e), -edges.outY(e), widestUm);
        double gap = NM * across(edges, x, y, edges.outX(e), edges.outY(e), widestUm);
        return new Feature(line, gap, Math.min(line, gap));
    }

    /** The same at the end of something that is narrower than what lies before and behind. */
    Feature endOf(double widthNm) {
        return new Feature(lineNm, gapNm, Math.min(smallestNm, widthNm));
    }

    /** What is wrong if the developed edge lies so far outside the drawn one; nothing if it may. */
    Optional<TroubleSpot> trouble(double x, double y, double placementNm, OptionalDouble allowedNm) {
        if (placementNm <= -lineNm) {
            return Optional.of(
                    new TroubleSpot(TroubleSpot.Kind.LOST_LINE, x, y, 0, named("line", lineNm) + " does not develop"));
        }
        if (placementNm >= gapNm) {
            return Optional.of(new TroubleSpot(TroubleSpot.Kind.CLOSED_GAP, x, y, 0, named("gap", gapNm) + " closes"));
        }
        return Math.abs(placementNm) > allowedNm.orElse(SHARE * smallestNm)
                ? Optional.of(TroubleSpot.edge(x, y, placementNm))
                : Optional.empty();
    }

    private static String named(String what, double nm) {
        return Double.isFinite(nm) ? String.format(Locale.ROOT, "a %s of %.0f nm", what, nm) : "a wide " + what;
    }

    /** Distance to the next edge, um; infinite if there is none up to {@code most}. */
    private static double across(OutlineEdges edges, double x, double y, double ux, double uy, double most) {
        EdgeGrid.Hit hit = edges.ray(x, y, ux, uy, 1e-6, most);
        return hit == null ? Double.POSITIVE_INFINITY : hit.distanceUm();
    }
}
