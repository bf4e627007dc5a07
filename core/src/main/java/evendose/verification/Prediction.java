package evendose.verification;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.List;
import java.util.OptionalDouble;

/**
 * What doses are expected to do, from the engine's energies and a sample of the outline: quick enough to go with every
 * correction. {@link Verifier} gives the full check.
 *
 * @param verdict what comes out as drawn
 * @param tiles number of tiles of the layout that were looked at, or 0 for all of it
 * @param places number of places on the outline that count in statistics
 * @param energyBefore relative error of the energy there with factor 1 everywhere
 * @param energyAfter the same with the doses
 * @param placementBefore distance from drawn to developed edge with factor 1 everywhere, nm
 * @param placementAfter the same with the doses
 * @param lostBefore number of places without a developed edge with factor 1 everywhere
 * @param lostAfter the same with the doses
 * @param widths lines measured
 * @param sensitivity effect of wrong parameters on them
 * @param edgesScanned number of edges looked at for lines and gaps that cannot be right
 * @param worst places of concern, the gravest first
 * @param before energy with factor 1 everywhere
 * @param after energy with the doses
 * @param outline the outline looked at
 */
public record Prediction(
        Verdict verdict,
        int tiles,
        int places,
        Spread energyBefore,
        Spread energyAfter,
        Spread placementBefore,
        Spread placementAfter,
        int lostBefore,
        int lostAfter,
        List<LineWidth> widths,
        Sensitivity sensitivity,
        int edgesScanned,
        List<TroubleSpot> worst,
        PointEnergy before,
        PointEnergy after,
        OutlineSample outline) {
    /** Places on the outline, at least; their number grows with the layout. */
    private static final int PLACES = 1000;

    private static final int PER_CLASS = 2;
    private static final int MOST_WIDTHS = 60;
    private static final int WORST = 15;
    private static final double PERCENT = 10;

    /**
     * {@return distance beyond which pieces add less than 1e-10 of a term, um}
     *
     * @param psf the point spread function
     */
    public static double reachUm(PointSpreadFunction psf) {
        return 5 * psf.longestUm();
    }

    /**
     * Predicts.
     *
     * @param whole the doses, with their surroundings
     * @param outline where to look
     * @param allowedNm how far an edge may be off, nm; empty for a tenth of the feature
     * @param full whether widths and sensitivities are wanted, not the verdict alone
     * @param workers threads to compute on
     * @param progress hears how far the work is
     * @return what will develop
     */
    public static Prediction of(
            Exposure whole,
            OutlineSample outline,
            OptionalDouble allowedNm,
            boolean full,
            Workers workers,
            Progress progress) {
        progress.begin("predicting edges and widths", 0);
        Exposure exposure = outline.tilesUm().isEmpty() ? whole : whole.near(outline.tilesUm(), reachUm(whole.psf()));
        ExposureFields fields = exposure.fields(full ? PERCENT / 100 : 0, workers, Progress.NONE);
        PointEnergy before = fields.of(false);
        PointEnergy after = fields.of(true);
        OutlineEdges edges = outline.edges();
        EdgeGauges places = EdgeGauges.awayFromCorners(
                edges, exposure, PLACES + (int) Math.sqrt(edges.size()), outline.region(), 3);
        ContourSearch search = ContourSearch.of(exposure.psf());
        double[] placedAfter = places.placementsNm(after, search, workers);
        double[] goodBefore = places.awayFromCorners(places.placementsNm(before, search, workers));
        double[] goodAfter = places.awayFromCorners(placedAfter);

        double widest = Verifier.widestUm(exposure);
        List<WidthGauge> gauges = full
                // Neighbours' share of the energy is a measure of density.
                ? new WidthGauges(edges, exposure, fields.of(false, PointSpreadFunction::mainAlone))
                        .automatic(places, widest, PER_CLASS, MOST_WIDTHS)
                : List.of();
        List<LineWidth> widths = new WidthMeasurement(exposure).measure(before, after, gauges, workers);
        Sensitivity sensitivity = full
                ? Sensitivity.of(
                        exposure, gauges, PERCENT, after, change -> fields.of(true, change), workers, Progress.NONE)
                : new Sensitivity(PERCENT, List.of());

        OutlineScan scan = OutlineScan.of(exposure, edges, after, outline.region(), workers);
        EdgeOutcomes outcomes = EdgeOutcomes.of(places, edges, placedAfter, widest, allowedNm);
        List<TroubleSpot> worst = new ArrayList<>(scan.spots());
        worst.addAll(outcomes.failures());
        worst.addAll(Verifier.farOff(places, placedAfter));
        worst.sort(TroubleSpot::compare);
        double apart = 12 * exposure.psf().direct().rangeUm();
        return new Prediction(
                Verifier.verdict(exposure, outcomes, scan, allowedNm),
                outline.tilesUm().size(),
                goodAfter.length,
                Spread.of(places.awayFromCorners(places.energyErrors(before, workers))),
                Spread.of(places.awayFromCorners(places.energyErrors(after, workers))),
                Spread.of(goodBefore),
                Spread.of(goodAfter),
                Verifier.infinite(goodBefore),
                Verifier.infinite(goodAfter),
                widths,
                sensitivity,
                scan.edges(),
                OutlineScan.keepApart(worst, apart, WORST),
                before,
                after,
                outline);
    }
}
