package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertSame;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;

/** Lists of pieces, samples and outline points: taken apart, put together, thinned out. */
class PieceListsTest {
    /** Piece i is a level slab of height 1 + i on top of the ones before, 10 + i wide and leaning by i. */
    private static Pieces pieces(int shift, int[] units, int[] shapes, int... layers) {
        int n = units[units.length - 1];
        double[][] c = new double[6][n];
        for (int i = 0; i < n; i++) {
            int k = i + shift;
            c[0][i] = 100 * k;
            c[1][i] = 100 * k + 1 + k;
            c[2][i] = 5;
            c[3][i] = 15 + k;
            c[4][i] = 5 + k;
            c[5][i] = 15 + 2 * k;
        }
        return new Pieces(c, units, shapes, layers);
    }

    private static void holds(Pieces p, int at, int k) {
        assertEquals(100 * k, p.lowUm()[at]);
        assertEquals(101 * k + 1, p.highUm()[at]);
        assertEquals((10 + k) * (1.0 + k), p.areaUm2(at), 1e-12);
        assertEquals(15 + 2 * k, p.rightUm(at));
    }

    @Test
    void listsFollowEachOther() {
        Pieces both = pieces(0, new int[] {0, 2, 3}, new int[] {0, 1, 2}, 4, 5)
                .and(pieces(3, new int[] {0, 1, 4}, new int[] {0, 2}, 6));
        assertEquals(7, both.size());
        assertEquals(4, both.units());
        assertEquals(3, both.shapes());
        for (int i = 0; i < 7; i++) {
            holds(both, i, i);
        }
        assertArrayEquals(new int[] {0, 0, 1, 2, 3, 3, 3}, both.unitOfPiece());
        assertArrayEquals(new int[] {0, 1, 2, 2}, both.shapeOfUnit());
        assertEquals(6, both.layerOfShape(2));
        assertEquals(5, both.layerOfShape(1));
        assertEquals("Pieces[7 pieces in 4 units of 3 shapes]", both.toString());
        assertArrayEquals(new double[] {5, 0, 27, 607}, both.boundsUm());
        assertEquals(0, both.ofUnits(new boolean[4]).boundsUm().length);
    }

    @Test
    void someUnitsStay() {
        Pieces all = pieces(0, new int[] {0, 2, 3, 4, 6}, new int[] {0, 2, 3, 4}, 7, 8, 9);
        Pieces some = all.ofUnits(new boolean[] {false, true, false, true});
        assertEquals(3, some.size());
        holds(some, 0, 2);
        holds(some, 1, 4);
        holds(some, 2, 5);
        assertArrayEquals(new int[] {0, 1, 1}, some.unitOfPiece());
        assertEquals(2, some.shapes());
        assertEquals(7, some.layerOfShape(0));
        assertEquals(9, some.layerOfShape(1));
    }

    /** Rectangles alone need four arrays; one piece with a slanted side needs six. */
    @Test
    void rectanglesHoldTheirSidesOnce() {
        double[][] six = {{0, 5}, {1, 6}, {2, 7}, {3, 8}, {2, 7}, {3, 8}};
        Pieces rectangles = new Pieces(six, new int[] {0, 1, 2}, new int[] {0, 2}, new int[1]);
        assertSame(rectangles.fromLowUm(), rectangles.fromHighUm());
        assertSame(rectangles.toLowUm(), rectangles.toHighUm());
        assertArrayEquals(new double[] {3, 8}, rectangles.toHighUm());
        for (int slanted : new int[] {4, 5}) {
            double[][] other = six.clone();
            other[slanted] = new double[] {six[slanted][0], six[slanted][1] - 0.5};
            Pieces pieces = new Pieces(other, new int[] {0, 1, 2}, new int[] {0, 2}, new int[1]);
            assertArrayEquals(other[4], pieces.fromHighUm());
            assertArrayEquals(other[5], pieces.toHighUm());
        }
    }

    @Test
    void standingPiecesAreTold() {
        double[][] c = {{0, 10}, {1, 14}, {5, 5}, {9, 6}, {5, 5}, {9, 8}};
        int[] units = {0, 2};
        int[] shapes = {0, 1};
        Pieces mixed = new Pieces(c, new boolean[] {false, true}, units, shapes, new int[1]);
        assertFalse(mixed.areLevel());
        assertTrue(new Pieces(c, units, shapes, new int[1]).areLevel());
        assertThrows(
                IllegalArgumentException.class,
                () -> new Pieces(c, new boolean[] {true, false}, units, shapes, new int[1]));
        // Both lie between 5 and 9 along their sides; the second stands from x = 10 to 14.
        assertEquals(0, mixed.bottomUm(0));
        assertEquals(5, mixed.bottomUm(1));
        assertEquals(0.25 * (5 + 9 + 5 + 9), mixed.middleXUm(0));
        assertEquals(0.5, mixed.middleYUm(0));
        assertEquals(12, mixed.middleXUm(1));
        assertEquals(0.25 * (5 + 6 + 5 + 8), mixed.middleYUm(1));
        assertArrayEquals(new double[] {5, 0, 14, 8}, mixed.unitBoundsUm(0));
        assertEquals(3, mixed.onLayers(new int[] {3}).layerOfShape(0));
        Pieces twice = mixed.and(mixed);
        assertTrue(!twice.standing(2) && twice.standing(3));
        assertTrue(mixed.ofUnits(new boolean[] {true}).standing(1));
    }

    /** Extents of 1 and 4 um: thinner than what exceeds them, not than themselves. */
    @Test
    void thinPiecesAreCountedAlongBothAxes() {
        // 4 wide and 1 high; 1 wide at both ends but leaning to 4; 1 wide and 4 high.
        double[][] c = {{20, 20, 20}, {21, 24, 24}, {10, 10, 10}, {14, 11, 11}, {10, 13, 10}, {14, 14, 11}};
        Pieces p = new Pieces(c, new int[] {0, 3}, new int[] {0, 1}, new int[1]);
        assertEquals(0, p.thinner(0.5));
        assertEquals(0, p.thinner(1));
        assertEquals(2, p.thinner(1.001));
        assertEquals(2, p.thinner(4));
        assertEquals(3, p.thinner(4.001));
    }

    private static Samples samples() {
        return new Samples(
                new double[] {1, 2, 3, 4, 5},
                new double[] {6, 7, 8, 9, 10},
                new float[] {0.5f, 0.5f, 1, 0.25f, 0.75f},
                new int[] {0, 2, 3, 5},
                new boolean[] {false, true, false});
    }

    @Test
    void samplesGoWithTheirUnits() {
        Samples some = samples().withInteriorShare(0.4).ofUnits(new boolean[] {false, true, true});
        assertEquals(2, some.units());
        assertArrayEquals(new double[] {3, 4, 5}, some.xUm());
        assertArrayEquals(new double[] {8, 9, 10}, some.yUm());
        assertEquals(0.75f, some.weight(2));
        assertEquals(1, some.first(1));
        assertEquals(3, some.first(2));
        assertTrue(some.interior(0) && !some.interior(1));
        assertEquals(0.4, some.interiorShare());
        assertEquals(0.5, samples().interiorShare());
    }

    @Test
    void samplesFollowEachOther() {
        Samples both = samples().withInteriorShare(0.4).and(samples());
        assertEquals(10, both.size());
        assertEquals(6, both.units());
        assertArrayEquals(new double[] {1, 2, 3, 4, 5, 1, 2, 3, 4, 5}, both.xUm());
        assertArrayEquals(new double[] {6, 7, 8, 9, 10, 6, 7, 8, 9, 10}, both.yUm());
        assertEquals(0.25f, both.weight(8));
        assertEquals(7, both.first(4));
        assertEquals(10, both.first(6));
        assertTrue(both.interior(4) && !both.interior(3) && !both.interior(5));
        assertEquals(0.4, both.interiorShare());
    }

    private static OutlinePoints points(int n) {
        double[] x = new double[n];
        double[] y = new double[n];
        float[] length = new float[n];
        int[] unit = new int[n];
        for (int k = 0; k < n; k++) {
            x[k] = 10 + k;
            y[k] = 20 + k;
            length[k] = 30 + k;
            unit[k] = k / 3 * 2;
        }
        return new OutlinePoints(x, y, length, unit, new boolean[x.length], x, y);
    }

    @Test
    void pointsAreThinnedOutEvenly() {
        OutlinePoints ten = points(10);
        assertSame(ten, ten.atMost(10));
        assertSame(ten, ten.atMost(50));
        OutlinePoints some = ten.atMost(4);
        assertArrayEquals(new double[] {10, 13, 16, 19}, some.xUm());
        assertArrayEquals(new double[] {20, 23, 26, 29}, some.yUm());
        assertArrayEquals(new float[] {90, 99, 108, 117}, some.lengthUm());
        assertArrayEquals(new int[] {0, 2, 4, 6}, some.unit());
        assertArrayEquals(new double[] {10, 12, 14, 16, 18}, ten.atMost(9).xUm());
        assertArrayEquals(new double[] {10, 12, 14, 16, 18}, ten.atMost(5).xUm());
    }

    @Test
    void theFirstPointOfAShapeIsFound() {
        OutlinePoints ten = points(10);
        for (int first = 0; first <= 8; first++) {
            int unit = first;
            long before = Arrays.stream(ten.unit()).filter(u -> u < unit).count();
            assertEquals(before, ten.firstOfShape(first));
        }
    }

    @Test
    void pointsAreEqualByWhatTheyHold() {
        assertEquals(points(4), points(4));
        assertEquals(points(4).hashCode(), points(4).hashCode());
        assertNotEquals(points(4), points(5));
        assertNotEquals(points(4).hashCode(), points(5).hashCode());
        assertNotEquals(points(4), (Object) "points");
    }

    @Test
    void whatIsKnownOfLargeShapesGoesBeforeWhatIsSeen() {
        ShapeBox seen = new ShapeBox(0, 0, 5, 5);
        WholeShape whole = new WholeShape(new ShapeBox(-7, 0, 5, 9), List.of(3, 4));
        TileView view = new TileView(TileFrame.everything(), Map.of(3, whole));
        assertEquals(whole, view.whole(3, seen));
        assertEquals(new WholeShape(seen, List.of(2)), view.whole(2, seen));
        assertTrue(view.frame().holds(1e300, -1e300));
        assertFalse(view.frame().isBeyond(-1e300, 0, 1, 1e300));
    }
}
