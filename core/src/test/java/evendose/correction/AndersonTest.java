package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Workers;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import org.apache.commons.math3.linear.Array2DRowRealMatrix;
import org.apache.commons.math3.linear.ArrayRealVector;
import org.apache.commons.math3.linear.QRDecomposition;
import org.apache.commons.math3.linear.RealMatrix;
import org.apache.commons.math3.linear.RealVector;
import org.junit.jupiter.api.Test;

/** Anderson's steps against what least squares by another library give, and what theory says of linear problems. */
class AndersonTest {
    private static final int N = 40;
    private static final double[] DIAGONAL = {0.2, 0.9, 1.4, 1.7};

    /** The residual of a linear problem with four different eigenvalues, whose plain iteration is slow. */
    private static double[] residual(double[] x) {
        double[] f = new double[x.length];
        for (int i = 0; i < f.length; i++) {
            f[i] = DIAGONAL[i % 4] * (Math.cos(i) - x[i]);
        }
        return f;
    }

    private static double largest(double[] f) {
        double largest = 0;
        for (double v : f) {
            largest = Math.max(largest, Math.abs(v));
        }
        return largest;
    }

    /**
     * With as many former steps as there are different eigenvalues the residual is 0 after one step more, as with GMRES (H. F. Walker, P. Ni,
     * SIAM J. Numer. Anal. 49, 1715 (2011), from memory): here to the rounding of the history. The plain iteration leaves 0.8^6 = 0.26.
     */
    @Test
    void aLinearProblemOfFourEigenvaluesIsSolvedInFiveSteps() {
        try (Workers workers = Workers.of(1)) {
            Anderson anderson = new Anderson(N, 5, workers);
            double[] x = new double[N];
            for (int k = 0; k < 5; k++) {
                anderson.advance(x, residual(x));
            }
            double left = largest(residual(x));
            assertTrue(left < 1e-5, "left: " + left);
        }
    }

    /** A curved problem, more steps than are held, and a restart between. */
    @Test
    void everyStepIsTheLeastSquaresOne() {
        int depth = 3;
        try (Workers workers = Workers.of(1)) {
            Anderson anderson = new Anderson(N, depth, workers);
            SplittableRandom random = new SplittableRandom(3);
            double[] x = random.doubles(N, -0.3, 0.3).toArray();
            List<double[]> places = new ArrayList<>();
            List<double[]> residuals = new ArrayList<>();
            for (int k = 0; k < 12; k++) {
                if (k == 7) {
                    anderson.restart();
                    places.clear();
                    residuals.clear();
                }
                double[] f = residual(x);
                for (int i = 0; i < N; i++) {
                    f[i] += 0.3 * Math.sin(3 * x[i] + x[(i + 1) % N]);
                }
                places.add(x.clone());
                residuals.add(f.clone());
                double[] expected = step(places, residuals, depth);
                anderson.advance(x, f);
                // The history is kept as float.
                assertArrayEquals(expected, x, 2e-5, "step " + k);
            }
        }
    }

    /** {@code x + f - (X + F) g}, X and F the last differences and g the least-squares solution of {@code F g = f}. */
    private static double[] step(List<double[]> places, List<double[]> residuals, int depth) {
        int last = places.size() - 1;
        int held = Math.min(depth, last);
        RealVector f = new ArrayRealVector(residuals.get(last));
        RealVector next = new ArrayRealVector(places.get(last)).add(f);
        if (held == 0) {
            return next.toArray();
        }
        RealMatrix moves = new Array2DRowRealMatrix(N, held);
        RealMatrix changes = new Array2DRowRealMatrix(N, held);
        for (int j = 0; j < held; j++) {
            int k = last - j;
            moves.setColumnVector(
                    j, new ArrayRealVector(places.get(k)).subtract(new ArrayRealVector(places.get(k - 1))));
            changes.setColumnVector(
                    j, new ArrayRealVector(residuals.get(k)).subtract(new ArrayRealVector(residuals.get(k - 1))));
        }
        RealVector g = new QRDecomposition(changes).getSolver().solve(f);
        return next.subtract(moves.add(changes).operate(g)).toArray();
    }
}
