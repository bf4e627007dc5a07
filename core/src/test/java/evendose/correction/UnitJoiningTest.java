package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.pieces.HandMadePieces;
import evendose.pieces.OutlinePoints;
import evendose.pieces.Pieces;
import java.util.Arrays;
import java.util.SplittableRandom;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;

/** Bars of stacked rectangles, each a unit with a dose that is given: how few doses they can do with is counted in another way. */
class UnitJoiningTest {
    private static final double GOAL = 0.01;

    private static Pieces bar(int units) {
        return HandMadePieces.rectangles(
                new int[] {units},
                IntStream.range(0, units)
                        .mapToObj(k -> new double[] {0, k, 0.5, k + 1})
                        .toArray(double[][]::new));
    }

    private static boolean[] all(int n) {
        boolean[] all = new boolean[n];
        Arrays.fill(all, true);
        return all;
    }

    private static float[] even(int n) {
        float[] weight = new float[n];
        Arrays.fill(weight, 2);
        return weight;
    }

    private static double[] rising(int n, double step) {
        return IntStream.range(0, n).mapToDouble(k -> 1 + step * k).toArray();
    }

    /** One point a unit, in the middle of its right side. */
    private static OutlinePoints points(int units) {
        OutlinePoints points = OutlinePoints.ofSize(units);
        for (int k = 0; k < units; k++) {
            points.xUm()[k] = 0.5;
            points.yUm()[k] = k + 0.5;
            points.lengthUm()[k] = 1;
            points.unit()[k] = k;
        }
        return points;
    }

    /** The fewest runs of neighbours whose doses differ by no more than a share, found by trying every last run. */
    private static int fewest(double[] dose, double width) {
        int[] best = new int[dose.length + 1];
        for (int to = 1; to <= dose.length; to++) {
            best[to] = Integer.MAX_VALUE;
            double low = Double.MAX_VALUE;
            double high = 0;
            for (int from = to - 1; from >= 0; from--) {
                low = Math.min(low, dose[from]);
                high = Math.max(high, dose[from]);
                if (high <= low * (1 + width)) {
                    best[to] = Math.min(best[to], best[from] + 1);
                }
            }
        }
        return best[dose.length];
    }

    @Test
    void aDoseThatRisesTakesAsFewAsAWidthAllows() {
        SplittableRandom random = new SplittableRandom(7);
        for (int n = 2; n < 40; n++) {
            double[] dose = new double[n];
            dose[0] = 0.8;
            for (int k = 1; k < n; k++) {
                dose[k] = dose[k - 1] * (1 + 0.01 * random.nextDouble());
            }
            JoinedUnits joined = new UnitJoining(bar(n), dose, all(n), even(n)).inBands(0.02);
            assertEquals(fewest(dose, 0.02), joined.count(), n + " units");
            assertTrue(joined.count() < n || n == 2);
        }
    }

    /** Outline counts by its length; an inside that no outline judges takes the dose of the rim that it is joined to, or the plain mean. */
    @Test
    void theCommonDoseIsTheMeanAlongTheOutline() {
        double[] dose = {1, 1.004, 1.008, 1.5, 1.504};
        float[] judged = {1, 3, 0, 0, 0};
        JoinedUnits joined = new UnitJoining(bar(5), dose, all(5), judged).inBands(0.02);
        assertArrayEquals(new int[] {0, 0, 0, 1, 1}, joined.number());
        assertArrayEquals(new double[] {1.003, 1.502}, joined.means(dose), 1e-12);
        assertArrayEquals(new double[] {1.003, 1.003, 1.003, 1.502, 1.502}, joined.meansOfUnits(dose), 1e-12);
        boolean[] somewhere = {true, true, false, true, true};
        assertArrayEquals(new boolean[] {false, false, false, true, true}, joined.holdsForAll(somewhere));
    }

    /** What is held keeps its dose; what does not touch, or touches along part of a side only, would not become one piece. */
    @Test
    void onlyPiecesThatBecomeOneAreJoined() {
        double[] same = {1, 1.001, 1.002, 1.003};
        boolean[] free = {true, true, false, true};
        assertArrayEquals(
                new int[] {0, 0, 1, 2},
                new UnitJoining(bar(4), same, free, even(4)).inBands(0.02).number());
        Pieces apart = HandMadePieces.rectangles(
                new int[] {3, 1},
                new double[] {0, 0, 1, 1},
                new double[] {0, 2, 1, 3},
                new double[] {0, 3, 1.2, 4},
                new double[] {1, 0, 2, 1});
        assertArrayEquals(
                new int[] {0, 1, 2, 3},
                new UnitJoining(apart, same, all(4), even(4)).inBands(0.02).number());
    }

    /** Of all widths the widest is taken that keeps 95 % of the outline within 0.8 of the goal, here tried one after the other. */
    @Test
    void asMuchIsJoinedAsTheGoalAllows() {
        int n = 200;
        double[] dose = rising(n, 0.0007);
        SplittableRandom random = new SplittableRandom(3);
        double[] off = random.doubles(n, -0.004, 0.004).toArray();
        double[] perDose = new double[n];
        Arrays.fill(perDose, 0.9);
        UnitJoining joining = new UnitJoining(bar(n), dose, all(n), even(n));
        int fewest = n;
        for (double width = 0; width <= 2 * GOAL; width += 1e-5) {
            int[] number = joining.inBands(width).number();
            if (p95(dose, number, off, 0.9) <= 0.8 * GOAL) {
                fewest = Math.min(fewest, number[n - 1] + 1);
            }
        }
        JoinedUnits found = joining.within(points(n), off, perDose, GOAL);
        assertTrue(p95(dose, found.number(), off, 0.9) <= 0.8 * GOAL);
        assertTrue(fewest > 8 && fewest < 20, "fewest " + fewest);
        assertTrue(found.count() <= fewest + 1, found.count() + " beside " + fewest);
    }

    /** However much room the rest of the outline leaves, no part is off by more than the goal. */
    @Test
    void dosesFarApartStayApart() {
        double[] dose = rising(60, 0.0017);
        JoinedUnits found = new UnitJoining(bar(60), dose, all(60), even(60))
                .within(points(60), new double[60], new double[60], GOAL);
        double[] mean = found.meansOfUnits(dose);
        double most = 0;
        for (int u = 0; u < 60; u++) {
            most = Math.max(most, Math.abs(mean[u] / dose[u] - 1));
        }
        assertTrue(most > 0.008 && most <= GOAL, "most " + most);
    }

    /** Where the outline misses the goal as it is, nothing is joined but what has the same dose. */
    @Test
    void nothingIsJoinedWhereTheGoalIsMissed() {
        double[] dose = {1, 1, 1.001, 1.002};
        double[] off = {0.03, 0.03, 0.03, 0.03};
        JoinedUnits found = new UnitJoining(bar(4), dose, all(4), even(4)).within(points(4), off, dose, GOAL);
        assertArrayEquals(new int[] {0, 0, 1, 2}, found.number());
    }

    /** What 95 of 100 points keep within, of points of one length; units of one number lie side by side. */
    private static double p95(double[] dose, int[] number, double[] off, double perDose) {
        double[] then = new double[dose.length];
        for (int from = 0, to; from < dose.length; from = to) {
            double sum = 0;
            for (to = from; to < dose.length && number[to] == number[from]; to++) {
                sum += dose[to];
            }
            for (int u = from; u < to; u++) {
                then[u] = Math.abs(off[u] + perDose * (sum / (to - from) - dose[u]));
            }
        }
        Arrays.sort(then);
        return then[(int) Math.ceil(0.95 * dose.length) - 1];
    }
}
