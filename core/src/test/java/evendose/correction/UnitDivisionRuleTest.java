package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.pieces.CellRule;
import evendose.pieces.HandMadePieces;
import evendose.pieces.OutlinePoints;
import evendose.pieces.Pieces;
import java.util.Arrays;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/** Borders against a search through all of them: the one that takes away most of the sum of squares, by length of outline. */
class UnitDivisionRuleTest {
    private static final double DIRECT_UM = 0.02;
    private static final double SHORTEST_UM = 5 * DIRECT_UM * (1 - 1e-6);

    /** Two shapes of one rectangle each, 4 um by 1 um, side by side. */
    private static final Pieces PIECES = new Pieces(
            new double[][] {{0, 0}, {1, 1}, {0, 5}, {4, 9}, {0, 5}, {4, 9}},
            new boolean[2],
            new int[] {0, 1, 2},
            new int[] {0, 1, 2},
            new int[] {0, 0});

    private static UnitDivision rule(
            OutlinePoints points, double[] off, boolean[] free, double divisible, double allowed) {
        return new UnitDivision(PIECES, points, off, free, divisible, DIRECT_UM, 0.3, allowed);
    }

    /** Points along the four sides of the first shape and the lower side of the second, of different lengths. */
    private static OutlinePoints points(SplittableRandom random, int perSide) {
        int n = 5 * perSide;
        OutlinePoints points = new OutlinePoints(new double[n], new double[n], new float[n], new int[n]);
        double[][] sides = {{0, 0, 4, 0}, {4, 0, 4, 1}, {4, 1, 0, 1}, {0, 1, 0, 0}, {5, 0, 9, 0}};
        for (int k = 0; k < n; k++) {
            double[] s = sides[k / perSide];
            double t = (k % perSide + random.nextDouble(0.1, 0.9)) / perSide;
            points.xUm()[k] = s[0] + t * (s[2] - s[0]);
            points.yUm()[k] = s[1] + t * (s[3] - s[1]);
            points.lengthUm()[k] = (float) random.nextDouble(0.05, 0.3);
            points.unit()[k] = k / perSide == 4 ? 1 : 0;
        }
        return points;
    }

    private static double squares(OutlinePoints points, double[] off, int[] in) {
        double length = 0;
        double mean = 0;
        for (int p : in) {
            length += points.lengthUm()[p];
            mean += points.lengthUm()[p] * off[p];
        }
        mean /= length;
        double sum = 0;
        for (int p : in) {
            sum += points.lengthUm()[p] * (off[p] - mean) * (off[p] - mean);
        }
        return sum;
    }

    private static int[] within(OutlinePoints points, double x0, double y0, double x1, double y1) {
        return java.util.stream.IntStream.range(0, points.size())
                .filter(p -> points.unit()[p] == 0
                        && points.xUm()[p] >= x0
                        && points.xUm()[p] <= x1
                        && points.yUm()[p] >= y0
                        && points.yUm()[p] <= y1)
                .toArray();
    }

    private static double length(OutlinePoints points, int[] in) {
        return Arrays.stream(in).mapToDouble(p -> points.lengthUm()[p]).sum();
    }

    /** Length of these points that lies within 2.5 direct ranges of a border. */
    private static double beside(OutlinePoints points, int[] in, double[] along, double at) {
        return Arrays.stream(in)
                .filter(p -> Math.abs(along[p] - at) < SHORTEST_UM / 2)
                .mapToDouble(p -> points.lengthUm()[p])
                .sum();
    }

    /** What is left of the squares with a border; infinite where a part would be too short, or mostly stay with the other. */
    private static double left(OutlinePoints points, double[] off, double[] cell, boolean alongY, double at) {
        int[] low =
                alongY ? within(points, cell[0], cell[1], cell[2], at) : within(points, cell[0], cell[1], at, cell[3]);
        int[] high =
                alongY ? within(points, cell[0], at, cell[2], cell[3]) : within(points, at, cell[1], cell[2], cell[3]);
        double from = alongY ? cell[1] : cell[0];
        double to = alongY ? cell[3] : cell[2];
        double[] along = alongY ? points.yUm() : points.xUm();
        double severed = Math.abs(beside(points, low, along, at) - beside(points, high, along, at));
        return at - from < SHORTEST_UM
                        || to - at < SHORTEST_UM
                        || length(points, low) < SHORTEST_UM
                        || length(points, high) < SHORTEST_UM
                        || severed > 0.2 * Math.min(length(points, low), length(points, high))
                ? Double.POSITIVE_INFINITY
                : squares(points, off, low) + squares(points, off, high);
    }

    @Test
    void theBestBorderIsTaken() {
        SplittableRandom random = new SplittableRandom(9);
        int divided = 0;
        for (int trial = 0; trial < 60; trial++) {
            OutlinePoints points = points(random, 12);
            double[] off = new double[points.size()];
            double step = random.nextDouble(4);
            for (int p = 0; p < off.length; p++) {
                double place = trial % 2 == 0 ? points.xUm()[p] : 4 * points.yUm()[p];
                off[p] = 1e-4 * Math.rint(1e4 * ((place > step ? 0.05 : 0) + random.nextDouble(0.02)));
            }
            UnitDivision rule = rule(points, off, new boolean[] {true, true}, 1, 0.01);
            assertTrue(rule.concerns(0));
            double[] cell = trial % 3 == 0 ? new double[] {0, 0, 2.5, 1} : new double[] {0, 0, 4, 1};
            CellRule.Border border = rule.border(0, cell[0], cell[1], cell[2], cell[3]);
            double best = Double.POSITIVE_INFINITY;
            for (int along = 0; along < 2; along++) {
                boolean alongY = along == 1;
                double[] place = Arrays.stream(within(points, cell[0], cell[1], cell[2], cell[3]))
                        .mapToDouble(p -> alongY ? points.yUm()[p] : points.xUm()[p])
                        .sorted()
                        .toArray();
                for (int k = 0; k + 1 < place.length; k++) {
                    double at = 0.5 * (place[k] + place[k + 1]);
                    if (difference(points, off, cell, alongY, at) >= 0.005) {
                        best = Math.min(best, left(points, off, cell, alongY, at));
                    }
                }
            }
            if (best == Double.POSITIVE_INFINITY) {
                assertNull(border);
                continue;
            }
            assertNotNull(border);
            divided++;
            // Differences of the squares of a grain, 1e-8 times the length, decide nothing.
            assertEquals(best, left(points, off, cell, border.alongY(), border.atUm()), 1e-7, "trial " + trial);
        }
        assertTrue(divided > 40, "divided " + divided);
    }

    @Test
    void whatIsWithinTheAllowedOrTooSmallOrFixedStaysWhole() {
        SplittableRandom random = new SplittableRandom(3);
        OutlinePoints points = points(random, 12);
        double[] off = new double[points.size()];
        for (int p = 0; p < off.length; p++) {
            off[p] = points.xUm()[p] > 2 && points.xUm()[p] < 4.5 ? 0.02 : 0;
        }
        boolean[] free = {true, true};
        assertTrue(rule(points, off, free, 1, 0.0199).dividesAny());
        assertFalse(rule(points, off, free, 1, 0.02).dividesAny(), "differences as large as allowed");
        assertFalse(rule(points, off, free, 4, 0.01).dividesAny(), "no larger than what is worth dividing");
        assertTrue(rule(points, off, free, 3.99, 0.01).dividesAny());
        assertFalse(rule(points, off, new boolean[] {false, true}, 1, 0.01).dividesAny(), "fixed");
        UnitDivision rule = rule(points, off, free, 1, 0.01);
        assertTrue(rule.concerns(0));
        assertFalse(rule.concerns(1), "its errors are all alike");
        assertNull(rule.border(1, 5, 0, 9, 1));
        CellRule.Border border = rule.border(0, 0, 0, 4, 1);
        assertFalse(border.alongY());
        assertEquals(2, border.atUm(), 0.35);
        assertNull(rule.border(0, 0, 0, border.atUm(), 1), "all alike on the left");
        assertNull(rule.border(0, border.atUm(), 0, 4, 1), "all alike on the right");
        // Parts shorter than five direct ranges are not made: a cell a little shorter than two of them.
        assertNull(rule.border(0, border.atUm() - 0.09, 0, border.atUm() + 0.09, 0.15));
    }

    /** By how much the means of both parts differ. */
    private static double difference(OutlinePoints points, double[] off, double[] cell, boolean alongY, double at) {
        int[] low =
                alongY ? within(points, cell[0], cell[1], cell[2], at) : within(points, cell[0], cell[1], at, cell[3]);
        int[] high =
                alongY ? within(points, cell[0], at, cell[2], cell[3]) : within(points, at, cell[1], cell[2], cell[3]);
        return Math.abs(mean(points, off, low) - mean(points, off, high));
    }

    /**
     * A straight edge beside holes, which are off otherwise. Where they are 50 nm apart, a border between them would leave the edge with the
     * holes, as the cutter leaves what reaches across by so little. The cell is divided elsewhere.
     */
    @Test
    void aBorderThatTheCutterWouldRefuseIsNotAskedFor() {
        for (double gapUm : new double[] {0.05, 0.2}) {
            int n = 80;
            OutlinePoints points = new OutlinePoints(new double[n], new double[n], new float[n], new int[n]);
            double[] off = new double[n];
            for (int p = 0; p < n; p++) {
                boolean isEdge = p < 40;
                points.xUm()[p] = 0.1 * (p % 40 + 0.5);
                points.yUm()[p] = isEdge ? 0.7 : 0.7 - gapUm - 0.1 * (p % 3);
                points.lengthUm()[p] = 0.1f;
                off[p] = isEdge ? -0.05 : 0.01 * points.xUm()[p];
            }
            CellRule.Border border =
                    rule(points, off, new boolean[] {true, true}, 1, 0.01).border(0, 0, 0, 4, 1);
            // With the wider gap between edge and holes, with the narrower one below the first row of them.
            assertTrue(border.alongY() && border.atUm() <= 0.7 - 0.05, border.toString());
        }
    }

    /** A bar of nine direct ranges, whose ends differ, would be cut across into parts of less than five. */
    @Test
    void acrossTheOutlinePartsAreFiveDirectRangesLong() {
        for (double lengthUm : new double[] {0.18, 0.2}) {
            int n = 20;
            OutlinePoints points = new OutlinePoints(new double[n], new double[n], new float[n], new int[n]);
            double[] off = new double[n];
            for (int p = 0; p < n; p++) {
                points.xUm()[p] = lengthUm * (p % 10 + 0.5) / 10;
                points.yUm()[p] = p < 10 ? 0 : 1;
                points.lengthUm()[p] = 0.1f;
                off[p] = p % 10 < 5 ? 0.03 : 0;
            }
            CellRule.Border border =
                    rule(points, off, new boolean[] {true, true}, 1, 0.01).border(0, 0, 0, lengthUm, 1);
            assertEquals(lengthUm == 0.2, border != null, "length " + lengthUm);
        }
    }

    /** Corners of drawn polygons: every other point is off the other way. Their means over five direct ranges are alike. */
    @Test
    void whatNoDoseSmoothsDividesNothing() {
        SplittableRandom random = new SplittableRandom(5);
        OutlinePoints points = points(random, 40);
        double[] off = new double[points.size()];
        for (int p = 0; p < off.length; p++) {
            points.lengthUm()[p] = 0.1f;
            off[p] = p % 2 == 0 ? 0.008 : -0.008;
        }
        boolean[] free = {true, true};
        UnitDivision rule = rule(points, off, free, 1, 0.01);
        assertTrue(rule.dividesAny());
        assertNull(rule.border(0, 0, 0, 4, 1), "means of parts are alike");
        double[] lasting = UnitDivision.lasting(points, off, 1);
        assertFalse(rule(points, lasting, free, 1, 0.01).dividesAny());
    }

    private static double mean(OutlinePoints points, double[] off, int[] in) {
        return Arrays.stream(in).mapToDouble(p -> points.lengthUm()[p] * off[p]).sum() / length(points, in);
    }

    /** Means over five direct ranges along the outline of one unit, by length. */
    @Test
    void whatLastsIsTheMeanOverFiveDirectRanges() {
        OutlinePoints points = new OutlinePoints(
                new double[] {0, 0.04, 0.08, 0.2, 0.21}, new double[5], new float[] {1, 3, 1, 1, 1}, new int[] {
                    0, 0, 0, 0, 1
                });
        double[] lasting = UnitDivision.lasting(points, new double[] {4, 0, 1, 7, 9}, DIRECT_UM);
        assertArrayEquals(new double[] {1, 1, 0.25, 7, 9}, lasting, 1e-12);
    }

    /** Two lengths of outline that differ by less than a grain count as equal: rounding must not decide. */
    @Test
    void grainsAreNotTold() {
        SplittableRandom random = new SplittableRandom(3);
        OutlinePoints points = points(random, 12);
        double[] off = random.doubles(points.size(), 0.00996, 0.01004).toArray();
        assertFalse(rule(points, off, new boolean[] {true, true}, 1, 0.5e-4).dividesAny());
    }

    /** The same shape far from the origin and beyond it: extents count, not where the sides lie. */
    @Test
    void extentsDoNotDependOnThePlace() {
        for (double far : new double[] {-1_000, 1_000}) {
            Pieces pieces = HandMadePieces.rectangles(new double[] {far, far, far + 4, far + 1});
            OutlinePoints points = new OutlinePoints(
                    new double[] {far, far + 4}, new double[] {far, far}, new float[] {2, 2}, new int[2]);
            double[] off = {0, 0.05};
            boolean[] free = {true};
            assertTrue(new UnitDivision(pieces, points, off, free, 3.9, DIRECT_UM, 0.3, 0.01).dividesAny());
            assertFalse(new UnitDivision(pieces, points, off, free, 4.1, DIRECT_UM, 0.3, 0.01).dividesAny());
        }
    }
}
