package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.Arrays;
import java.util.SplittableRandom;
import org.apache.commons.math3.linear.Array2DRowRealMatrix;
import org.apache.commons.math3.linear.ArrayRealVector;
import org.apache.commons.math3.linear.LUDecomposition;
import org.junit.jupiter.api.Test;

/** The solver on small matrices in place of an energy model: doses against a direct solution of the linear equations. */
class SolverTest {
    private static final Workers ONE = Workers.of(1);
    private static final double TOLERANCE = 1e-6;

    private static Solver solver(
            double[][] matrix, double[] target, double[] fixed, double[] start, double least, double most) {
        return new Solver(
                (dose, criterion) -> {
                    for (int i = 0; i < criterion.length; i++) {
                        criterion[i] = 0;
                        for (int k = 0; k < dose.length; k++) {
                            criterion[i] += matrix[i][k] * dose[k];
                        }
                    }
                },
                target,
                fixed,
                start,
                new double[0],
                least,
                most,
                ONE);
    }

    private static double[] all(int n, double value) {
        double[] values = new double[n];
        Arrays.fill(values, value);
        return values;
    }

    /** Neighbours in a row, each with a share of its own and what falls off from the others. */
    private static double[][] row(int n) {
        double[][] matrix = new double[n][n];
        for (int i = 0; i < n; i++) {
            for (int k = 0; k < n; k++) {
                matrix[i][k] = i == k ? 0.3 : 0.05 * Math.exp(-Math.abs(i - k) / 6.0);
            }
        }
        return matrix;
    }

    /** {@code updates} stays below what the plain iteration takes, which is found here as well. */
    @Test
    void dosesSolveTheEquationsInFewerRoundsThanThePlainIteration() {
        int n = 30;
        double[][] matrix = row(n);
        double[] target = new SplittableRandom(5).doubles(n, 0.45, 0.55).toArray();
        Solver solver = solver(matrix, target, all(n, Double.NaN), all(n, 1), 0.01, 100);
        solver.solve(TOLERANCE, 100, Progress.NONE);
        double[] expected = new LUDecomposition(new Array2DRowRealMatrix(matrix))
                .getSolver()
                .solve(new ArrayRealVector(target))
                .toArray();
        assertArrayEquals(expected, solver.dose, 1e-5);
        Convergence convergence = solver.convergence(TOLERANCE);
        assertTrue(convergence.converged());
        int plain = plainRounds(matrix, target);
        assertTrue(
                convergence.iterations() <= 0.36 * plain,
                convergence.iterations() + " rounds, the plain iteration takes " + plain);
        assertEquals(convergence.iterations() + 1, solver.history().length);
        assertEquals(convergence.maxResidual(), solver.history()[convergence.iterations()]);
    }

    private static int plainRounds(double[][] matrix, double[] target) {
        double[] dose = all(target.length, 1);
        for (int round = 0; ; round++) {
            double[] criterion = new Array2DRowRealMatrix(matrix).operate(dose);
            double worst = 0;
            for (int i = 0; i < dose.length; i++) {
                worst = Math.max(worst, Math.abs(criterion[i] / target[i] - 1));
                dose[i] *= target[i] / criterion[i];
            }
            if (worst <= TOLERANCE) {
                return round;
            }
        }
    }

    /**
     * The first dose rises to its upper bound while the second is still low; then the second lights it up, and it has to come back:
     * d2 = 0.5/0.5 = 1, d1 = (0.5 - 0.3)/0.3 = 2/3.
     */
    @Test
    void aDoseThatReachedItsUpperBoundComesBack() {
        double[][] matrix = {{0.3, 0.3}, {0, 0.5}};
        Solver solver = solver(matrix, all(2, 0.5), all(2, Double.NaN), new double[] {1, 0.1}, 0.1, 1.3);
        solver.solve(TOLERANCE, 1, Progress.NONE);
        assertEquals(1.3, solver.dose[0], 1e-15, "at its bound after one round");
        assertFalse(solver.convergence(TOLERANCE).converged());
        solver.solve(TOLERANCE, 60, Progress.NONE);
        assertArrayEquals(new double[] {2 / 3.0, 1}, solver.dose, 1e-5);
        assertTrue(solver.convergence(TOLERANCE).converged());
    }

    /** The same downwards: d2 = 1, d1 = (0.5 - 0.1)/0.3 = 4/3, after d2 = 10 pushed it to the lower bound. */
    @Test
    void aDoseThatReachedItsLowerBoundComesBack() {
        double[][] matrix = {{0.3, 0.1}, {0, 0.5}};
        Solver solver = solver(matrix, all(2, 0.5), all(2, Double.NaN), new double[] {1, 10}, 0.8, 12);
        solver.solve(TOLERANCE, 1, Progress.NONE);
        assertEquals(0.8, solver.dose[0], 1e-15, "at its bound after one round");
        solver.solve(TOLERANCE, 60, Progress.NONE);
        assertArrayEquals(new double[] {4 / 3.0, 1}, solver.dose, 1e-5);
    }

    /**
     * The first step, log(0.5/0.104) = 1.57, leads far beyond the upper bound. What lies beyond must be forgotten: the second dose then makes
     * d1 too high by 0.53/0.5, and it has to move in the next round. The solution is d2 = 1, d1 = (0.5 - 0.4)/0.1 = 1.
     */
    @Test
    void aDoseThatOvershotItsUpperBoundComesBackAtOnce() {
        double[][] matrix = {{0.1, 0.4}, {0, 0.5}};
        Solver solver = solver(matrix, all(2, 0.5), all(2, Double.NaN), new double[] {1, 0.01}, 0.01, 1.3);
        solver.solve(TOLERANCE, 1, Progress.NONE);
        assertEquals(1.3, solver.dose[0], 1e-15, "at its bound after one round");
        solver.solve(TOLERANCE, 2, Progress.NONE);
        assertTrue(solver.dose[0] < 1.27, "still at " + solver.dose[0]);
        solver.solve(TOLERANCE, 60, Progress.NONE);
        assertArrayEquals(new double[] {1, 1}, solver.dose, 1e-5);
    }

    /** The same downwards: log(0.5/10.2) = -3 for d1 while d2 = 50; then d2 = 1 leaves 0.2 + 0.2 * 0.8 = 0.36, and d1 = 0.3/0.2 = 1.5. */
    @Test
    void aDoseThatOvershotItsLowerBoundComesBackAtOnce() {
        double[][] matrix = {{0.2, 0.2}, {0, 0.5}};
        Solver solver = solver(matrix, all(2, 0.5), all(2, Double.NaN), new double[] {1, 50}, 0.8, 60);
        solver.solve(TOLERANCE, 1, Progress.NONE);
        assertEquals(0.8, solver.dose[0], 1e-15, "at its bound after one round");
        solver.solve(TOLERANCE, 2, Progress.NONE);
        assertTrue(solver.dose[0] > 0.83, "still at " + solver.dose[0]);
        solver.solve(TOLERANCE, 60, Progress.NONE);
        assertArrayEquals(new double[] {1.5, 1}, solver.dose, 1e-5);
    }

    /**
     * Where a round made the rms residual larger, what was learnt before is forgotten: the next round is the plain one, d T / C. Neighbours
     * that count more than the dose itself make the first round overshoot.
     */
    @Test
    void afterAWorseRoundThePlainStepFollows() {
        double[][] matrix = {{0.2, 0.9, 0.3}, {0.8, 0.2, 0.1}, {0.1, 0.7, 0.3}};
        double[] target = {0.5, 0.45, 0.55};
        Solver solver = solver(matrix, target, all(3, Double.NaN), new double[] {1, 0.3, 0.6}, 1e-4, 1e4);
        int worse = 0;
        double last = Double.MAX_VALUE;
        for (int round = 1; round <= 12; round++) {
            double rms = solver.convergence(TOLERANCE).rmsResidual();
            double[] plain = new double[3];
            for (int i = 0; i < 3; i++) {
                plain[i] = solver.dose[i] * target[i] / solver.criterion[i];
            }
            solver.solve(0, round, Progress.NONE);
            if (rms > last) {
                worse++;
                assertArrayEquals(plain, solver.dose, 1e-9, "round " + round);
            }
            last = rms;
        }
        assertTrue(worse > 0, "no round made it worse");
    }

    /** Doses to begin with that lie beyond a bound begin at it. */
    @Test
    void aStartBeyondABoundBeginsAtIt() {
        double[][] matrix = {{0.5, 0}, {0, 0.5}};
        Solver solver = solver(matrix, all(2, 0.5), all(2, Double.NaN), new double[] {4, 0.1}, 0.7, 1.6);
        assertArrayEquals(new double[] {1.6, 0.7}, solver.dose, 1e-15);
        assertArrayEquals(new double[] {0.8, 0.35}, solver.criterion, 1e-15);
        assertArrayEquals(new double[] {0.5, 0.5}, solver.uncorrected, 1e-15);
        solver.solve(TOLERANCE, 1, Progress.NONE);
        assertArrayEquals(new double[] {1, 1}, solver.dose, 1e-12, "the plain step from the bounds");
    }

    /** What is held at a bound does not move, and does not keep the others from converging; what is fixed neither. */
    @Test
    void boundsAndFixedDosesAreKept() {
        double[][] matrix = {{0.5, 0, 0.1, 0}, {0, 0.5, 0.1, 0}, {0.1, 0, 0.5, 0}, {0.1, 0, 0, 0.5}};
        double[] fixed = {Double.NaN, Double.NaN, 0.7, Double.NaN};
        double[] target = {0.5, 0.9, 0.5, 0.1};
        Solver solver = solver(matrix, target, fixed, all(4, 1), 0.6, 1.2);
        solver.solve(TOLERANCE, 60, Progress.NONE);
        // (0.5 - 0.07)/0.5; (0.9 - 0.07)/0.5 = 1.66 is above the bound; (0.1 - 0.086)/0.5 = 0.028 below it.
        assertArrayEquals(new double[] {0.86, 1.2, 0.7, 0.6}, solver.dose, 1e-5);
        Convergence convergence = solver.convergence(TOLERANCE);
        assertTrue(convergence.converged());
        assertTrue(convergence.maxResidual() <= TOLERANCE);
        assertTrue(convergence.rmsResidual() <= convergence.maxResidual() && convergence.rmsResidual() > 0);
        // Uncorrected: factor 1 but for the fixed one.
        assertArrayEquals(new double[] {0.57, 0.57, 0.45, 0.6}, solver.uncorrected, 1e-15);
    }

    /** Residuals of the first round by hand: 0.6/0.5 - 1, 0.4/0.5 - 1 and a fixed one that does not count. */
    @Test
    void residualsAreThoseOfDosesThatCanMove() {
        double[][] matrix = {{0.6, 0, 0}, {0, 0.4, 0}, {0, 0, 5}};
        Solver solver = solver(matrix, all(3, 0.5), new double[] {Double.NaN, Double.NaN, 1}, all(3, 1), 0.1, 10);
        Convergence convergence = solver.convergence(0.25);
        assertTrue(convergence.converged(), "within a tolerance of 0.25 from the start");
        assertFalse(solver.convergence(0.19).converged());
        assertEquals(0.2, convergence.maxResidual(), 1e-12);
        assertEquals(0.2, convergence.rmsResidual(), 1e-12);
        assertEquals(0.2, convergence.uncorrectedMaxResidual(), 1e-12);
        solver.solve(0.25, 10, Progress.NONE);
        assertEquals(0, solver.convergence(0.25).iterations(), "nothing to do");
    }

    /** Rounds that led to the start count: history and number of updates go on from them. */
    @Test
    void formerRoundsCount() {
        double[][] matrix = {{0.5}};
        Solver solver = new Solver(
                (dose, criterion) -> criterion[0] = matrix[0][0] * dose[0],
                all(1, 0.5),
                all(1, Double.NaN),
                all(1, 2),
                new double[] {3, 1.5, 1},
                0.1,
                10,
                ONE);
        solver.solve(TOLERANCE, 2, Progress.NONE);
        assertEquals(2, solver.dose[0], 1e-15, "two updates were made before, no more are allowed");
        solver.solve(TOLERANCE, 3, Progress.NONE);
        assertEquals(1, solver.dose[0], 1e-12);
        assertEquals(3, solver.convergence(TOLERANCE).iterations());
        assertArrayEquals(new double[] {3, 1.5, 1, 0}, solver.history(), 1e-12);
        assertEquals(3, solver.convergence(TOLERANCE).uncorrectedMaxResidual());
    }

    /** Each round is told once; what the solver was made of can be asked for. */
    @Test
    void roundsAreToldAndQuestionsAnswered() {
        double[] target = {0.5, 0.4};
        double[] fixed = {Double.NaN, 0.9};
        Solver solver = solver(new double[][] {{0.4, 0.1}, {0.1, 0.4}}, target, fixed, all(2, 1), 0.01, 100);
        assertArrayEquals(target, solver.target());
        assertArrayEquals(fixed, solver.fixed());
        double[] criterion = new double[2];
        solver.values().of(new double[] {1, 2}, criterion);
        assertArrayEquals(new double[] {0.6, 0.9}, criterion, 1e-15);
        long[] rounds = new long[1];
        solver.solve(TOLERANCE, 50, new Progress() {
            @Override
            public void begin(String stage, long steps) {}

            @Override
            public void advance(long steps) {
                rounds[0] += steps;
            }
        });
        assertTrue(rounds[0] > 0);
        assertEquals(solver.convergence(TOLERANCE).iterations(), rounds[0]);
        double[] history = solver.history();
        history[0] = 77;
        assertEquals(Math.abs(0.5 / 0.5 - 1 - 0.02), solver.history()[0], 1e-12, "(0.4 + 0.09)/0.5 is 2 % low; a copy");
    }
}
