package evendose.verification;

import evendose.Supported;
import evendose.correction.DoseTable;
import evendose.correction.DrawnPattern;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.util.List;

/** How wide lines will develop at given places, with and without the doses of a correction. */
@Supported
public final class PredictedWidths {
    private PredictedWidths() {}

    /**
     * Predicts the developed width of the drawn line at each place: the distance between the two crossings of the energy with the
     * threshold along the gauge. Energies are the engine's, off by less than 5e-5.
     *
     * @param doses the doses of a whole layout
     * @param places points inside drawn lines at most two main ranges wide
     * @return a width for each place, in their order
     * @throws IllegalArgumentException naming the place if it lies in no such line
     */
    public static List<LineWidth> at(DoseTable doses, List<GaugePlace> places) {
        Progress progress = doses.options().progress();
        try (Workers workers = Workers.of(doses.options().threads())) {
            DrawnPattern pattern = doses.pattern();
            Exposure exposure = Exposure.of(doses);
            OutlineEdges edges = OutlineEdges.of(
                    pattern.merged(workers, progress), pattern.unit().um());
            progress.begin("predicting widths", 0);
            ExposureFields fields = exposure.fields(workers, Progress.NONE);
            List<WidthGauge> gauges = new WidthGauges(edges, exposure, fields.of(false, PointSpreadFunction::mainAlone))
                    .at(places, Verifier.widestUm(exposure));
            return new WidthMeasurement(exposure).measure(fields.of(false), fields.of(true), gauges, workers);
        }
    }
}
