package evendose.correction;

import evendose.parallel.Workers;

/**
 * Imposes dose levels: starts from the level nearest in ratio, then lets each dose move to the level that leaves its own criterion
 * error smallest, given what its neighbours contribute now.
 *
 * <p>With {@code a} the direct energy per dose, the dose that would meet the wanted value C0 is {@code d + (C0 - C) / a}. If all moved at
 * once they would overshoot together, so each sweep moves a third of them, picked by a hash of their index. The state of
 * least weighted squared error seen is kept. Results do not depend on the number of threads.
 */
final class LevelSolver {
    private static final int SWEEPS = 12;
    static final int GROUPS = 3;
    private static final int ITEMS_PER_PART = 1 << 16;

    private final Solver.CriterionValues values;
    private final double[] free;
    private final double[] wanted;
    private final double[] perDose;
    private final double[] weight;
    private final double[] fixed;
    private final Workers workers;

    /** Levels imposed on doses. */
    static final class Imposed {
        final int[] level;
        final double[] dose;
        final double[] criterion;
        final double[] snappedCriterion;

        private Imposed(int[] level, double[] dose, double[] criterion, double[] snappedCriterion) {
            this.level = level;
            this.dose = dose;
            this.criterion = criterion;
            this.snappedCriterion = snappedCriterion;
        }
    }

    /**
     * @param values the criterion
     * @param free doses found without levels
     * @param wanted criterion values with them
     * @param direct share of the direct term in {@code wanted}, positive
     * @param weight how much an error of each counts
     * @param fixed dose that is kept, or NaN for one that is free
     */
    LevelSolver(
            Solver.CriterionValues values,
            double[] free,
            double[] wanted,
            double[] direct,
            double[] weight,
            double[] fixed,
            Workers workers) {
        this.values = values;
        this.free = free;
        this.wanted = wanted;
        this.weight = weight;
        this.fixed = fixed;
        this.workers = workers;
        this.perDose = new double[free.length];
        for (int i = 0; i < free.length; i++) {
            perDose[i] = direct[i] / free[i];
        }
    }

    Imposed impose(DoseLevels levels) {
        int n = free.length;
        int[] level = new int[n];
        double[] dose = new double[n];
        for (int i = 0; i < n; i++) {
            level[i] = levels.nearest(free[i]);
            dose[i] = levels.factor(level[i]);
        }
        double[] criterion = new double[n];
        values.of(dose, criterion);
        double[] snapped = criterion.clone();
        int[] bestLevel = level.clone();
        double[] bestCriterion = snapped;
        double least = squares(criterion);
        for (int sweep = 0; sweep < SWEEPS && levels.size() > 1; sweep++) {
            if (!move(levels, level, dose, criterion, sweep % GROUPS) && sweep >= GROUPS) {
                break;
            }
            values.of(dose, criterion);
            double now = squares(criterion);
            if (now < least) {
                least = now;
                bestLevel = level.clone();
                bestCriterion = criterion.clone();
            }
        }
        for (int i = 0; i < n; i++) {
            dose[i] = levels.factor(bestLevel[i]);
        }
        return new Imposed(bestLevel, dose, bestCriterion, snapped);
    }

    private boolean move(DoseLevels levels, int[] level, double[] dose, double[] criterion, int group) {
        int parts = Workers.partCount(free.length, ITEMS_PER_PART);
        boolean[] moved = new boolean[parts];
        workers.runRanges(free.length, ITEMS_PER_PART, (from, to, part) -> {
            for (int i = from; i < to; i++) {
                if (Double.isNaN(fixed[i]) && group(i) == group) {
                    double better = dose[i] + (wanted[i] - criterion[i]) / perDose[i];
                    int k = levels.closest(better);
                    if (k != level[i]) {
                        level[i] = k;
                        dose[i] = levels.factor(k);
                        moved[part] = true;
                    }
                }
            }
        });
        for (boolean m : moved) {
            if (m) {
                return true;
            }
        }
        return false;
    }

    /** Spreads neighbours over the groups (Fibonacci hashing). */
    private static int group(int i) {
        return (int) ((i * 0x9E3779B97F4A7C15L >>> 33) % GROUPS);
    }

    private double squares(double[] criterion) {
        double sum = 0;
        for (int i = 0; i < criterion.length; i++) {
            double off = criterion[i] / wanted[i] - 1;
            sum += weight[i] * off * off;
        }
        return sum;
    }
}
