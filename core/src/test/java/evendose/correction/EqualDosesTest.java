package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.pieces.Pieces;
import org.junit.jupiter.api.Test;

class EqualDosesTest {
    private static Pieces sixUnitsInTwoShapes() {
        int[] first = {0, 1, 2, 3, 4, 5, 6};
        return new Pieces(new double[6][6], first, new int[] {0, 5, 6}, new int[] {0, 0});
    }

    @Test
    void dosesWithinTheToleranceGetTheMiddleOfTheirRange() {
        double free = Double.NaN;
        double[] fixed = {free, free, free, free, 1.0003, free};
        double[] factor = {1.0009, 1, 1.0004, 1.003, 1.0003, 1.0002};
        EqualDoses equal = new EqualDoses(sixUnitsInTwoShapes(), 1e-3);
        assertTrue(equal.apply(factor, fixed, 0.05, 20));
        // The fixed one and the one of another shape keep theirs.
        assertArrayEquals(new double[] {1.00045, 1.00045, 1.00045, 1.003, 1.0003, 1.0002}, factor, 1e-12);
        assertEquals(5e-4, equal.mostMoved(), 1e-15);
    }

    @Test
    void dosesAtABoundStayThere() {
        double[] fixed = new double[6];
        java.util.Arrays.fill(fixed, Double.NaN);
        double[] factor = {20, 19.999, 19.998, 1, 2, 3};
        new EqualDoses(sixUnitsInTwoShapes(), 1e-3).apply(factor, fixed, 0.05, 20);
        assertEquals(20, factor[0]);
        assertEquals(19.9985, factor[1], 1e-9);
    }
}
