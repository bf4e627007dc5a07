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

    // Results.
    final double[] dose;
    final double[] criterion;
    final double[] uncorrected;
    Convergence convergence;

    /**
     * @param target target of each dose, positive
     * @param fixed dose that is kept, or NaN for one that is free
     */
    Solver(CriterionValues values, double[] target, double[] fixed, Workers workers) {
        this.values = values;
        this.target = target;
        this.fixed = fixed;
        this.workers = workers;
        this.dose = new double[target.length];
        this.criterion = new double[target.length];
        this.uncorrected = new double[target.length];
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

    void solve(double minFactor, double maxFactor, double tolerance, int maxIterations, Progress progress) {
        int n = target.length;
        double low = Math.log(minFactor);
        double high = Math.log(maxFactor);
        double[] x = new double[n];
        double[] f = new double[n];
        double[] history = new double[maxIterations + 1];
        Anderson anderson = new Anderson(n, DEPTH, workers);
        double lastRms = Double.MAX_VALUE;
        int iteration = 0;
        Residual residual;
        progress.begin("correcting doses", 0);
        while (true) {
            toDoses(x, minFactor, maxFactor);
            values.of(dose, criterion);
            residual = residual(x, f, low, high);
            history[iteration] = residual.max;
            progress.advance(1);
            if (iteration == 0) {
                System.arraycopy(criterion, 0, uncorrected, 0, n);
            }
            if (residual.max <= tolerance || iteration == maxIterations) {
                break;
            }
            if (residual.rms > lastRms) {
                anderson.restart();
            }
            lastRms = residual.rms;
            anderson.advance(x, f);
            for (int i = 0; i < n; i++) {
                x[i] = Math.min(high, Math.max(low, x[i]));
            }
            iteration++;
        }
        convergence = new Convergence(
                residual.max <= tolerance,
                iteration,
                history[0],
                residual.max,
                residual.rms,
                0,
                Arrays.copyOf(history, iteration + 1));
    }

    private void toDoses(double[] x, double minFactor, double maxFactor) {
        workers.runRanges(x.length, ITEMS_PER_PART, (from, to, part) -> {
            for (int i = from; i < to; i++) {
                dose[i] = Double.isNaN(fixed[i]) ? Math.min(maxFactor, Math.max(minFactor, Math.exp(x[i]))) : fixed[i];
            }
        });
    }

    private record Residual(double max, double rms) {}

    /** Fills {@code f} with the plain step; what is fixed or pushes against its bound does not move and does not count. */
    private Residual residual(double[] x, double[] f, double low, double high) {
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
