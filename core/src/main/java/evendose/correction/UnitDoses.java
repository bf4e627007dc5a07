package evendose.correction;

import java.util.Optional;

/** Doses of units on their way from the solver to the table: free, then joined or put on levels, then judged. */
final class UnitDoses {
    private final Correction done;
    private final CorrectionOptions options;

    /** What the solver found. Levels move what stands at a bound off it; why it is off is still the bound. */
    private final double[] free;

    private final double[] freely;

    /** Criterion values at factor 1, one a unit. */
    final double[] before;

    double[] factor;
    double[] judged;
    DoseLevels levels;
    int[] level;

    /** What is judged as one unit, if not each by itself. */
    private Optional<JoinedUnits> joined = Optional.empty();

    /** Largest relative change that the criterion may owe to joining. */
    private double joining;

    private boolean isImposed;

    UnitDoses(Correction done, CorrectionOptions options) {
        this.done = done;
        this.options = options;
        this.factor = done.toUnits(done.solver.dose);
        this.free = factor.clone();
        this.freely = done.toUnits(done.solver.criterion);
        this.judged = freely;
        this.before = done.toUnits(done.solver.uncorrected);
    }

    /**
     * Gives neighbours the same dose, unless levels or shapes rule; numbers the doses.
     *
     * @param asAllowed whether as many as the goal along the outline allows; otherwise those only that agree within half the tolerance
     */
    void join(boolean asAllowed) {
        if (options.levels().isEmpty() && done.shared == null) {
            joined = asAllowed ? done.joined(factor, options.progress()) : Optional.empty();
            factor = joined.map(units -> units.meansOfUnits(free)).orElse(factor);
            EqualDoses equal = new EqualDoses(done.cut.pieces(), options.tolerance());
            boolean isMoved = equal.apply(factor, done.fixed, options.minFactor(), options.maxFactor());
            joining = isMoved ? equal.mostMoved() : 0;
            if (isMoved || joined.isPresent()) {
                double[] ofParts = new double[factor.length];
                done.model.apply(factor, ofParts);
                judged = joined.map(units -> units.meansOfUnits(ofParts)).orElse(ofParts);
            }
        }
        group();
    }

    /** Takes the doses of levels; returns what they cost. */
    LevelTrial impose(LevelTrials.Outcome outcome) {
        LevelSolver.Imposed imposed = outcome.imposed();
        isImposed = true;
        factor = done.toUnits(imposed.dose);
        judged = done.toUnits(imposed.criterion);
        levels = outcome.levels();
        level = done.shared == null ? imposed.level : done.shared.toUnits(imposed.level);
        return outcome.trial();
    }

    /** Levels that only group free doses, for files that want a number. */
    private void group() {
        levels = DoseLevels.grouping(factor);
        level = new int[factor.length];
        for (int u = 0; u < level.length; u++) {
            level[u] = levels.nearest(factor[u]);
        }
    }

    /** Whether a unit is off by no more than joining may cost: where parts near corners trade with each other, it moves neighbours as well. */
    private boolean isJoiningAllowed(int u) {
        return joined.isPresent() && Math.abs(judged[u] / done.target[u] - 1) <= options.allowedEdgeError();
    }

    /** How each unit does, one a unit. */
    DoseStatus[] statuses() {
        DoseStatus[] status = new DoseStatus[factor.length];
        StatusRule rule = StatusRule.of(options, joining);
        boolean[] ofParts = done.cut.nearCorners();
        boolean[] nearCorners = joined.map(units -> units.holdsForAll(ofParts)).orElse(ofParts);
        for (int u = 0; u < status.length; u++) {
            if (!Double.isNaN(done.fixed[u])) {
                status[u] = DoseStatus.FIXED;
                continue;
            }
            DoseStatus ofFree = rule.ofFree(free[u], freely[u], done.target[u]);
            if (rule.isMet(judged[u], done.target[u]) || (ofFree == DoseStatus.OK && isJoiningAllowed(u))) {
                status[u] = nearCorners[u] ? DoseStatus.CORNERS : DoseStatus.OK;
            } else if (ofFree == DoseStatus.OK) {
                status[u] = isImposed ? DoseStatus.COARSE_LEVEL : DoseStatus.UNCONVERGED;
            } else {
                status[u] = ofFree;
            }
        }
        return status;
    }
}
