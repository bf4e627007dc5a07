package evendose.verification;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;

/**
 * What a check of doses against their layout found.
 *
 * @param edges what comes out as drawn, by closed forms
 * @param areas whether all area is there once
 * @param doses whether doses are the ones the layout needs
 * @param bias a sentence if energies are off as a whole
 * @param energyBias by how much they are, relative
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
 * @param uncertainty intervals, if a calibration was given
 * @param worst places of concern, the gravest first
 */
public record Verification(
        Verdict edges,
        AreaCheck areas,
        DoseCheck doses,
        Optional<String> bias,
        double energyBias,
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
        Optional<Uncertainty> uncertainty,
        List<TroubleSpot> worst) {

    /** {@return what comes out as drawn, with all that is wrong with areas and doses} */
    public Verdict verdict() {
        List<String> wrong = new ArrayList<>();
        if (areas.missingShapes() > 0) {
            wrong.add(text("Shapes without any piece: %,d.", areas.missingShapes()));
        }
        if (areas.missingUm2() > 0 || areas.excessUm2() > 0 || areas.overlapUm2() > 0) {
            wrong.add(text(
                    "Area is missing (%.4g um^2), in excess (%.4g) or exposed twice (%.4g).",
                    areas.missingUm2(), areas.excessUm2(), areas.overlapUm2()));
        }
        bias.ifPresent(wrong::add);
        if (doses.wrong() > 0) {
            wrong.add(text(
                    "Doses that are not those their layout needs: %,d of %,d judged.", doses.wrong(), doses.judged()));
        }
        if (doses.judged() == 0) {
            wrong.add("No dose could be judged: each one is missing, fixed, or held at a bound.");
        }
        if (splitUnits > 0) {
            wrong.add(text("Units whose pieces have different doses: %,d.", splitUnits));
        }
        if (!contradictions.isEmpty()) {
            wrong.add("Columns of the table contradict each other.");
        }
        return edges.with(wrong, List.of());
    }

    private static String text(String pattern, Object... values) {
        return String.format(Locale.ROOT, pattern, values);
    }

    /** {@return whether all area is there once, every dose is the one its layout needs, and every edge comes out as drawn} */
    public boolean holds() {
        return verdict().good();
    }
}
