package evendose.geometry;

import static evendose.geometry.MergePropertyTest.merge;
import static evendose.geometry.MergePropertyTest.outline;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

/** Small layouts whose trapezoids can be told by hand. */
class MergeTest {
    private final Polygons polygons = new Polygons();

    private void polygon(int group, long... xy) {
        polygons.addPolygon(group, xy, xy.length / 2);
    }

    @Test
    void nothingGivesNothing() {
        assertEquals(0, merge(polygons, 1).size());
        polygon(0, 0, 0, 5, 5, 10, 10);
        assertEquals(0, merge(polygons, 1).size());
        assertEquals(0, merge(polygons, 1).shapes());
    }

    @Test
    void aLoneRectangleIsOneTrapezoidWhateverItsNeighboursDo() {
        polygons.addRectangle(0, 0, 0, 100, 1000);
        for (int i = 0; i < 50; i++) {
            polygons.addRectangle(0, 101, 20 * i, 110, 20 * i + 7);
            polygons.addRectangle(0, -10, 20 * i + 3, -1, 20 * i + 9);
        }
        Trapezoids t = merge(polygons, 1);
        assertEquals(101, t.size());
        assertEquals(101, t.shapes());
        assertEquals(100 * 1000 + 50 * (9 * 7 + 9 * 6), t.area());
    }

    @Test
    void abuttingRectanglesOfOneWidthAreOneTrapezoid() {
        polygons.addRectangle(0, 0, 0, 10, 10);
        polygons.addRectangle(0, 0, 10, 10, 30);
        polygons.addRectangle(0, 10, 0, 20, 30);
        Trapezoids t = merge(polygons, 1);
        assertEquals(1, t.size());
        assertEquals(600, t.area());
        assertEquals(2, t.exposedFirst(1));
        assertEquals(100, outline(t));
    }

    @Test
    void exposedPartsAreWhatTheNeighbourLeaves() {
        polygons.addRectangle(0, 0, 0, 100, 10);
        polygons.addRectangle(0, 20, 10, 40, 30);
        polygons.addRectangle(0, 60, 10, 70, 30);
        Trapezoids t = merge(polygons, 1);
        assertEquals(3, t.size());
        assertEquals(1, t.shapes());
        assertEquals(4, t.exposedFirst(1));
        assertFalse(t.exposedOnTop(0));
        assertEquals(0, t.exposedFrom(0));
        assertEquals(100, t.exposedTo(0));
        double[] ends = {0, 20, 40, 60, 70, 100};
        for (int e = 1; e < 4; e++) {
            assertTrue(t.exposedOnTop(e));
            assertEquals(ends[2 * e - 2], t.exposedFrom(e));
            assertEquals(ends[2 * e - 1], t.exposedTo(e));
        }
        // The upper two have an exposed top only.
        assertEquals(5, t.exposedFirst(2));
        assertEquals(6, t.exposedFirst(3));
    }

    @Test
    void touchingCornersDoNotJoinShapes() {
        polygons.addRectangle(0, 0, 0, 10, 10);
        polygons.addRectangle(0, 10, 10, 20, 20);
        assertEquals(2, merge(polygons, 1).shapes());
        polygons.addRectangle(0, 9, 10, 10, 11);
        assertEquals(1, merge(polygons, 1).shapes());
    }

    @Test
    void theLowestGroupOwnsOverlapsAndSidesBetweenGroupsAreNotExposed() {
        polygons.addRectangle(2, 0, 0, 30, 10);
        polygons.addRectangle(1, 10, 0, 20, 10);
        Trapezoids t = merge(polygons, 4);
        assertEquals(3, t.size());
        assertEquals(3, t.shapes());
        assertEquals(2, t.group(0));
        assertEquals(1, t.group(1));
        assertEquals(2, t.group(2));
        assertTrue(t.leftExposed(0));
        assertFalse(t.rightExposed(0));
        assertFalse(t.leftExposed(1));
        assertFalse(t.rightExposed(1));
        assertFalse(t.leftExposed(2));
        assertTrue(t.rightExposed(2));
        assertEquals(80, outline(t));
    }

    @Test
    void aBowTieIsTwoShapesAndDoesNotCancelOthers() {
        polygon(0, 0, 0, 10, 10, 10, 0, 0, 10);
        Trapezoids t = merge(polygons, 1);
        assertEquals(2, t.shapes());
        assertEquals(50, t.area());
        polygons.addRectangle(0, 0, 0, 10, 10);
        assertEquals(1, merge(polygons, 1).size());
        assertEquals(100, merge(polygons, 1).area());
    }

    @Test
    void clockwiseAndCounterClockwiseDoNotCancel() {
        polygon(0, 0, 0, 10, 0, 12, 10, 2, 10);
        polygon(0, 0, 0, 2, 10, 12, 10, 10, 0);
        Trapezoids t = merge(polygons, 1);
        assertEquals(1, t.size());
        assertEquals(100, t.area());
    }

    @Test
    void aHoleCutInByADoubleEdgeStaysAHole() {
        polygon(0, 0, 0, 30, 0, 30, 30, 0, 30, 0, 10, 10, 10, 10, 20, 20, 20, 20, 10, 0, 10);
        Trapezoids t = merge(polygons, 1);
        assertEquals(800, t.area());
        assertEquals(1, t.shapes());
        assertEquals(4, t.size());
        assertEquals(160, outline(t));
    }

    @Test
    void aPentagramCoversItsMiddle() {
        polygon(0, 0, 1000, 588, -809, -951, 309, 951, 309, -588, -809);
        assertEquals(1, merge(polygons, 1).shapes());
        SlabOracle oracle = new SlabOracle(polygons, 1);
        assertEquals(oracle.area[0], merge(polygons, 1).area(), oracle.areaAllowance);
    }

    @Test
    void spikesAndRepeatedPointsHaveNoArea() {
        polygon(0, 0, 0, 10, 0, 10, 0, 10, 10, 10, 50, 10, 10, 0, 10, -20, 10, 0, 10, 0, 10);
        Trapezoids t = merge(polygons, 1);
        assertEquals(1, t.size());
        assertEquals(100, t.area());
        assertEquals(40, outline(t));
    }

    @Test
    void aGroupBeyondTheNumberOfGroupsIsRefused() {
        polygons.addRectangle(3, 0, 0, 1, 1);
        assertThrows(IllegalArgumentException.class, () -> merge(polygons, 3));
    }

    @Test
    void coordinatesUpToTheLimitAreExact() {
        long m = Polygons.MAX_COORDINATE;
        polygon(0, -m, -m, m, m, -m, m);
        polygon(0, -m, -m, m, -m, m, m);
        Trapezoids t = merge(polygons, 1);
        assertEquals(1, t.size());
        assertEquals(4.0 * m * m, t.area());
        polygon(0, -m, -m + 1, m, -m, m - 1, m);
        assertEquals(1, merge(polygons, 1).size());
    }
}
