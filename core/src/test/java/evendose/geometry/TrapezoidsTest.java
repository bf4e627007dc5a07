package evendose.geometry;

import static evendose.geometry.MergePropertyTest.merge;
import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;

/** What merged shapes say of themselves, for shapes that can be told by hand. */
class TrapezoidsTest {
    /** A slanted piece in group 0, an L in group 1 and a square in group 2, from the lowest on. */
    private static Trapezoids three() {
        Polygons polygons = new Polygons();
        polygons.addPolygon(0, new long[] {10, 20, 40, 20, 60, 30, 20, 30}, 4);
        polygons.addRectangle(1, 100, 40, 160, 50);
        polygons.addRectangle(1, 100, 50, 120, 90);
        polygons.addRectangle(2, -70, 60, -50, 80);
        return merge(polygons, 3);
    }

    @Test
    void measuresOfATrapezoid() {
        Trapezoids t = three();
        assertEquals(4, t.size());
        assertEquals(3, t.shapes());
        // Sides of 30 and 40, 10 apart.
        assertEquals(350, t.area(0));
        assertEquals(0.25 * (10 + 40 + 60 + 20), t.middleX(0));
        assertEquals(25, t.middleY(0));
        assertEquals(350 + 600 + 800 + 400, t.area());
        assertEquals(160, t.largestCoordinate());
        assertEquals(0, Trapezoids.EMPTY.largestCoordinate());
        assertEquals("Trapezoids[4 in 3 shapes, " + t.exposedFirst(4) + " exposed horizontal parts]", t.toString());
    }

    @Test
    void boxesHoldSlantedSidesAndAllPartsOfAShape() {
        Trapezoids t = three();
        assertArrayEquals(new double[] {10, 20, 60, 30}, t.box(0));
        assertArrayEquals(new double[] {100, 40, 160, 90}, t.box(1));
        assertArrayEquals(new double[] {-70, 60, -50, 80}, t.box(2));
    }

    /** A sum of areas that a plain one would round: 2^53 + 1 + 1. */
    @Test
    void smallAreasAreNotLostBesideLargeOnes() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 0, 0, 1L << 27, 1L << 26);
        for (int k = 0; k < 4; k++) {
            polygons.addRectangle(0, -10 + 2 * k, 1L << 28, -9 + 2 * k, (1L << 28) + 1);
        }
        assertEquals(0x1p53 + 4, merge(polygons, 1).area());
    }

    @Test
    void shapesGoToAnotherGrid() {
        Trapezoids t = three();
        Polygons sink = new Polygons();
        t.addTo(sink, g -> g == 1 ? -1 : g + 4, 2.5);
        Trapezoids again = merge(sink, 7);
        assertEquals(2, again.shapes());
        assertEquals(4, again.group(0));
        assertEquals(6, again.group(1));
        assertEquals(350 * 6.25, again.area(0));
        assertArrayEquals(new double[] {25, 50, 150, 75}, again.box(0));
        assertArrayEquals(new double[] {-175, 150, -125, 200}, again.box(1));
        Polygons one = new Polygons();
        t.addTo(one, 1, 3);
        Trapezoids ell = merge(one, 2);
        assertEquals(1, ell.shapes());
        assertEquals(1, ell.group(0));
        assertEquals(1400 * 9, ell.area());
        assertArrayEquals(new double[] {300, 120, 480, 270}, ell.box(0));
    }

    @Test
    void anotherUnitChangesLengthsAlone() {
        Trapezoids t = three();
        Trapezoids half = t.scaled(0.5);
        assertEquals(0.25 * t.area(), half.area());
        assertArrayEquals(new double[] {50, 20, 80, 45}, half.box(1));
        assertSameExposure(t, 0, half, 0, 0.5);
        assertEquals(2, half.group(half.first(2)));
    }

    @Test
    void someGroupsAloneKeepWhatTheyHave() {
        Trapezoids t = three();
        Trapezoids some = t.ofGroups(g -> g != 1);
        assertEquals(2, some.shapes());
        assertEquals(2, some.size());
        assertEquals(0, some.group(0));
        assertEquals(2, some.group(1));
        assertEquals(350 + 400, some.area());
        assertArrayEquals(t.box(0), some.box(0));
        assertArrayEquals(t.box(2), some.box(1));
        assertSameExposure(t, 0, some, 0, 1);
        assertSameExposure(t, t.first(2), some, 1, 1);
        Trapezoids ell = t.ofGroups(g -> g == 1);
        assertEquals(2, ell.size());
        assertEquals(1, ell.shapes());
        for (int i = 0; i < 2; i++) {
            assertSameExposure(t, t.first(1) + i, ell, i, 1);
        }
        assertEquals(0, t.ofGroups(g -> false).size());
    }

    private static void assertSameExposure(Trapezoids a, int i, Trapezoids b, int k, double scale) {
        assertEquals(a.leftExposed(i), b.leftExposed(k));
        assertEquals(a.rightExposed(i), b.rightExposed(k));
        int parts = a.exposedFirst(i + 1) - a.exposedFirst(i);
        assertEquals(parts, b.exposedFirst(k + 1) - b.exposedFirst(k));
        for (int e = 0; e < parts; e++) {
            int of = a.exposedFirst(i) + e;
            int to = b.exposedFirst(k) + e;
            assertEquals(scale * a.exposedFrom(of), b.exposedFrom(to));
            assertEquals(scale * a.exposedTo(of), b.exposedTo(to));
            assertEquals(a.exposedOnTop(of), b.exposedOnTop(to));
        }
    }
}
