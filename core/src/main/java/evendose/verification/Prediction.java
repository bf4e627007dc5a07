package evendose.verification;

import evendose.psf.PointSpreadFunction;
import java.util.List;
import java.util.OptionalDouble;
import java.util.function.Function;

/**
 * What doses are expected to do, from the engine's energies and a sample of the outline: quick enough to go with every
 * correction. {@link Verifier} gives the full check.
 *
 * @param verdict what comes out as drawn
 * @param places number of places on the outline that count in statistics
 * @param energyBefore relative error of the energy there with factor 1 everywhere
 * @param energyAfter the same with the doses
 * @param placementBefore distance from drawn to developed edge with factor 1 everywhere, nm
 * @param placementAfter the same with the doses
 * @param lostBefore number of places without a developed edge with factor 1 everywhere
 * @param lostAfter the same with the doses
 * @param widths lines measured
 * @param edgesScanned number of edges looked at for lines and gaps that cannot be right
 * @param worst places of concern, the gravest first
 */
public record Prediction(
        Verdict verdict,
        long places,
        Spread energyBefore,
        Spread energyAfter,
        Spread placementBefore,
        Spread placementAfter,
        long lostBefore,
        long lostAfter,
        List<LineWidth> widths,
        long edgesScanned,
        List<TroubleSpot> worst) {
    /**
     * {@return distance beyond which pieces add less than 1e-10 of a term, um}
     *
     * @param psf the point spread function
     */
    public static double reachUm(PointSpreadFunction psf) {
        return 5 * psf.longestUm();
    }

    /**
     * {@return what is expected of a layout} Places of a part count by the length of outline that they stand for.
     *
     * @param parts what was found on each part of it, where it lies; at least one
     * @param allowedNm how far an edge may be off, nm; empty for a tenth of the feature
     */
    public static Prediction joined(List<OutlineFindings> parts, OptionalDouble allowedNm) {
        OutlineFindings any = parts.get(0);
        return new Prediction(
                // Edges are no promise where layers are to reach depths of their own.
                any.isGreyTone ? Verdict.ofNoEdges() : Verdict.of(parts, allowedNm),
                parts.stream().mapToLong(p -> p.placedAfter.length).sum(),
                spread(parts, p -> p.energyBefore),
                spread(parts, p -> p.energyAfter),
                spread(parts, p -> p.placedBefore),
                spread(parts, p -> p.placedAfter),
                parts.stream().mapToLong(p -> Verifier.infinite(p.placedBefore)).sum(),
                parts.stream().mapToLong(p -> Verifier.infinite(p.placedAfter)).sum(),
                WidthGauges.chosen(
                        parts.stream().flatMap(p -> p.widths.stream()).toList(),
                        OutlineFindings.WIDTHS_OF_A_KIND,
                        OutlineFindings.MOST_WIDTHS),
                parts.stream().mapToLong(p -> p.edgesScanned).sum(),
                OutlineFindings.concerns(
                        parts.stream().flatMap(p -> p.concerns.stream()).toList(), any.apartUm));
    }

    private static Spread spread(List<OutlineFindings> parts, Function<OutlineFindings, double[]> values) {
        return Spread.of(
                parts.stream().map(values).toList(),
                // One part stands for itself: what weighs the same weighs 1.
                parts.size() == 1
                        ? new double[] {1}
                        : parts.stream().mapToDouble(p -> p.weight).toArray());
    }
}
