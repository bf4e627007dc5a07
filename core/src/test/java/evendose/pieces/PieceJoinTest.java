package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import org.junit.jupiter.api.Test;

class PieceJoinTest {
    /** Pieces given as low, high, from low, to low, from high, to high; one unit each, all in one shape, joined as one. */
    private static Pieces joined(boolean[] standing, double[]... given) {
        double[][] six = new double[6][given.length];
        int[] unitFirst = new int[given.length + 1];
        for (int i = 0; i < given.length; i++) {
            for (int c = 0; c < 6; c++) {
                six[c][i] = given[i][c];
            }
            unitFirst[i + 1] = i + 1;
        }
        Pieces pieces = new Pieces(six, standing, unitFirst, new int[] {0, given.length}, new int[] {0});
        Pieces joined = PieceJoin.of(pieces, new int[given.length], 1);
        assertEquals(1, joined.units());
        return joined;
    }

    private static double[] piece(double... six) {
        return six;
    }

    @Test
    void fourCellsOfAPadAreOneRectangle() {
        Pieces joined = joined(
                new boolean[4],
                piece(0, 1, 0, 2, 0, 2),
                piece(0, 1, 2, 3, 2, 3),
                piece(1, 4, 0, 2, 0, 2),
                piece(1, 4, 2, 3, 2, 3));
        assertEquals(1, joined.size());
        assertEquals(12, joined.areaUm2(0), 1e-12);
        assertArrayEquals(new double[] {0, 0, 3, 4}, joined.boundsUm());
    }

    @Test
    void sidesThatGoOnStraightAreJoinedAndOthersNot() {
        double[] below = piece(0, 1, 0, 2, 0.5, 2);
        assertEquals(
                1, joined(new boolean[2], below, piece(1, 3, 0.5, 2, 1.5, 2)).size());
        assertEquals(
                2, joined(new boolean[2], below, piece(1, 3, 0.5, 2, 1.501, 2)).size());
        assertEquals(
                2, joined(new boolean[2], below, piece(1, 3, 0.6, 2, 1.6, 2)).size());
    }

    @Test
    void standingPiecesThatMakeUpARectangleBecomeALevelOne() {
        Pieces joined = joined(new boolean[] {true, true}, piece(0, 3, 0, 1, 0, 2), piece(0, 3, 1, 5, 2, 5));
        assertEquals(1, joined.size());
        assertFalse(joined.standing(0));
        assertEquals(15, joined.areaUm2(0), 1e-12);
    }

    /** Units with pieces that one dose would make one: neighbours along whole sides that go on straight, of one shape. */
    @Test
    void pairsThatWouldBecomeOneAreShown() {
        Pieces pieces = HandMadePieces.of(
                new int[] {5, 1},
                new Trapezoid(false, 0, 1, 0, 2, 0, 2),
                new Trapezoid(false, 0, 1, 2, 3, 2, 3),
                new Trapezoid(false, 1, 4, 0, 2, 0, 2),
                new Trapezoid(false, 1, 4, 2, 3, 2, 3.5),
                new Trapezoid(true, 10, 11, 0, 1, 0, 2),
                new Trapezoid(false, 4, 5, 0, 2, 0, 2));
        List<String> found = new ArrayList<>();
        PieceJoin.pairs(pieces, (a, b) -> found.add(a + " " + b));
        Collections.sort(found);
        // The fourth leans: it shares a side with the third, but goes on from the second with a bend; the last is
        // another shape.
        assertEquals(List.of("0 1", "0 2", "2 3"), found);
    }

    /** Two pieces of one unit are no pair; two units with two such neighbours are shown twice. */
    @Test
    void pairsAreShownOnceForEachTwoPieces() {
        double[][] six = {{0, 0, 2, 2}, {1, 1, 3, 3}, {0, 1, 0, 1}, {1, 2, 1, 2}, {0, 1, 0, 1}, {1, 2, 1, 2}};
        six[0][2] = 1;
        six[0][3] = 1;
        Pieces pieces = new Pieces(six, new int[] {0, 2, 4}, new int[] {0, 2}, new int[] {0});
        List<String> found = new ArrayList<>();
        PieceJoin.pairs(pieces, (a, b) -> found.add(a + " " + b));
        assertEquals(List.of("0 1", "0 1"), found);
    }
}
