package evendose.geometry;

import static evendose.geometry.MergePropertyTest.merge;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** Rings of shapes whose outlines are known; no direction but that the inside lies on the left. */
class OutlineRingsTest {
    private final Polygons polygons = new Polygons();

    private Outline outline() {
        return Outline.of(merge(polygons, 2));
    }

    /** Twice the area inside a ring, negative for a hole. */
    private static double doubleArea(Outline outline, int[] ring) {
        double sum = 0;
        for (int c : ring) {
            for (int e = outline.first(c); e < outline.first(c + 1); e++) {
                sum += outline.x0(e) * outline.y1(e) - outline.x1(e) * outline.y0(e);
            }
        }
        return sum;
    }

    private double[] areas() {
        Outline outline = outline();
        return new OutlineRings(outline)
                .rings().stream()
                        .mapToDouble(r -> 0.5 * doubleArea(outline, r))
                        .sorted()
                        .toArray();
    }

    private void frame(long x, long y) {
        polygons.addRectangle(0, x, y, x + 100, y + 10);
        polygons.addRectangle(0, x, y + 90, x + 100, y + 100);
        polygons.addRectangle(0, x, y, x + 10, y + 100);
        polygons.addRectangle(0, x + 90, y, x + 100, y + 100);
    }

    @Test
    void holesHaveRingsOfTheirOwn() {
        frame(500, 700);
        polygons.addRectangle(0, 530, 730, 550, 750);
        polygons.addPolygon(0, new long[] {900, 700, 950, 720, 910, 790}, 3);
        double triangle = 0.5 * (50 * 90 - 10 * 20);
        assertEquals(Arrays.toString(new double[] {-6400, 400, triangle, 10_000}), Arrays.toString(areas()));
        OutlineRings rings = new OutlineRings(outline());
        for (int s = 0; s < 3; s++) {
            assertTrue(rings.isWhole(s));
        }
    }

    /** Two squares that share a side, of two groups: each lacks a side. A third stands alone. */
    @Test
    void shapesThatAbutAnotherGroupAreNotWhole() {
        polygons.addRectangle(0, 0, 0, 100, 100);
        polygons.addRectangle(1, 100, 0, 200, 100);
        polygons.addRectangle(0, 0, 500, 50, 600);
        Outline outline = outline();
        OutlineRings rings = new OutlineRings(outline);
        assertEquals(1, rings.rings().size());
        assertEquals(2 * 5000, doubleArea(outline, rings.rings().get(0)), 1e-9);
        for (int e = 0; e < outline.size(); e++) {
            assertEquals(outline.y0(e) >= 500, rings.isWhole(outline.shape(e)));
        }
    }

    /** Squares that touch in a corner, and a tangle of slanted bars: what rings enclose is the merged area. */
    @Test
    void ringsEncloseTheMergedArea() {
        polygons.addRectangle(0, 0, 0, 100, 100);
        polygons.addRectangle(0, 100, 100, 200, 200);
        for (int k = 0; k < 12; k++) {
            long x = 1000 + 37 * k;
            polygons.addPolygon(0, new long[] {x, 0, x + 11, 0, x + 311 - 50 * k, 401, x + 300 - 50 * k, 401}, 4);
        }
        Trapezoids merged = merge(polygons, 2);
        assertEquals(merged.area(), Arrays.stream(areas()).sum(), 0.05);
        OutlineRings rings = new OutlineRings(Outline.of(merged));
        for (int s = 0; s < merged.shapes(); s++) {
            assertTrue(rings.isWhole(s));
        }
    }

    @Test
    void shapesHangTogetherAlikeWithAsManyShapesAndRings() {
        frame(0, 0);
        OutlineRings frame = new OutlineRings(outline());
        assertTrue(frame.isLike(new OutlineRings(outline())));
        polygons.addRectangle(0, 500, 0, 600, 100);
        OutlineRings two = new OutlineRings(outline());
        assertFalse(frame.isLike(two));
        assertFalse(two.isLike(frame));
        // A filled frame and another square: as many rings as the frame, one shape more.
        polygons.addRectangle(0, 0, 0, 100, 100);
        assertFalse(frame.isLike(new OutlineRings(outline())));
    }
}
