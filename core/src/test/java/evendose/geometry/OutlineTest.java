package evendose.geometry;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import org.junit.jupiter.api.Test;

class OutlineTest {
    /** Twelve-cornered discs, every other one with a square beside it that touches its outermost corner. */
    private static Polygons discs(int count) {
        Polygons polygons = new Polygons();
        for (int k = 0; k < count; k++) {
            long x = 400L * (k % 100);
            long y = 400L * (k / 100);
            long[] xy = new long[24];
            for (int i = 0; i < 12; i++) {
                xy[2 * i] = x + Math.round(150 * Math.cos(Math.PI * i / 6));
                xy[2 * i + 1] = y + Math.round(150 * Math.sin(Math.PI * i / 6));
            }
            polygons.addPolygon(0, xy, 12);
            if (k % 2 == 0) {
                polygons.addRectangle(0, x + 150, y, x + 170, y + 20);
            }
        }
        return polygons;
    }

    /** Every corner of every disc and square, and the same edges in the same order whoever finds them. */
    @Test
    void partsThatAreFoundAtTheSameTimeGoTogetherInTheirOrder() {
        try (Workers workers = Workers.of(3)) {
            Trapezoids merged = Merge.of(discs(6000), 1, workers, Progress.NONE);
            assertTrue(merged.shapeRanges(1 << 14).length > 3);
            Outline one = Outline.of(merged);
            Outline several = Outline.of(merged, workers);
            assertEquals(6000 * 12 + 3000 * 4, one.size());
            assertEquals(9000, one.contours());
            assertEquals(one.size(), several.size());
            assertEquals(one.contours(), several.contours());
            for (int c = 0; c <= one.contours(); c++) {
                assertEquals(one.first(c), several.first(c));
            }
            for (int e = 0; e < one.size(); e++) {
                assertEquals(one.x0(e), several.x0(e));
                assertEquals(one.y0(e), several.y0(e));
                assertEquals(one.x1(e), several.x1(e));
                assertEquals(one.y1(e), several.y1(e));
                assertEquals(one.shape(e), several.shape(e));
            }
        }
    }

    @Test
    void nothingHasNoOutline() {
        try (Workers workers = Workers.of(2)) {
            assertEquals(0, Outline.of(Trapezoids.EMPTY, workers).contours());
        }
    }
}
