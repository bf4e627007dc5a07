package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Workers;
import java.util.Arrays;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/** Levels imposed on a few doses that a small matrix couples, against all ways to choose them. */
class LevelSolverTest {
    private static final Workers ONE = Workers.of(1);
    private static final double[] LEVELS = {0.8, 1, 1.3};

    private static Solver.CriterionValues values(double[][] matrix) {
        return (dose, criterion) -> {
            for (int i = 0; i < criterion.length; i++) {
                criterion[i] = 0;
                for (int k = 0; k < dose.length; k++) {
                    criterion[i] += matrix[i][k] * dose[k];
                }
            }
        };
    }

    private static double squares(double[][] matrix, double[] dose, double[] wanted, double[] weight) {
        double[] criterion = new double[dose.length];
        values(matrix).of(dose, criterion);
        double sum = 0;
        for (int i = 0; i < dose.length; i++) {
            sum += weight[i] * Math.pow(criterion[i] / wanted[i] - 1, 2);
        }
        return sum;
    }

    @Test
    void fewLevelsAreChosenNearlyAsWellAsByTryingAll() {
        SplittableRandom random = new SplittableRandom(6);
        double chosen = 0;
        double snapped = 0;
        double best = 0;
        int n = 7;
        for (int trial = 0; trial < 30; trial++) {
            double[][] matrix = new double[n][n];
            double[] direct = new double[n];
            double[] free = random.doubles(n, 0.75, 1.35).toArray();
            double[] weight = random.doubles(n, 0.5, 2).toArray();
            for (int i = 0; i < n; i++) {
                for (int k = 0; k < n; k++) {
                    matrix[i][k] = i == k ? 0.4 : 0.15 * random.nextDouble();
                }
                direct[i] = matrix[i][i] * free[i];
            }
            double[] wanted = new double[n];
            values(matrix).of(free, wanted);
            double[] fixed = new double[n];
            Arrays.fill(fixed, Double.NaN);
            LevelSolver solver = new LevelSolver(values(matrix), free, wanted, direct, weight, fixed, ONE);
            LevelSolver.Imposed imposed = solver.impose(DoseLevels.of(LEVELS));
            double[] nearest = new double[n];
            for (int i = 0; i < n; i++) {
                assertEquals(LEVELS[imposed.level[i]], imposed.dose[i]);
                nearest[i] = LEVELS[DoseLevels.of(LEVELS).nearest(free[i])];
            }
            double[] criterion = new double[n];
            values(matrix).of(imposed.dose, criterion);
            assertArrayEquals(criterion, imposed.criterion, 1e-14);
            values(matrix).of(nearest, criterion);
            assertArrayEquals(criterion, imposed.snappedCriterion, 1e-14);
            double mine = squares(matrix, imposed.dose, wanted, weight);
            double plain = squares(matrix, nearest, wanted, weight);
            assertTrue(mine <= plain, "never worse than the nearest");
            chosen += mine;
            snapped += plain;
            double least = Double.MAX_VALUE;
            double[] dose = new double[n];
            for (int code = 0; code < Math.pow(3, n); code++) {
                for (int i = 0, rest = code; i < n; i++, rest /= 3) {
                    dose[i] = LEVELS[rest % 3];
                }
                least = Math.min(least, squares(matrix, dose, wanted, weight));
            }
            best += least;
        }
        // Found: 1.17 and 1.75 times the best.
        assertTrue(chosen < 1.25 * best && snapped > 1.5 * best, chosen / best + " and " + snapped / best);
    }

    /** Without coupling each dose takes the level whose difference is smallest, though another may be nearer in ratio. */
    @Test
    void aloneEachTakesTheClosest() {
        double[][] matrix = {{0.5, 0}, {0, 0.5}};
        // 0.897 is closer to 0.8 in ratio than to 1 only below 0.894: and closer to 0.8 by difference below 0.9.
        double[] free = {0.897, 1.2};
        double[] wanted = {0.4485, 0.6};
        LevelSolver solver = new LevelSolver(
                values(matrix), free, wanted, wanted, new double[] {1, 1}, new double[] {Double.NaN, 1.2}, ONE);
        LevelSolver.Imposed imposed = solver.impose(DoseLevels.of(LEVELS));
        assertEquals(0, imposed.level[0]);
        assertEquals(2, imposed.level[1], "a fixed dose stays at its nearest level");
    }
}
