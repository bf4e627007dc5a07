package evendose.correction;

import evendose.Supported;
import evendose.geometry.Trapezoids;
import evendose.layout.Layout;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import java.util.List;
import java.util.Locale;
import java.util.Objects;
import java.util.Optional;

/**
 * The front door: a layout in, a dose for every piece of it out.
 *
 * <pre>{@code
 * DoseTable doses = Corrector.correct(layout, List.of(LayerRole.corrected(new Layer(1, 0))), CorrectionOptions.of(psf));
 * }</pre>
 *
 * <p>Merges the polygons, cuts them into pieces and units, builds the energy model and solves for the doses. Doses that cannot be
 * found are flagged in the table, not thrown. The doses do not depend on the number of threads. Interrupting the calling thread ends the
 * work with a {@link java.util.concurrent.CancellationException}.
 */
@Supported
public final class Corrector {
    private Corrector() {}

    /**
     * Corrects some layers of a layout, all top cells together.
     *
     * @param layout the layout
     * @param roles the layers to expose and what each does, at least one; where layers overlap, the one named first owns the place
     * @param options how to correct
     * @return the doses; whether they meet the criterion is told in their convergence
     * @throws IllegalArgumentException if there is no role, or a layer has two
     * @throws evendose.files.BadInputException if the layout has no shape on one of the layers, reaches farther than a writer, has a
     *     corner that lies far from all else, or cannot be exposed with the bias of the options
     * @throws MemoryLimitException if the correction needs more memory than Java may use
     */
    public static DoseTable correct(Layout layout, List<LayerRole> roles, CorrectionOptions options) {
        Objects.requireNonNull(layout, "layout must not be null");
        Objects.requireNonNull(roles, "roles must not be null");
        Objects.requireNonNull(options, "options must not be null");
        return correct(DrawnPattern.of(layout, roles), options);
    }

    /**
     * As {@link #correct(Layout, List, CorrectionOptions)}, of a part of a layout.
     *
     * @param pattern what is exposed, with the roles of its layers
     * @param options how to correct
     * @return the doses; whether they meet the criterion is told in their convergence
     * @throws evendose.files.BadInputException if the pattern cannot be exposed with the bias of the options
     * @throws MemoryLimitException if the merged layout needs more memory than Java may use
     */
    public static DoseTable correct(DrawnPattern pattern, CorrectionOptions options) {
        try (Workers workers = Workers.of(options.threads())) {
            return correct(pattern, options, workers);
        }
    }

    private static DoseTable correct(DrawnPattern pattern, CorrectionOptions options, Workers workers) {
        Progress progress = options.progress();
        double dbuUm = pattern.unit().um();
        Trapezoids merged = pattern.merged(workers, progress);
        MemoryNeed.require(
                MemoryNeed.ofMerged(merged.size(), merged.area() * dbuUm * dbuUm, options.maxPieceUm()),
                String.format(Locale.ROOT, "the merged layout has %,d trapezoids", merged.size()));
        ExposedShapes exposed = ExposedShapes.of(merged, dbuUm, pattern.roles(), options, workers, progress);
        Correction done = Correction.of(exposed, dbuUm, pattern.roles(), options, workers, progress);
        return table(done, pattern, options, workers, progress);
    }

    private static DoseTable table(
            Correction done, DrawnPattern pattern, CorrectionOptions options, Workers workers, Progress progress) {
        Pieces pieces = done.cut.pieces();
        UnitDoses doses = new UnitDoses(done, options);
        doses.join(true);
        Optional<LevelTrials> trials = options.levels().isPresent() || options.levelStudy()
                ? Optional.of(new LevelTrials(done.cut, done.solver, done.shared, options, workers, progress))
                : Optional.empty();
        List<LevelTrial> levelStudy =
                options.levelStudy() ? trials.orElseThrow().study(progress) : List.of();
        Optional<LevelTrial> levelCost =
                options.levels().map(wanted -> doses.impose(trials.orElseThrow().of(wanted)));
        DoseStatus[] status = doses.statuses();
        return new DoseTable(
                pieces,
                pattern,
                options,
                done.solver.convergence(options.tolerance()).written(doses.before, doses.judged, done.target, status),
                doses.levels,
                doses.factor,
                doses.level,
                doses.before,
                doses.judged,
                status,
                done.model.choices(),
                levelCost,
                levelStudy,
                wideDose(done.model, done.target, done.fixed, pattern.roles()),
                done.cut.judged(),
                done.outlineError(doses.factor, progress),
                new DoseTable.Counts(pieces.units(), pieces.size()),
                done.target);
    }

    private static Optional<double[]> wideDose(
            UnitEnergy model, double[] target, double[] fixed, List<LayerRole> roles) {
        if (roles.stream().allMatch(role -> role.target() == 1)) {
            return Optional.empty();
        }
        double[] factor = new double[target.length];
        for (int u = 0; u < factor.length; u++) {
            factor[u] = Double.isNaN(fixed[u]) ? target[u] : fixed[u];
        }
        double[] energy = new double[factor.length];
        model.apply(factor, energy);
        return Optional.of(energy);
    }
}
