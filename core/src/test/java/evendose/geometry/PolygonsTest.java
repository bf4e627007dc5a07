package evendose.geometry;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;

class PolygonsTest {
    private static final long MOST = Polygons.MAX_COORDINATE;

    /** What a list holds, one text a polygon. */
    private static List<String> held(Polygons polygons) {
        List<String> held = new ArrayList<>();
        polygons.forEach(new Polygons.Visitor() {
            @Override
            public void rectangle(int g, long x0, long y0, long x1, long y1) {
                held.add(g + " rectangle " + List.of(x0, y0, x1, y1));
            }

            @Override
            public void polygon(int g, long[] xy, int from, int vertices) {
                held.add(g + " polygon " + Arrays.toString(Arrays.copyOfRange(xy, from, from + 2 * vertices)));
            }
        });
        return held;
    }

    private static Polygons polygon(long... xy) {
        Polygons polygons = new Polygons();
        polygons.addPolygon(7, xy, xy.length / 2);
        return polygons;
    }

    @Test
    void rectanglesAreRecognisedFromAnyCornerEitherWay() {
        long[][] corners = {{3, 5}, {9, 5}, {9, 8}, {3, 8}};
        for (int start = 0; start < 4; start++) {
            for (int way : new int[] {1, 3}) {
                long[] xy = new long[8];
                for (int k = 0; k < 4; k++) {
                    System.arraycopy(corners[(start + k * way) % 4], 0, xy, 2 * k, 2);
                }
                assertEquals(List.of("7 rectangle [3, 5, 9, 8]"), held(polygon(xy)));
                // One corner a step off is none any more.
                for (int c = 0; c < 8; c++) {
                    long[] off = xy.clone();
                    off[c]++;
                    assertEquals(List.of("7 polygon " + Arrays.toString(off)), held(polygon(off)));
                }
            }
        }
        // Nor is a bow tie, nor a rhomb with two corners on one height.
        for (long[] xy : new long[][] {{3, 5, 9, 8, 9, 5, 3, 8}, {3, 5, 9, 5, 3, 8, 9, 8}, {0, 5, 4, 0, 8, 5, 4, 9}}) {
            assertEquals(List.of("7 polygon " + Arrays.toString(xy)), held(polygon(xy)));
        }
    }

    @Test
    void repeatedClosingPointsAreDroppedAndWhatHasNoAreaToo() {
        assertEquals(List.of("7 polygon [0, 0, 5, 0, 0, 5]"), held(polygon(0, 0, 5, 0, 0, 5, 0, 0, 0, 0)));
        assertEquals(List.of("7 rectangle [0, 0, 5, 4]"), held(polygon(0, 0, 5, 0, 5, 4, 0, 4, 0, 0)));
        assertEquals(0, polygon(0, 0, 5, 0, 0, 0).size());
        assertEquals(0, polygon().size());
        // The same x or the same y as the first point does not close.
        assertEquals(List.of("7 polygon [0, 0, 5, 0, 0, 5]"), held(polygon(0, 0, 5, 0, 0, 5)));
        assertEquals(List.of("7 polygon [0, 0, 5, 5, 5, 0]"), held(polygon(0, 0, 5, 5, 5, 0)));
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 3, 3, 3, 9);
        polygons.addRectangle(0, 3, 3, 9, 3);
        assertEquals(0, polygons.size());
        assertEquals(Long.MAX_VALUE, polygons.left());
        assertEquals(Long.MIN_VALUE, polygons.top());
    }

    @Test
    void theBoxHoldsEverything() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 9, 8, 3, 5);
        assertEquals(List.of("0 rectangle [3, 5, 9, 8]"), held(polygons));
        assertEquals(List.of(3L, 5L, 9L, 8L), box(polygons));
        polygons.addPolygon(1, new long[] {4, 6, 20, 7, 5, -30}, 3);
        assertEquals(List.of(3L, -30L, 20L, 8L), box(polygons));
        polygons.addPolygon(1, new long[] {-4, 6, 10, 47, 5, 0}, 3);
        assertEquals(List.of(-4L, -30L, 20L, 47L), box(polygons));
        assertEquals(3, polygons.size());
        assertEquals("Polygons[3]", polygons.toString());
    }

    private static List<Long> box(Polygons p) {
        return List.of(p.left(), p.bottom(), p.right(), p.top());
    }

    @Test
    void limitsOfCoordinatesAndGroupsHold() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(Polygons.MAX_GROUP, -MOST, -MOST, MOST, MOST);
        polygons.addPolygon(0, new long[] {-MOST, -MOST, MOST, -MOST, 0, MOST}, 3);
        assertEquals(2, polygons.size());
        for (int group : new int[] {-1, Polygons.MAX_GROUP + 1}) {
            assertThrows(IllegalArgumentException.class, () -> polygons.addRectangle(group, 0, 0, 1, 1));
            assertThrows(
                    IllegalArgumentException.class, () -> polygons.addPolygon(group, new long[] {0, 0, 5, 0, 0, 5}, 3));
            // Also where nothing would be added.
            assertThrows(IllegalArgumentException.class, () -> polygons.addPolygon(group, new long[2], 1));
        }
        for (long beyond : new long[] {MOST + 1, -MOST - 1}) {
            for (int c = 0; c < 6; c++) {
                long[] xy = {0, 0, 5, 0, 0, 5};
                xy[c] = beyond;
                assertThrows(IllegalArgumentException.class, () -> polygons.addPolygon(0, xy, 3));
            }
            assertThrows(IllegalArgumentException.class, () -> polygons.addRectangle(0, beyond, 0, 1, 1));
            assertThrows(IllegalArgumentException.class, () -> polygons.addRectangle(0, 0, beyond, 1, 1));
            assertThrows(IllegalArgumentException.class, () -> polygons.addRectangle(0, 0, 0, beyond, 1));
            assertThrows(IllegalArgumentException.class, () -> polygons.addRectangle(0, 0, 0, 1, beyond));
        }
        assertEquals(2, polygons.size(), "nothing half added");
    }

    /** Many of both kinds, over several blocks, one of them longer than a block by itself; and the same once more in other groups. */
    @Test
    void everythingComesBackInOrder() {
        Polygons polygons = new Polygons();
        List<String> expected = new ArrayList<>();
        List<String> other = new ArrayList<>();
        for (int i = 0; i < 3000; i++) {
            int n = i == 1500 ? 40_000 : 3 + i % 40;
            if (i % 3 == 0) {
                polygons.addRectangle(i % 5, i, 2 * i, i + 3, 2 * i + 4);
                String text = " rectangle " + List.of(i, 2 * i, i + 3, 2 * i + 4);
                expected.add(i % 5 + text);
                other.add((i % 5 + 10) + text);
            } else {
                long[] xy = new long[2 * n];
                Arrays.setAll(xy, k -> k * k % 97 + k);
                polygons.addPolygon(i % 5, xy, n);
                expected.add(i % 5 + " polygon " + Arrays.toString(xy));
                other.add((i % 5 + 10) + " polygon " + Arrays.toString(xy));
            }
        }
        assertEquals(expected, held(polygons));
        Polygons copy = new Polygons();
        copy.addAll(polygons, g -> g + 10);
        assertEquals(other, held(copy));
        assertEquals(polygons.size(), copy.size());
    }
}
