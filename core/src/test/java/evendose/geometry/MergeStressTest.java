package evendose.geometry;

import static evendose.geometry.MergePropertyTest.assertSame;
import static evendose.geometry.MergePropertyTest.merge;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Shapes as bad tools make them, against the shoelace formula and against winding numbers at random points. */
class MergeStressTest {
    /** Winding number about a point that is not on the outline, by signed crossings of a ray to the right. */
    private static int winding(long[] xy, double x, double y) {
        int winding = 0;
        for (int i = 0, j = xy.length - 2; i < xy.length; j = i, i += 2) {
            if ((xy[j + 1] <= y) != (xy[i + 1] <= y)) {
                double crossing = xy[j] + (y - xy[j + 1]) / (xy[i + 1] - xy[j + 1]) * (xy[i] - xy[j]);
                winding += crossing > x ? xy[i + 1] > xy[j + 1] ? 1 : -1 : 0;
            }
        }
        return winding;
    }

    private static double shoelace(long[] xy) {
        double twice = 0;
        for (int i = 0, j = xy.length - 2; i < xy.length; j = i, i += 2) {
            twice += (double) xy[j] * xy[i + 1] - (double) xy[i] * xy[j + 1];
        }
        return Math.abs(twice) / 2;
    }

    private static boolean covers(Trapezoids t, double x, double y) {
        for (int i = 0; i < t.size(); i++) {
            if (t.yBottom(i) < y && y < t.yTop(i)) {
                double up = (y - t.yBottom(i)) / (t.yTop(i) - t.yBottom(i));
                double left = t.xLeftBottom(i) + up * (t.xLeftTop(i) - t.xLeftBottom(i));
                double right = t.xRightBottom(i) + up * (t.xRightTop(i) - t.xRightBottom(i));
                if (left < x && x < right) {
                    return true;
                }
            }
        }
        return false;
    }

    /** A closed curve of 40 lobes around the origin; it crosses itself if it goes round more than once. */
    private static long[] curve(int points, int turns, long seed) {
        SplittableRandom random = new SplittableRandom(seed);
        long[] xy = new long[2 * points];
        for (int i = 0; i < points; i++) {
            double angle = 2 * Math.PI * turns * i / points;
            double radius = 7e6 + 3e6 * Math.sin(41.0 / turns * angle) + random.nextDouble();
            xy[2 * i] = Math.round(radius * Math.cos(angle));
            xy[2 * i + 1] = Math.round(radius * Math.sin(angle));
        }
        return xy;
    }

    @ParameterizedTest
    @ValueSource(ints = {1, 3})
    void polygonsOfAHundredThousandVertices(int turns) {
        long[] xy = curve(100_000, turns, turns);
        Polygons polygons = new Polygons();
        polygons.addPolygon(0, xy, xy.length / 2);
        Trapezoids merged = merge(polygons, 1);
        if (turns == 1) {
            assertEquals(shoelace(xy), merged.area(), 1e-9 * merged.area());
        }
        SplittableRandom random = new SplittableRandom(5);
        int inside = 0;
        for (int i = 0; i < 500; i++) {
            double x = random.nextDouble(-1.1e7, 1.1e7);
            double y = random.nextDouble(-1.1e7, 1.1e7);
            boolean expected = winding(xy, x, y) != 0;
            assertEquals(expected, covers(merged, x, y), x + " " + y);
            inside += expected ? 1 : 0;
        }
        assertTrue(inside > 100 && inside < 400, inside + " inside");
    }

    /** A thousand times the same shape is the shape; moved by a dbu each, its edges nearly coincide and cross all over. */
    @ParameterizedTest
    @ValueSource(ints = {0, 1, 3})
    void aThousandOverlappingCopies(int jitter) {
        SplittableRandom random = new SplittableRandom(jitter);
        long[] shape = {0, 0, 4001, 37, 3977, 2011, 1500, 900, 1011, 3007, -13, 2999};
        Polygons one = new Polygons();
        one.addPolygon(0, shape, shape.length / 2);
        Polygons polygons = new Polygons();
        List<long[]> copies = new ArrayList<>();
        for (int i = 0; i < 1000; i++) {
            long[] copy = shape.clone();
            for (int k = 0; k < copy.length; k++) {
                copy[k] += jitter == 0 ? 0 : random.nextInt(-jitter, jitter + 1);
            }
            copies.add(copy);
            polygons.addPolygon(0, copy, copy.length / 2);
        }
        Trapezoids merged = merge(polygons, 1);
        if (jitter == 0) {
            assertSame(merge(one, 1), merged, "copies");
        }
        // Along the outline, where the copies differ, and anywhere.
        for (int i = 0; i < 1000; i++) {
            double x = random.nextDouble(-100, 4100);
            double y = random.nextDouble(-100, 3100);
            if (i % 3 > 0) {
                int corner = 2 * random.nextInt(shape.length / 2);
                int next = (corner + 2) % shape.length;
                double along = random.nextDouble();
                x = shape[corner] + along * (shape[next] - shape[corner]) + random.nextDouble(-jitter - 1, jitter + 1);
                y = shape[corner + 1]
                        + along * (shape[next + 1] - shape[corner + 1])
                        + random.nextDouble(-jitter - 1, jitter + 1);
            }
            boolean expected = false;
            for (long[] copy : copies) {
                expected |= winding(copy, x, y) != 0;
            }
            assertEquals(expected, covers(merged, x, y), x + " " + y);
        }
    }

    /** One dbu wide and up to a metre of nanometres long, at any angle: neither lost nor grown. */
    @Test
    void sliversAtAnyAngle() {
        for (int degrees = 0; degrees < 360; degrees++) {
            for (double length : new double[] {7, 1000.3, 1e6, 1e9}) {
                long dx = Math.round(length * Math.cos(Math.toRadians(degrees)));
                long dy = Math.round(length * Math.sin(Math.toRadians(degrees)));
                boolean flat = Math.abs(dx) > Math.abs(dy);
                long ox = flat ? 0 : 1;
                long oy = flat ? 1 : 0;
                long[] xy = {5, -3, 5 + dx, -3 + dy, 5 + dx + ox, -3 + dy + oy, 5 + ox, -3 + oy};
                Polygons polygons = new Polygons();
                polygons.addPolygon(0, xy, 4);
                Trapezoids merged = merge(polygons, 1);
                // Corners where it is cut are doubles: each is off by up to half the spacing of such numbers.
                double rounding = 2 * Math.ulp(Math.abs(dx) + 6.0) * Math.abs(dy);
                assertEquals(shoelace(xy), merged.area(), 1e-9 + rounding, degrees + " degrees, " + length);
                assertEquals(1, merged.shapes());
            }
        }
    }

    /** What is merged stays as it is when merged again; where coordinates are whole, to the last digit. */
    @ParameterizedTest
    @ValueSource(ints = {20, 300, 20_000})
    void mergingTwiceIsMergingOnce(int span) {
        SplittableRandom random = new SplittableRandom(span);
        for (int i = 0; i < 60; i++) {
            Polygons polygons = new Polygons();
            for (int n = 1 + random.nextInt(40); n > 0; n--) {
                // Even corners and sides at multiples of 45 degrees: crossings are whole too.
                long x = 2L * random.nextInt(-span, span);
                long y = 2L * random.nextInt(-span, span);
                long w = 2L * random.nextInt(1, span);
                long cut = random.nextBoolean() ? 0 : 2L * random.nextInt((int) (w / 2) + 1);
                polygons.addPolygon(
                        0,
                        new long[] {x + cut, y, x + w, y, x + w, y + w - cut, x + w - cut, y + w, x, y + w, x, y + cut},
                        6);
            }
            Trapezoids once = merge(polygons, 1);
            Polygons again = new Polygons();
            for (int t = 0; t < once.size(); t++) {
                long[] xy = {
                    whole(once.xLeftBottom(t)), whole(once.yBottom(t)),
                    whole(once.xRightBottom(t)), whole(once.yBottom(t)),
                    whole(once.xRightTop(t)), whole(once.yTop(t)),
                    whole(once.xLeftTop(t)), whole(once.yTop(t))
                };
                again.addPolygon(0, xy, 4);
            }
            assertSame(once, merge(again, 1), "case " + i);
        }
    }

    private static long whole(double value) {
        assertEquals(Math.rint(value), value);
        return (long) value;
    }
}
