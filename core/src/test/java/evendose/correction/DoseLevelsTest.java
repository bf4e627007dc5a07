package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.pieces.HandMadePieces;
import evendose.pieces.Pieces;
import java.util.SplittableRandom;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;

/** Levels, rules and equal doses at the ends of what they take. */
class DoseLevelsTest {
    @Test
    void geometricLevelsReachFromEndToEnd() {
        assertArrayEquals(
                new double[] {0.5, 1, 2, 4}, DoseLevels.geometric(0.5, 4, 4).factors(), 1e-14);
        assertArrayEquals(new double[] {2}, DoseLevels.geometric(1, 4, 1).factors(), 1e-14);
        assertArrayEquals(new double[] {1.3}, DoseLevels.geometric(1.3, 1.3, 9).factors(), 1e-14);
        assertEquals(4, DoseLevels.geometric(0.5, 4, 7).factor(6), 0, "the largest exactly");
        assertEquals(
                DoseLevels.MOST, DoseLevels.geometric(1, 2, DoseLevels.MOST).size());
        for (double[] bad : new double[][] {
            {0, 1, 2},
            {-1, 1, 2},
            {2, 1, 2},
            {1, 2, 0},
            {1, 2, DoseLevels.MOST + 1},
            {Double.NaN, 1, 2},
            {1, Double.NaN, 2}
        }) {
            assertThrows(IllegalArgumentException.class, () -> DoseLevels.geometric(bad[0], bad[1], (int) bad[2]));
        }
    }

    @Test
    void stepsArePowersOfTheirRatio() {
        DoseLevels levels = DoseLevels.step(0.8, 1.3, 10);
        // 1.1^-2 = 0.826 is the nearest to 0.8, 1.1^3 = 1.331 to 1.3.
        assertEquals(6, levels.size());
        for (int k = 0; k < 6; k++) {
            assertEquals(Math.pow(1.1, k - 2), levels.factor(k), 1e-12);
        }
        assertArrayEquals(new double[] {1}, DoseLevels.step(0.99, 1.01, 10).factors(), 1e-15);
        // log 0.93 / log 1.1 = -0.76 is nearest to -1, log 1.04 / log 1.1 = 0.41 to 0.
        assertArrayEquals(
                new double[] {1 / 1.1, 1}, DoseLevels.step(0.93, 1.04, 10).factors(), 1e-15);
        assertEquals(1, DoseLevels.step(1.4, 1.4, 10).size());
        for (double[] bad : new double[][] {{0, 1, 5}, {2, 1, 5}, {1, 2, 0}, {1, 2, -5}, {1, 2, Double.NaN}}) {
            assertThrows(IllegalArgumentException.class, () -> DoseLevels.step(bad[0], bad[1], bad[2]));
        }
        String message = assertThrows(IllegalArgumentException.class, () -> DoseLevels.step(1e-3, 1e3, 0.01))
                .getMessage();
        assertTrue(message.contains("more than " + DoseLevels.MOST), message);
    }

    @Test
    void givenLevelsMustRise() {
        double[] given = {0.5, 0.75, 2};
        DoseLevels levels = DoseLevels.of(given);
        given[0] = 9;
        assertArrayEquals(new double[] {0.5, 0.75, 2}, levels.factors());
        assertArrayEquals(
                new double[] {1e-9}, DoseLevels.of(new double[] {1e-9}).factors());
        for (double[] bad :
                new double[][] {{}, {0}, {-1, 1}, {1, 1}, {2, 1}, {1, Double.NaN}, {1, Double.POSITIVE_INFINITY}}) {
            assertThrows(IllegalArgumentException.class, () -> DoseLevels.of(bad));
        }
        assertEquals(
                DoseLevels.MOST,
                DoseLevels.of(IntStream.rangeClosed(1, DoseLevels.MOST)
                                .asDoubleStream()
                                .toArray())
                        .size());
        double[] many =
                IntStream.rangeClosed(1, DoseLevels.MOST + 1).asDoubleStream().toArray();
        assertThrows(IllegalArgumentException.class, () -> DoseLevels.of(many));
    }

    /** Nearest in ratio and in difference, against a look at all levels. */
    @Test
    void nearestAndClosest() {
        DoseLevels levels = DoseLevels.of(new double[] {0.5, 0.8, 1, 2, 3.5});
        SplittableRandom random = new SplittableRandom(2);
        for (int n = 0; n < 2000; n++) {
            double factor = n < 5 ? levels.factor(n) : Math.exp(random.nextDouble(-1.5, 2));
            double ratio = Double.MAX_VALUE;
            double difference = Double.MAX_VALUE;
            for (double level : levels.factors()) {
                ratio = Math.min(ratio, Math.abs(Math.log(level / factor)));
                difference = Math.min(difference, Math.abs(level - factor));
            }
            assertEquals(ratio, Math.abs(Math.log(levels.factor(levels.nearest(factor)) / factor)), 1e-12);
            assertEquals(difference, Math.abs(levels.factor(levels.closest(factor)) - factor), 1e-12);
        }
        assertEquals(0, levels.closest(-3), "what is asked for may be negative");
        assertEquals(4, levels.closest(1e9));
        assertEquals(4, levels.nearest(1e9));
        assertEquals(0, levels.nearest(1e-9));
    }

    @Test
    void rulesMakeTheirLevels() {
        double[] factor = {1, 2, 1.5, 1.1, 1.9};
        double[] weight = {1, 1, 1, 1, 1};
        assertArrayEquals(
                DoseLevels.geometric(1, 2, 3).factors(),
                LevelRule.geometric(3).levelsFor(factor, weight).factors());
        assertArrayEquals(
                DoseLevels.step(1, 2, 7).factors(),
                LevelRule.step(7).levelsFor(factor, weight).factors());
        // Two at the ends each, one alone in the middle: means of logarithms.
        assertArrayEquals(
                new double[] {Math.sqrt(1.1), 1.5, Math.sqrt(1.9 * 2)},
                LevelRule.optimal(3).levelsFor(factor, weight).factors(),
                1e-12);
        assertArrayEquals(
                new double[] {1},
                LevelRule.optimal(3).levelsFor(new double[0], new double[0]).factors());
        assertThrows(IllegalArgumentException.class, () -> LevelRule.geometric(0));
        assertThrows(IllegalArgumentException.class, () -> LevelRule.optimal(0));
        assertThrows(IllegalArgumentException.class, () -> LevelRule.step(0));
        assertThrows(IllegalArgumentException.class, () -> LevelRule.step(-1));
        assertThrows(IllegalArgumentException.class, () -> LevelRule.step(Double.NaN));
        assertThrows(IllegalArgumentException.class, () -> LevelRule.optimal(LevelClustering.MOST + 1));
        assertThrows(IllegalArgumentException.class, () -> LevelRule.geometric(DoseLevels.MOST + 1));
        assertEquals(
                LevelClustering.MOST, LevelRule.optimal(LevelClustering.MOST).count());
        assertEquals(DoseLevels.MOST, LevelRule.geometric(DoseLevels.MOST).count());
        assertEquals(1, LevelRule.optimal(1).count());
    }

    /** Two shapes of four units: doses within 0.1 of the smallest become the middle of their range, each shape by itself. */
    @Test
    void equalDosesStayWithinTheirShape() {
        int n = 8;
        double[][] boxes = new double[n][];
        for (int u = 0; u < n; u++) {
            boxes[u] = new double[] {u, 0, u + 1, 1};
        }
        Pieces pieces = HandMadePieces.rectangles(new int[] {4, 4}, boxes);
        EqualDoses equal = new EqualDoses(pieces, 0.125);
        assertEquals(0.0625, equal.mostMoved());
        double[] fixed = new double[n];
        java.util.Arrays.fill(fixed, Double.NaN);
        fixed[3] = 1.05;
        // 1.125 is still within 1/8 of 1; 1.126 begins a group of its own. Doses at the bounds 0.5 and 3 and fixed ones
        // stay.
        double[] factor = {1, 1.125, 1.126, 1.05, 0.5, 0.51, 3, 2.9};
        assertTrue(equal.apply(factor, fixed, 0.5, 3));
        assertArrayEquals(new double[] {1.0625, 1.0625, 1.126, 1.05, 0.5, 0.51, 3, 2.9}, factor, 1e-15);
        double[] apart = {1, 1.2, 1.4, 1.05, 0.5, 0.6, 3, 2.9};
        assertFalse(equal.apply(apart, fixed, 0.5, 3), "nothing to make equal");
        assertArrayEquals(new double[] {1, 1.2, 1.4, 1.05, 0.5, 0.6, 3, 2.9}, apart);
    }

    @Test
    void groupsReachFromTheSmallestToTheLargest() {
        DoseLevels levels = DoseLevels.grouping(new double[] {1.5, 0.9, 2});
        assertEquals(DoseLevels.USUAL, levels.size());
        assertEquals(0.9, levels.factor(0), 1e-15);
        assertEquals(2, levels.factor(DoseLevels.USUAL - 1));
        assertArrayEquals(new double[] {1}, DoseLevels.grouping(new double[0]).factors());
        assertEquals(
                "DoseLevels[3 from 0.500000 to 2.000000]",
                DoseLevels.of(new double[] {0.5, 1, 2}).toString());
    }
}
