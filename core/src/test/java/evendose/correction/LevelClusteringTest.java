package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

class LevelClusteringTest {
    /** Weighted squared error in log dose when every dose goes to the nearest level. */
    private static double cost(double[] factor, double[] weight, DoseLevels levels) {
        double sum = 0;
        for (int i = 0; i < factor.length; i++) {
            double off = Math.log(factor[i] / levels.factor(levels.nearest(factor[i])));
            sum += weight[i] * off * off;
        }
        return sum;
    }

    /** Least cost over all ways to cut the sorted values into at most {@code count} runs, each with its weighted mean. */
    private static double bruteForce(double[] factor, double[] weight, int count, double widest) {
        Integer[] order = new Integer[factor.length];
        Arrays.setAll(order, i -> i);
        Arrays.sort(order, (a, b) -> Double.compare(factor[a], factor[b]));
        int n = factor.length;
        double best = Double.MAX_VALUE;
        for (int cuts = 0; cuts < 1 << (n - 1); cuts++) {
            if (Integer.bitCount(cuts) >= count) {
                continue;
            }
            double total = 0;
            int from = 0;
            for (int i = 0; i < n; i++) {
                if (i == n - 1 || (cuts >> i & 1) != 0) {
                    if (Math.log(factor[order[i]] / factor[order[from]]) > widest) {
                        total = Double.POSITIVE_INFINITY;
                    }
                    double w = 0;
                    double m = 0;
                    for (int k = from; k <= i; k++) {
                        w += weight[order[k]];
                        m += weight[order[k]] * Math.log(factor[order[k]]);
                    }
                    for (int k = from; k <= i; k++) {
                        double off = Math.log(factor[order[k]]) - m / w;
                        total += weight[order[k]] * off * off;
                    }
                    from = i + 1;
                }
            }
            best = Math.min(best, total);
        }
        return best;
    }

    @Test
    void noGroupingIsBetter() {
        SplittableRandom random = new SplittableRandom(3);
        for (int trial = 0; trial < 300; trial++) {
            int n = 1 + random.nextInt(11);
            double[] factor = new double[n];
            double[] weight = new double[n];
            for (int i = 0; i < n; i++) {
                factor[i] = Math.exp(2 * random.nextDouble() - 1);
                weight[i] = random.nextDouble() + 1e-3;
            }
            for (int count = 1; count <= 5; count++) {
                DoseLevels levels = LevelClustering.levels(factor, weight, count, Double.POSITIVE_INFINITY);
                assertTrue(levels.size() <= count);
                assertEquals(
                        bruteForce(factor, weight, count, Double.POSITIVE_INFINITY),
                        cost(factor, weight, levels),
                        1e-12);
            }
        }
    }

    /** Groups of limited width against all groupings, and no dose further off than asked. */
    @Test
    void boundedGroupsAreTheBestToo() {
        SplittableRandom random = new SplittableRandom(5);
        int bound = 0;
        for (int trial = 0; trial < 300; trial++) {
            int n = 6 + random.nextInt(6);
            double[] factor = new double[n];
            double[] weight = new double[n];
            for (int i = 0; i < n; i++) {
                factor[i] = Math.exp(2 * random.nextDouble() - 1);
                weight[i] = Math.pow(10, -4 * random.nextDouble());
            }
            for (int count = 2; count <= 5; count++) {
                double range = Math.log(Arrays.stream(factor).max().orElseThrow()
                        / Arrays.stream(factor).min().orElseThrow());
                double widest = 1.5 * range / count * (1 + 1e-9);
                Integer[] order = new Integer[n];
                Arrays.setAll(order, i -> i);
                Arrays.sort(order, (a, b) -> Double.compare(factor[a], factor[b]));
                double[] x = new double[n];
                double[] w = new double[n];
                for (int i = 0; i < n; i++) {
                    x[i] = Math.log(factor[order[i]]);
                    w[i] = weight[order[i]];
                }
                int[] starts = new LevelClustering(x, w).split(count, widest);
                double total = 0;
                for (int k = 0; k < count; k++) {
                    double sum = 0;
                    double moment = 0;
                    for (int i = starts[k]; i < starts[k + 1]; i++) {
                        sum += w[i];
                        moment += w[i] * x[i];
                    }
                    for (int i = starts[k]; i < starts[k + 1]; i++) {
                        total += w[i] * (x[i] - moment / sum) * (x[i] - moment / sum);
                    }
                    assertTrue(x[starts[k + 1] - 1] - x[starts[k]] <= widest);
                }
                double best = bruteForce(factor, weight, count, widest);
                assertEquals(best, total, 1e-12);
                bound += best > bruteForce(factor, weight, count, Double.POSITIVE_INFINITY) + 1e-12 ? 1 : 0;
                DoseLevels levels = LevelClustering.levels(factor, weight, count, 0.75);
                for (double f : factor) {
                    double off = Math.abs(Math.log(f / levels.factor(levels.nearest(f))));
                    assertTrue(off <= 0.75 * range / count * (1 + 1e-6), "a dose is too far off");
                }
            }
        }
        assertTrue(bound > 50, "the bound matters in some cases, here " + bound);
    }

    @Test
    void asManyLevelsAsDosesCostNothing() {
        double[] factor = {1.2, 0.7, 1.2, 0.9};
        DoseLevels levels = LevelClustering.levels(factor, new double[] {1, 2, 3, 0}, 3, 0.75);
        assertArrayEquals(new double[] {0.7, 0.9, 1.2}, levels.factors(), 1e-15);
    }

    @Test
    void manyValuesAreTakenTogetherWithoutHarm() {
        SplittableRandom random = new SplittableRandom(4);
        int n = 100_000;
        double[] factor = new double[n];
        double[] weight = new double[n];
        for (int i = 0; i < n; i++) {
            factor[i] = 0.7 * Math.exp(random.nextDouble());
            weight[i] = 1;
        }
        // Evenly spread over a range of 1 in the logarithm: 16 equal groups, each of variance (1/16)^2 / 12.
        double expected = n / (16.0 * 16 * 12);
        assertEquals(expected, cost(factor, weight, LevelClustering.levels(factor, weight, 16, 0.75)), 0.02 * expected);
    }

    @Test
    void geometricLevelsCostAtMostSqrtOfTheirRatio() {
        DoseLevels levels = DoseLevels.geometric(0.7, 2.1, 9);
        double q = Math.pow(3, 1.0 / 8);
        double worst = 0;
        for (double f = 0.7; f <= 2.1; f += 0.0001) {
            double level = levels.factor(levels.nearest(f));
            worst = Math.max(worst, Math.max(f / level, level / f) - 1);
        }
        assertEquals(Math.sqrt(q) - 1, worst, 1e-4);
        assertTrue(worst <= Math.sqrt(q) - 1 + 1e-12);
    }

    @Test
    void stepsLieOnALadderThatHoldsOne() {
        DoseLevels levels = DoseLevels.step(0.72, 1.63, 5);
        for (int k = 0; k < levels.size(); k++) {
            double rung = Math.log(levels.factor(k)) / Math.log(1.05);
            assertEquals(Math.rint(rung), rung, 1e-9);
        }
        assertEquals(1, levels.factor(levels.nearest(1)), 1e-15);
        assertTrue(levels.factor(0) < 0.72 * Math.sqrt(1.05));
        assertTrue(levels.factor(levels.size() - 1) > 1.63 / Math.sqrt(1.05));
        assertThrows(IllegalArgumentException.class, () -> DoseLevels.step(0.1, 10, 1e-3));
    }

    @Test
    void closestIsByDifference() {
        DoseLevels levels = DoseLevels.of(new double[] {1, 4});
        assertEquals(1, levels.nearest(2.1), "in ratio");
        assertEquals(0, levels.closest(2.1), "in difference");
        assertEquals(1, levels.closest(2.6));
        assertEquals(0, levels.closest(-3));
        assertEquals(1, levels.closest(9));
    }

    @Test
    void rulesAreChecked() {
        assertThrows(IllegalArgumentException.class, () -> LevelRule.optimal(0));
        assertThrows(IllegalArgumentException.class, () -> LevelRule.optimal(LevelClustering.MOST + 1));
        assertThrows(IllegalArgumentException.class, () -> LevelRule.step(0));
        assertThrows(IllegalArgumentException.class, () -> DoseLevels.of(new double[] {2, 1}));
        assertEquals(2000, LevelRule.geometric(2000).count());
    }
}
