package evendose.calibration;

import org.apache.commons.math3.linear.Array2DRowRealMatrix;
import org.apache.commons.math3.linear.ArrayRealVector;
import org.apache.commons.math3.linear.QRDecomposition;
import org.apache.commons.math3.linear.SingularMatrixException;

/**
 * Levenberg's damped Gauss-Newton search with Marquardt's scaling, by QR; ends quietly also where the cost comes down to nothing.
 *
 * <p>Commons Math's optimizer in its place passes {@code CalibrationFitTest} as well, but takes 11,978 derivatives where this takes 10,118 (1,714
 * searches) and 1.1 to 1.3 times the processor time, measured on a busy machine: nearly all of a calibration is spent here.
 */
final class LeastSquares {
    private static final int MOST_STEPS = 300;
    private static final double SMALLEST_STEP = 1e-9;

    /** Where a step that was hardly held back gains no more than this share of the cost, further ones gain nothing that counts. */
    private static final double SMALLEST_GAIN = 1e-9;

    private static final double LITTLE_DAMPING = 1e-3;
    private static final double LARGEST_STEP = 1;
    private static final double HOPELESS_DAMPING = 1e16;

    private LeastSquares() {}

    /** The point reached from {@code start} and its cost, the sum of squared residuals. */
    record Minimum(double[] x, double cost) {}

    static Minimum search(CalibrationModel model, double[] start) {
        double[] x = start.clone();
        double[] residual = model.residuals(x);
        double cost = squares(residual);
        double damping = 1e-3;
        for (int step = 0; step < MOST_STEPS && damping < HOPELESS_DAMPING; step++) {
            double[][] jacobian = model.jacobian(x);
            boolean moved = false;
            while (!moved && damping < HOPELESS_DAMPING) {
                double[] by = step(jacobian, residual, damping);
                double[] trial = x.clone();
                double length = 0;
                for (int j = 0; j < by.length; j++) {
                    trial[j] += by[j];
                    length = Math.max(length, Math.abs(by[j]));
                }
                double[] there = length <= LARGEST_STEP ? model.residuals(trial) : null;
                double lower = there == null ? Double.NaN : squares(there);
                if (lower <= cost) {
                    moved = true;
                    boolean settled = damping <= LITTLE_DAMPING && cost - lower <= SMALLEST_GAIN * lower;
                    x = trial;
                    residual = there;
                    damping = Math.max(1e-14, damping / 10);
                    cost = lower;
                    if (settled || length < SMALLEST_STEP) {
                        return new Minimum(x, cost);
                    }
                } else {
                    damping *= 10;
                }
                if (length < SMALLEST_STEP) {
                    return new Minimum(x, cost);
                }
            }
        }
        return new Minimum(x, cost);
    }

    private static double[] step(double[][] jacobian, double[] residual, double damping) {
        int m = residual.length;
        int n = jacobian[0].length;
        double[][] rows = new double[m + n][n];
        double[] right = new double[m + n];
        for (int i = 0; i < m; i++) {
            rows[i] = jacobian[i].clone();
            right[i] = -residual[i];
        }
        for (int j = 0; j < n; j++) {
            double square = 0;
            for (double[] row : jacobian) {
                square += row[j] * row[j];
            }
            rows[m + j][j] = Math.sqrt(damping * Math.max(square, 1e-12));
        }
        try {
            return new QRDecomposition(new Array2DRowRealMatrix(rows, false))
                    .getSolver()
                    .solve(new ArrayRealVector(right, false))
                    .toArray();
        } catch (SingularMatrixException e) {
            return new double[n];
        }
    }

    static double squares(double[] r) {
        double sum = 0;
        for (double v : r) {
            sum += v * v;
        }
        return sum;
    }
}
