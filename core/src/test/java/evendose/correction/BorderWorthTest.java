package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.pieces.CellRule;
import evendose.pieces.HandMadePieces;
import evendose.pieces.OutlinePoints;
import evendose.pieces.Pieces;
import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** Squares of 1 um whose lower side is off one way and whose upper side the other: what dividing them is worth is known. */
class BorderWorthTest {
    private static final double GOAL = 0.01;
    private static final double SHORTEST_UM = 0.1;

    private final int units;
    private final Pieces pieces;
    private final OutlinePoints points;
    private final double[] off;
    private final boolean[] free;

    BorderWorthTest() {
        units = 100;
        double[][] boxes = new double[units][];
        points = OutlinePoints.ofSize(2 * units);
        off = new double[2 * units];
        for (int u = 0; u < units; u++) {
            boxes[u] = new double[] {2 * u, 0, 2 * u + 1, 1};
            for (int side = 0; side < 2; side++) {
                int p = 2 * u + side;
                points.xUm()[p] = 2 * u + 0.5;
                points.yUm()[p] = side;
                points.inCellXUm()[p] = 2 * u + 0.5;
                points.inCellYUm()[p] = side;
                points.lengthUm()[p] = 0.1f;
                points.unit()[p] = u;
                // Off the mean of the unit by 0.05 to 9.95 thousandths.
                off[p] = 0.03 + 1e-4 * (u + 0.5) * (side == 0 ? -1 : 1);
            }
        }
        pieces = HandMadePieces.rectangles(boxes);
        free = new boolean[units];
        Arrays.fill(free, true);
    }

    private BorderWorth worth(double goal, double divisibleUm) {
        return new BorderWorth(pieces, points, off, free, divisibleUm, SHORTEST_UM, goal);
    }

    private int divided(BorderWorth worth) {
        return worth.division(1)
                .map(rule -> {
                    int n = 0;
                    for (int s = 0; s < units; s++) {
                        boolean is = !rule.borders(s, 2 * s, 0, 2 * s + 1, 1).isEmpty();
                        assertEquals(is, rule.concerns(s));
                        n += is ? 1 : 0;
                    }
                    return n;
                })
                .orElse(0);
    }

    /** A unit off by e on both sides of its mean is worth 0.2 um times e squared. */
    @Test
    void asFewUnitsAreDividedAsTheGoalAsksFor() {
        // The forecast has to keep within 0.65 of the goal: 35 of 100 units are beyond 0.0065, and 5 may be.
        BorderWorth worth = worth(GOAL, 0.5);
        assertTrue(worth.suffices());
        // Of equal worth for all, it is those that are off most: 30 units, down to 0.00705 (the 70th lies at 0.00695).
        double needed = worth.needed();
        assertTrue(needed > 0.2 * 0.00695 * 0.00695 && needed <= 0.2 * 0.00705 * 0.00705, "needed " + needed);
        assertEquals(30, divided(worth));
    }

    @Test
    void whatIsFarOffIsDividedEvenWhereTheGoalIsMet() {
        // Goal 0.1: none is beyond 0.065, so no border is needed; but parts must not differ by twice the goal.
        assertEquals(Double.POSITIVE_INFINITY, worth(0.1, 0.5).needed());
        off[15] = off[14] + 0.1997;
        assertEquals(0, divided(worth(0.1, 0.5)));
        off[15] = off[14] + 0.2003;
        assertEquals(1, divided(worth(0.1, 0.5)));
    }

    @Test
    void littleIsLeftAloneEvenWhereTheGoalIsMissed() {
        // What no border takes away: each side is off by itself, since both points lie side by side.
        Arrays.fill(points.inCellYUm(), 0);
        BorderWorth worth = worth(GOAL, 0.5);
        assertFalse(worth.suffices());
        assertEquals(0.1 * 0.005 * 0.005, worth.needed(), 1e-3 * 0.1 * 0.005 * 0.005);
        assertEquals(0, divided(worth));
    }

    @Test
    void fixedAndSmallUnitsStayWhole() {
        free[99] = false;
        off[199] = Double.NaN;
        assertEquals(30, divided(worth(GOAL, 0.5)), "34 are beyond, and 4 of 99 may be");
        assertEquals(0, divided(worth(GOAL, 1)), "no larger than what is worth dividing");
        Arrays.fill(free, false);
        assertTrue(worth(GOAL, 0.5).division(1).isEmpty());
    }

    /** Near corners nothing has to keep the goal, but means are those that units are judged by. */
    @Test
    void outlineNearCornersCountsForMeansOnly() {
        Arrays.fill(off, 0);
        for (int u = 0; u < units; u++) {
            points.nearCorner()[2 * u] = true;
            off[2 * u] = 0.02;
        }
        // The other side is off the mean by 0.01, beyond 0.0065, in all of them.
        assertEquals(100, divided(worth(GOAL, 0.5)));
        // With a little weight only it is not.
        for (int u = 0; u < units; u++) {
            points.lengthUm()[2 * u] = 0.02f;
        }
        BorderWorth worth = worth(GOAL, 0.5);
        assertTrue(worth.suffices());
        assertEquals(Double.POSITIVE_INFINITY, worth.needed(), "0.0033 off the mean");
    }

    @Test
    void theRuleDividesWhereTheBestBorderIs() {
        UnitDivision rule = worth(GOAL, 0.5).division(0.3).orElseThrow();
        CellRule.Border border = rule.borders(99, 198, 0, 199, 1).get(0);
        assertTrue(border.alongY());
        assertEquals(0.5, border.atUm(), 1e-12);
        assertTrue(rule.borders(99, 198, 0, 199, 0.5).isEmpty(), "one side alone");
        assertTrue(rule.borders(0, 0, 0, 1, 1).isEmpty());
        assertFalse(rule.concerns(0));
    }

    /** Means over five direct ranges along the outline of one unit, by length. */
    @Test
    void whatLastsIsTheMeanOverFiveDirectRanges() {
        OutlinePoints some = OutlinePoints.ofSize(5);
        System.arraycopy(new double[] {0, 0.04, 0.08, 0.2, 0.21}, 0, some.xUm(), 0, 5);
        System.arraycopy(new float[] {1, 3, 1, 1, 1}, 0, some.lengthUm(), 0, 5);
        some.unit()[4] = 1;
        double[] lasting = UnitDivision.lasting(some, new double[] {4, 0, 1, 7, 9}, 0.02);
        assertArrayEquals(new double[] {1, 1, 0.25, 7, 9}, lasting, 1e-12);
    }
}
