package evendose.correction;

import evendose.parallel.Workers;
import org.ejml.data.DMatrixRMaj;
import org.ejml.dense.row.factory.LinearSolverFactory_DDRM;
import org.ejml.interfaces.linsol.LinearSolverDense;

/**
 * Anderson acceleration of a fixed-point iteration {@code x <- x + f(x)}: the next step combines the last few so that their
 * combined residual is least (D. G. Anderson, J. ACM 12, 547 (1965); the difference form with depth m).
 *
 * <p>The history is kept as {@code float}: it only steers, it does not limit the accuracy reached.
 */
final class Anderson {
    private static final int ITEMS_PER_PART = 1 << 16;

    /** Relative weight that keeps the small system solvable when steps are nearly parallel. */
    private static final double RIDGE = 1e-10;

    private final int n;
    private final int depth;
    private final Workers workers;
    private final float[][] stepChanges;
    private final float[][] residualChanges;
    private final double[] lastX;
    private final double[] lastF;
    private int held;
    private int newest = -1;
    private boolean hasLast;

    Anderson(int n, int depth, Workers workers) {
        this.n = n;
        this.depth = depth;
        this.workers = workers;
        this.stepChanges = new float[depth][];
        this.residualChanges = new float[depth][];
        this.lastX = new double[n];
        this.lastF = new double[n];
    }

    /** Forgets all former steps. */
    void restart() {
        held = 0;
        newest = -1;
        hasLast = false;
    }

    /** Replaces {@code x} by the next iterate, given {@code f = f(x)}. */
    void advance(double[] x, double[] f) {
        if (hasLast) {
            newest = (newest + 1) % depth;
            held = Math.min(held + 1, depth);
            if (stepChanges[newest] == null) {
                stepChanges[newest] = new float[n];
                residualChanges[newest] = new float[n];
            }
            float[] dx = stepChanges[newest];
            float[] df = residualChanges[newest];
            workers.runRanges(n, ITEMS_PER_PART, (from, to, part) -> {
                for (int i = from; i < to; i++) {
                    dx[i] = (float) (x[i] - lastX[i]);
                    df[i] = (float) (f[i] - lastF[i]);
                }
            });
        }
        double[] gamma = coefficients(f);
        workers.runRanges(n, ITEMS_PER_PART, (from, to, part) -> {
            for (int i = from; i < to; i++) {
                lastX[i] = x[i];
                lastF[i] = f[i];
                double step = f[i];
                for (int k = 0; k < gamma.length; k++) {
                    step -= gamma[k] * ((double) stepChanges[k][i] + residualChanges[k][i]);
                }
                x[i] += step;
            }
        });
        hasLast = true;
    }

    /** Least squares of {@code f} over the residual changes, by the normal equations in double. */
    private double[] coefficients(double[] f) {
        int m = held;
        if (m == 0) {
            return new double[0];
        }
        int products = m * (m + 1) / 2 + m;
        double[][] partial = new double[Workers.partCount(n, ITEMS_PER_PART)][products];
        workers.runRanges(n, ITEMS_PER_PART, (from, to, part) -> {
            double[] sums = partial[part];
            int at = 0;
            for (int a = 0; a < m; a++) {
                float[] da = residualChanges[a];
                for (int b = 0; b <= a; b++) {
                    float[] db = residualChanges[b];
                    double sum = 0;
                    for (int i = from; i < to; i++) {
                        sum += (double) da[i] * db[i];
                    }
                    sums[at++] = sum;
                }
                double sum = 0;
                for (int i = from; i < to; i++) {
                    sum += da[i] * f[i];
                }
                sums[at++] = sum;
            }
        });
        double[] total = new double[products];
        for (double[] sums : partial) {
            for (int k = 0; k < products; k++) {
                total[k] += sums[k];
            }
        }
        DMatrixRMaj gram = new DMatrixRMaj(m, m);
        DMatrixRMaj right = new DMatrixRMaj(m, 1);
        int at = 0;
        double trace = 0;
        for (int a = 0; a < m; a++) {
            for (int b = 0; b <= a; b++) {
                gram.set(a, b, total[at]);
                gram.set(b, a, total[at++]);
            }
            right.set(a, 0, total[at++]);
            trace += gram.get(a, a);
        }
        for (int a = 0; a < m; a++) {
            gram.add(a, a, RIDGE * trace + Double.MIN_NORMAL);
        }
        LinearSolverDense<DMatrixRMaj> solver = LinearSolverFactory_DDRM.symmPosDef(m);
        DMatrixRMaj solution = new DMatrixRMaj(m, 1);
        if (!solver.setA(gram)) {
            return new double[0];
        }
        solver.solve(right, solution);
        return solution.getData().clone();
    }
}
