package evendose.verification;

import java.util.List;

/**
 * What a check of doses against their layout found.
 *
 * @param areas whether all area is there once
 * @param doses whether doses are the ones the layout needs
 * @param splitUnits number of units whose pieces carry different doses
 * @param contradictions rows whose columns contradict each other
 * @param threshold energy at which the resist develops
 * @param places number of places on the outline that count in statistics
 * @param nearCorners number of places left out because a corner is near
 * @param energyBefore relative error of the energy at those places with factor 1 everywhere
 * @param energyAfter the same with the doses
 * @param placementBefore distance from drawn to developed edge with factor 1 everywhere, nm
 * @param placementAfter the same with the doses
 * @param lostBefore number of places without a developed edge with factor 1 everywhere
 * @param lostAfter the same with the doses
 * @param widths lines measured
 * @param edgesScanned number of edges looked at for lines and gaps that cannot be right
 * @param sensitivity effect of wrong parameters
 * @param worst places of concern, the gravest first
 */
public record Verification(
        AreaCheck areas,
        DoseCheck doses,
        int splitUnits,
        List<String> contradictions,
        double threshold,
        int places,
        int nearCorners,
        Spread energyBefore,
        Spread energyAfter,
        Spread placementBefore,
        Spread placementAfter,
        int lostBefore,
        int lostAfter,
        List<LineWidth> widths,
        int edgesScanned,
        Sensitivity sensitivity,
        List<TroubleSpot> worst) {

    /** Whether all area is there once and every dose is the one its layout needs. */
    public boolean holds() {
        return areas.holds() && doses.wrong() == 0 && splitUnits == 0 && contradictions.isEmpty();
    }
}
