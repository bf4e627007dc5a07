package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.pieces.CellRule.Border;
import evendose.pieces.HandMadePieces;
import java.util.List;
import org.junit.jupiter.api.Test;

/** A rim of five units, three above and two on the left, and steps within. */
class RimBordersTest {
    private static final RimBorders RULE = new RimBorders(
            HandMadePieces.rectangles(
                    new double[] {0, 9, 4, 10},
                    new double[] {4, 9, 7, 10},
                    new double[] {7, 9, 10, 10},
                    new double[] {0, 5, 1, 9},
                    new double[] {0, 0, 1, 5}),
            1,
            0.1);

    @Test
    void aStepIsDividedWhereUnitsBesideItMeet() {
        assertEquals(List.of(new Border(false, 4)), RULE.borders(0, 3, 8.5, 5, 8.9));
        assertEquals(List.of(new Border(true, 5)), RULE.borders(0, 1.1, 3, 1.3, 6.5));
        // The one nearest to the middle comes first.
        assertEquals(List.of(new Border(false, 7), new Border(false, 4)), RULE.borders(0, 3, 8.5, 10, 8.9));
        // Both arms at a corner; where rims end and no other goes on, nothing meets.
        assertEquals(List.of(new Border(false, 4), new Border(true, 5)), RULE.borders(0, 1.1, 3, 6.9, 8.9));
    }

    @Test
    void whatLiesFarOrNearlyAtAnEndDividesNothing() {
        assertEquals(List.of(), RULE.borders(0, 3, 4, 5, 7.9));
        assertEquals(List.of(), RULE.borders(0, 3.95, 8.5, 6, 8.9));
        assertEquals(List.of(), RULE.borders(0, 2, 8.5, 4.05, 8.9));
        assertEquals(List.of(), RULE.borders(0, 4, 8.5, 7, 8.9));
        // Beyond the end of the rim nothing goes on.
        assertEquals(List.of(), RULE.borders(0, 8, 8.5, 12, 8.9));
    }
}
