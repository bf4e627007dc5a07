package evendose.correction;

import evendose.Supported;
import evendose.energy.EnergyModel;
import evendose.geometry.Merge;
import evendose.geometry.Trapezoids;
import evendose.layout.Layout;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Fracture;
import evendose.pieces.Pieces;
import java.util.Arrays;
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
     * @throws evendose.files.BadInputException if the layout has no shape on one of the layers, reaches farther than a writer, or has a
     *     corner that lies far from all else
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
        Trapezoids merged = Merge.of(pattern.polygons(), pattern.roles().size(), workers, progress);
        MemoryNeed.require(
                MemoryNeed.ofMerged(merged.size(), merged.area() * dbuUm * dbuUm, options.maxPieceUm()),
                String.format(Locale.ROOT, "the merged layout has %,d trapezoids", merged.size()));
        Correction done = Correction.of(merged, dbuUm, pattern.roles(), options, workers, progress);
        return table(done, pattern, options, workers, progress);
    }

    private static DoseTable table(
            Correction done, DrawnPattern pattern, CorrectionOptions options, Workers workers, Progress progress) {
        Fracture.Result cut = done.cut;
        Pieces pieces = cut.pieces();
        EnergyModel model = done.model;
        int units = pieces.units();
        double[] target = done.target;
        double[] fixed = done.fixed;
        DosePerShape shared = done.shared;
        Solver solver = done.solver;

        double[] factor = shared == null ? solver.dose : shared.toUnits(solver.dose);
        // Levels move what stands at a bound off it; why it is off is still the bound.
        double[] free = factor.clone();
        double[] freely = shared == null ? solver.criterion : shared.toUnits(solver.criterion);
        double[] judged = shared == null ? solver.criterion : shared.toUnits(solver.criterion);
        double[] before = shared == null ? solver.uncorrected : shared.toUnits(solver.uncorrected);
        double joining = 0;
        if (options.levels().isEmpty() && shared == null) {
            EqualDoses equal = new EqualDoses(pieces, options.tolerance());
            if (equal.apply(factor, fixed, options.minFactor(), options.maxFactor())) {
                joining = equal.mostMoved();
                judged = new double[units];
                model.apply(factor, judged);
            }
        }
        DoseLevels levels = levels(factor);
        int[] level = new int[units];
        for (int u = 0; u < units; u++) {
            level[u] = levels.nearest(factor[u]);
        }
        Optional<LevelTrial> levelCost = Optional.empty();
        List<LevelTrial> levelStudy = List.of();
        if (options.levels().isPresent() || options.levelStudy()) {
            LevelTrials trials = new LevelTrials(cut, solver, shared, options, workers, progress);
            levelStudy = options.levelStudy() ? trials.study(progress) : List.of();
            if (options.levels().isPresent()) {
                LevelTrials.Outcome outcome = trials.of(options.levels().orElseThrow());
                levelCost = Optional.of(outcome.trial());
                LevelSolver.Imposed imposed = outcome.imposed();
                factor = shared == null ? imposed.dose : shared.toUnits(imposed.dose);
                judged = shared == null ? imposed.criterion : shared.toUnits(imposed.criterion);
                levels = outcome.levels();
                level = shared == null ? imposed.level : shared.toUnits(imposed.level);
            }
        }
        DoseStatus[] status = new DoseStatus[units];
        double ownShare = options.criterion().ownShare(options.psf());
        for (int u = 0; u < units; u++) {
            double allowed = options.tolerance() + joining;
            DoseStatus freeStatus = Double.isNaN(fixed[u])
                    ? status(free[u], freely[u], target[u], allowed, ownShare, options)
                    : DoseStatus.FIXED;
            boolean met = Math.abs(judged[u] / target[u] - 1) <= allowed;
            if (freeStatus != DoseStatus.FIXED && met) {
                status[u] = cut.nearCorners()[u] ? DoseStatus.CORNERS : DoseStatus.OK;
            } else if (freeStatus == DoseStatus.OK) {
                status[u] = levelCost.isPresent() ? DoseStatus.COARSE_LEVEL : DoseStatus.UNCONVERGED;
            } else {
                status[u] = freeStatus;
            }
        }
        return new DoseTable(
                pieces,
                pattern,
                options,
                solver.convergence(options.tolerance()).written(before, judged, target, status),
                levels,
                factor,
                level,
                before,
                judged,
                status,
                model.choices(),
                levelCost,
                levelStudy,
                wideDose(model, target, fixed, pattern.roles()),
                cut.judged(),
                done.outlineError(factor, progress),
                new DoseTable.Counts(units, pieces.size()));
    }

    private static Optional<double[]> wideDose(
            EnergyModel model, double[] target, double[] fixed, List<LayerRole> roles) {
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

    /** Factors this near a bound stand at it: the solver works with logarithms. */
    private static final double AT_BOUND = 1e-9;

    /**
     * How a free dose does, and why it does not better.
     *
     * @param ownShare energy that a wide line or area adds to its own criterion value for each unit of its factor: no shape adds
     *     more, so what exceeds the target without it comes from others, and a factor with which it would do is too small only for
     *     shapes below the beam
     */
    private static DoseStatus status(
            double factor,
            double criterion,
            double target,
            double allowed,
            double ownShare,
            CorrectionOptions options) {
        double off = criterion / target - 1;
        if (Math.abs(off) <= allowed) {
            return DoseStatus.OK;
        }
        if (factor <= options.minFactor() * (1 + AT_BOUND)) {
            return off > 0 && criterion - ownShare * factor > target ? DoseStatus.BACKGROUND : DoseStatus.AT_MINIMUM;
        }
        if (factor >= options.maxFactor() * (1 - AT_BOUND)) {
            return off < 0 && ownShare * factor > target ? DoseStatus.BELOW_BEAM : DoseStatus.AT_MAXIMUM;
        }
        return DoseStatus.UNCONVERGED;
    }

    /** Levels that only group free doses, for files that want a number. */
    private static DoseLevels levels(double[] factor) {
        if (factor.length == 0) {
            return DoseLevels.geometric(1, 1, 1);
        }
        double min = Arrays.stream(factor).min().orElseThrow();
        double max = Arrays.stream(factor).max().orElseThrow();
        return DoseLevels.geometric(min, max, DoseLevels.USUAL);
    }
}
