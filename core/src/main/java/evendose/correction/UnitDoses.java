package evendose.correction;

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

    /** Largest relative change by joining. */
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

    /** Gives neighbours whose free doses agree within half the tolerance the same dose, unless levels or shapes rule; numbers the doses. */
    void join() {
        if (options.levels().isEmpty() && done.shared == null) {
            EqualDoses equal = new EqualDoses(done.cut.pieces(), options.tolerance());
            if (equal.apply(factor, done.fixed, options.minFactor(), options.maxFactor())) {
                joining = equal.mostMoved();
                judged = new double[factor.length];
                done.model.apply(factor, judged);
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

    /** How each unit does, one a unit. */
    DoseStatus[] statuses() {
        DoseStatus[] status = new DoseStatus[factor.length];
        StatusRule rule = StatusRule.of(options, joining);
        for (int u = 0; u < status.length; u++) {
            if (!Double.isNaN(done.fixed[u])) {
                status[u] = DoseStatus.FIXED;
                continue;
            }
            DoseStatus ofFree = rule.ofFree(free[u], freely[u], done.target[u]);
            if (rule.isMet(judged[u], done.target[u])) {
                status[u] = done.cut.nearCorners()[u] ? DoseStatus.CORNERS : DoseStatus.OK;
            } else if (ofFree == DoseStatus.OK) {
                status[u] = isImposed ? DoseStatus.COARSE_LEVEL : DoseStatus.UNCONVERGED;
            } else {
                status[u] = ofFree;
            }
        }
        return status;
    }
}
