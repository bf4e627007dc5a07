package evendose.correction;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.Arrays;

/**
 * Finds doses whose criterion values meet their targets: {@code x = log d} is moved by {@code log(T / C)}, with Anderson
 * acceleration of depth 5, between bounds. The self-consistent idea is M. Parikh's, J. Appl. Phys. 50, 4371 (1979).
 */
final class Solver {
    private static final int DEPTH = 5;
    private static final int ITEMS_PER_PART = 1 << 16;

    /** Criterion values of given doses; both arrays have one entry a dose. Linear in the doses. */
    @FunctionalInterface
    interface CriterionValues {
        void of(double[] dose, double[] criterion);
    }

    private final CriterionValues values;
    private final double[] target;
    private final double[] fixed;
    private final Workers workers;

    private final double minFactor;
    private final double maxFactor;
    private final double low;
    private final double high;
    private final double[] x;
    private final double[] f;
    private final Anderson anderson;
    private double lastRms = Double.MAX_VALUE;
    private double[] history;
    private int updates;
    private Residual residual;

    // Results.
    final double[] dose;
    final double[] criterion;

    /** Criterion values where all doses that are not fixed are 1, whatever the bounds are. */
    final double[] uncorrected;

    /**
     * @param target target of each dose, positive
     * @param fixed dose that is kept, or NaN for one that is free
     * @param start doses to begin with, within the bounds or fixed
     * @param former largest residuals of rounds that led to {@code start}
     */
    Solver(
            CriterionValues values,
            double[] target,
            double[] fixed,
            double[] start,
            double[] former,
            double minFactor,
            double maxFactor,
            Workers workers) {
        int n = target.length;
        this.values = values;
        this.target = target;
        this.fixed = fixed;
        this.low = Math.log(minFactor);
        this.high = Math.log(maxFactor);
        this.minFactor = minFactor;
        this.maxFactor = maxFactor;
        this.workers = workers;
        this.dose = new double[n];
        this.criterion = new double[n];
        this.uncorrected = new double[n];
        this.x = new double[n];
        this.f = new double[n];
        this.anderson = new Anderson(n, DEPTH, workers);
        this.history = former.clone();
        this.updates = Math.max(0, former.length - 1);
        boolean atOne = true;
        for (int i = 0; i < n; i++) {
            x[i] = Math.min(high, Math.max(low, Math.log(start[i])));
            dose[i] = Double.isNaN(fixed[i]) ? 1 : fixed[i];
            atOne &= !Double.isNaN(fixed[i]) || x[i] == 0;
        }
        values.of(dose, uncorrected);
        if (atOne) {
            System.arraycopy(uncorrected, 0, criterion, 0, n);
        } else {
            evaluate();
        }
        residual = residual();
        if (history.length == 0) {
            history = new double[] {residual.free};
        }
    }

    CriterionValues values() {
        return values;
    }

    double[] target() {
        return target;
    }

    double[] fixed() {
        return fixed;
    }

    /**
     * Updates the doses until no residual of those that can move is above {@code tolerance}, or {@code mostUpdates} have been made, former ones
     * included.
     */
    void solve(double tolerance, int mostUpdates, Progress progress) {
        while (residual.free > tolerance && updates < mostUpdates) {
            if (residual.rms > lastRms) {
                anderson.restart();
            }
            lastRms = residual.rms;
            anderson.advance(x, f);
            for (int i = 0; i < x.length; i++) {
                x[i] = Math.min(high, Math.max(low, x[i]));
            }
            evaluate();
            residual = residual();
            updates++;
            history = Arrays.copyOf(history, updates + 1);
            history[updates] = residual.free;
            progress.advance(1);
        }
    }

    /** Largest residuals of the doses that could move, before the first update and after each. */
    double[] history() {
        return history.clone();
    }

    /** How it went, over the doses that could move. */
    Convergence convergence(double tolerance) {
        return new Convergence(
                residual.free <= tolerance, updates, history[0], residual.free, residual.rms, 0, history.clone());
    }

    private void evaluate() {
        workers.runRanges(x.length, ITEMS_PER_PART, (from, to, part) -> {
            for (int i = from; i < to; i++) {
                dose[i] = Double.isNaN(fixed[i]) ? Math.min(maxFactor, Math.max(minFactor, Math.exp(x[i]))) : fixed[i];
            }
        });
        values.of(dose, criterion);
    }

    /** Largest and root mean square of the residuals of the doses that can move. */
    private record Residual(double free, double rms) {}

    /** Fills {@code f} with the plain step; what is fixed or pushes against its bound does not move and does not count. */
    private Residual residual() {
        int n = x.length;
        int parts = Workers.partCount(n, ITEMS_PER_PART);
        double[] max = new double[parts];
        double[] squares = new double[parts];
        long[] counts = new long[parts];
        workers.runRanges(n, ITEMS_PER_PART, (from, to, part) -> {
            for (int i = from; i < to; i++) {
                f[i] = 0;
                if (Double.isNaN(fixed[i])) {
                    double step = Math.log(target[i] / criterion[i]);
                    if (!(x[i] <= low && step < 0) && !(x[i] >= high && step > 0)) {
                        f[i] = step;
                        double off = Math.abs(criterion[i] / target[i] - 1);
                        max[part] = Math.max(max[part], off);
                        squares[part] += off * off;
                        counts[part]++;
                    }
                }
            }
        });
        double largest = 0;
        double sum = 0;
        long count = 0;
        for (int p = 0; p < parts; p++) {
            largest = Math.max(largest, max[p]);
            sum += squares[p];
            count += counts[p];
        }
        return new Residual(largest, count == 0 ? 0 : Math.sqrt(sum / count));
    }
}
