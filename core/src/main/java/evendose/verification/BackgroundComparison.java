package evendose.verification;

import evendose.correction.ComplementExposure;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.Arrays;

/**
 * Three ways to expose a pattern side by side: one dose, a dose for every piece, and one dose with the complement exposed by a wide spot.
 *
 * @param places number of places on the outline, off corners, that count
 * @param singleFactor the factor that gives edges the threshold on average, if all pieces have the same
 * @param single one dose
 * @param corrected a dose for every piece
 * @param equalised one dose, and the complement
 */
public record BackgroundComparison(
        int places, double singleFactor, EdgeQuality single, EdgeQuality corrected, EdgeQuality equalised) {
    /** Places on the outline, at least; their number grows with the layout. */
    private static final int PLACES = 1000;

    /**
     * Compares.
     *
     * @param whole the pattern with a dose for every piece
     * @param complement the same pattern with its complement
     * @param outline where to look
     * @param allowedUm how far an edge may be off in the dose window, um, positive
     * @param workers threads to compute on
     * @param progress hears how far the work is
     * @return what each does to edges
     */
    public static BackgroundComparison of(
            Exposure whole,
            ComplementExposure complement,
            OutlineSample outline,
            double allowedUm,
            Workers workers,
            Progress progress) {
        Exposure exposure = outline.windowsUm().isEmpty()
                ? whole
                : whole.near(outline.windowsUm(), Prediction.reachUm(whole.psf()));
        ExposureFields fields = exposure.fields(workers, progress);
        PointEnergy plain = fields.of(false);
        PointEnergy added = new FieldEnergy(complement.added(workers));
        progress.begin("comparing edges", 0);
        OutlineEdges edges = outline.edges();
        EdgeGauges places = EdgeGauges.awayFromCorners(
                edges, exposure, PLACES + (int) Math.sqrt(edges.size()), outline.region(), 3);
        double mean = Arrays.stream(places.awayFromCorners(places.energyErrors(plain, workers)))
                .average()
                .orElse(0);
        double factor = 1 / (1 + mean);
        return new BackgroundComparison(
                places.size() - places.nearCorners(),
                factor,
                EdgeQuality.of(places, edges, exposure, Superposed.scaled(factor, plain), allowedUm, workers),
                EdgeQuality.of(places, edges, exposure, fields.of(true), allowedUm, workers),
                EdgeQuality.of(
                        places,
                        edges,
                        exposure,
                        new Superposed(complement.patternFactor(), plain, added),
                        allowedUm,
                        workers));
    }
}
