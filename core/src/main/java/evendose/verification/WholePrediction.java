package evendose.verification;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import java.util.OptionalDouble;

/**
 * A prediction for a layout whose energy is known as a whole, with what follows from that.
 *
 * @param found what is expected
 * @param windows number of windows of the layout that were looked at, or 0 for all of it
 * @param sensitivity effect of wrong parameters on the widths
 * @param before energy with factor 1 everywhere
 * @param after energy with the doses
 */
public record WholePrediction(
        Prediction found, int windows, Sensitivity sensitivity, PointEnergy before, PointEnergy after) {
    private static final double PERCENT = 10;

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
    public static WholePrediction of(
            Exposure whole,
            OutlineSample outline,
            OptionalDouble allowedNm,
            boolean full,
            Workers workers,
            Progress progress) {
        progress.begin("predicting edges and widths", 0);
        List<double[]> windows = outline.windowsUm();
        Exposure exposure = windows.isEmpty() ? whole : whole.near(windows, Prediction.reachUm(whole.psf()));
        ExposureFields fields = exposure.fields(full ? PERCENT / 100 : 0, workers, Progress.NONE);
        // Neighbours' share of the energy is a measure of density.
        PointEnergy density = full ? fields.of(false, PointSpreadFunction::mainAlone) : (x, y) -> 0;
        OutlineFindings.Energies energies = new OutlineFindings.Energies(fields.of(false), fields.of(true), density);
        OutlineFindings all = OutlineFindings.of(
                exposure,
                outline,
                energies,
                1,
                OutlineFindings.Effort.ofPart(1, outline.edges().size(), full),
                allowedNm,
                workers);
        Prediction found = Prediction.joined(List.of(all), allowedNm);
        Sensitivity sensitivity = full
                ? Sensitivity.of(
                        exposure,
                        found.widths().stream().map(LineWidth::gauge).toList(),
                        PERCENT,
                        energies.after(),
                        change -> fields.of(true, change),
                        workers,
                        Progress.NONE)
                : new Sensitivity(PERCENT, List.of());
        return new WholePrediction(found, windows.size(), sensitivity, energies.before(), energies.after());
    }
}
