package evendose.layout;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

class ShapesTest {
    private static List<String> list(Shapes shapes) {
        List<String> lines = new ArrayList<>();
        shapes.forEach(new Shapes.Visitor() {
            @Override
            public void rectangle(long x0, long y0, long x1, long y1) {
                lines.add(Arrays.toString(new long[] {x0, y0, x1, y1}));
            }

            @Override
            public void polygon(long[] xy, int points) {
                lines.add("polygon " + Arrays.toString(Arrays.copyOf(xy, 2 * points)));
            }

            @Override
            public void path(PathStyle style, long[] spine, int points) {
                lines.add(style + " " + Arrays.toString(Arrays.copyOf(spine, 2 * points)));
            }
        });
        return lines;
    }

    /** Many shapes of all kinds, narrow and wide, so that blocks fill up, against a plain list of what was added. */
    @Test
    void givesBackWhatWasAdded() {
        Shapes shapes = new Shapes();
        List<String> added = new ArrayList<>();
        SplittableRandom random = new SplittableRandom(7);
        for (int i = 0; i < 60_000; i++) {
            long scale = random.nextInt(8) == 0 ? 1L << 41 : 1L << 30;
            long x = random.nextLong(-scale, scale);
            long y = random.nextLong(-scale, scale);
            switch (random.nextInt(3)) {
                case 0 -> {
                    assertTrue(shapes.addRectangle(x + 5, y, x, y + 9));
                    added.add(Arrays.toString(new long[] {x, y, x + 5, y + 9}));
                }
                case 1 -> {
                    long[] xy = new long[2 * random.nextInt(3, 9)];
                    Arrays.setAll(xy, k -> (k % 2 == 0 ? x : y) + 3L * k * k);
                    assertTrue(shapes.addPolygon(xy, xy.length / 2));
                    added.add("polygon " + Arrays.toString(xy));
                }
                default -> {
                    PathStyle style = PathStyle.of(random.nextInt(1, 5), PathStyle.End.FLUSH);
                    long[] xy = {x, y, x + 100, y, x + 100, y - 7};
                    assertTrue(shapes.addPath(style, xy, 3));
                    added.add(style + " " + Arrays.toString(xy));
                }
            }
        }
        long[] long1 = new long[2 * 400_000];
        Arrays.setAll(long1, k -> (long) k * k % 1_000_003);
        assertTrue(shapes.addPolygon(long1, 400_000));
        added.add("polygon " + Arrays.toString(long1));
        assertEquals(added.size(), shapes.size());
        assertEquals(added, list(shapes));
    }

    @Test
    void rectanglesAreRecognised() {
        Shapes shapes = new Shapes();
        assertTrue(shapes.addPolygon(new long[] {0, 0, 0, 5, 7, 5, 7, 0, 0, 0}, 5));
        assertTrue(shapes.addPolygon(new long[] {7, 0, 7, 5, 0, 5, 0, 0}, 4));
        assertTrue(shapes.addPolygon(new long[] {0, 0, 7, 0, 7, 5, 1, 5}, 4));
        assertEquals(List.of("[0, 0, 7, 5]", "[0, 0, 7, 5]", "polygon [0, 0, 7, 0, 7, 5, 1, 5]"), list(shapes));
    }

    @Test
    void shapesWithoutAreaAreNotKept() {
        Shapes shapes = new Shapes();
        long[] xy = {3, 4, 3, 4, 3, 4};
        assertFalse(shapes.addRectangle(1, 2, 1, 5));
        assertFalse(shapes.addPolygon(xy, 3));
        assertFalse(shapes.addPolygon(new long[] {0, 0, 5, 0, 0, 0}, 3));
        assertFalse(shapes.addPolygon(new long[] {0, 0, 5, 0, 5, 0, 0, 0}, 4));
        assertFalse(shapes.addPath(PathStyle.of(0, PathStyle.End.HALF_WIDTH), new long[] {0, 0, 9, 9}, 2));
        assertFalse(shapes.addPath(PathStyle.of(4, PathStyle.End.FLUSH), xy, 3));
        assertFalse(
                shapes.addPath(new PathStyle(4, false, PathStyle.End.EXTENDED, -6, -4), new long[] {0, 0, 10, 0}, 2));
        assertEquals(0, shapes.size());
    }
}
