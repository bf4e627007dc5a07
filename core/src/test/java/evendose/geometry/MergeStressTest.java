package evendose.geometry;

import static evendose.geometry.MergePropertyTest.assertSame;
import static evendose.geometry.MergePropertyTest.checkOrder;
import static evendose.geometry.MergePropertyTest.merge;
import static evendose.geometry.MergePropertyTest.outline;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTimeoutPreemptively;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Geometry;
import org.locationtech.jts.geom.GeometryFactory;
import org.locationtech.jts.geom.Polygon;
import org.locationtech.jts.operation.union.UnaryUnionOp;

/** Unpleasant, large and degenerate input to {@link Merge}, and comparisons with the JTS Topology Suite. */
class MergeStressTest {
    private static final Duration LONG = Duration.ofSeconds(60);

    private static Trapezoids mergeInBands(Polygons polygons, int groups, int edgesPerBand) {
        try (Workers two = Workers.of(2)) {
            return Merge.of(polygons, groups, two, Progress.NONE, edgesPerBand, 1e9);
        }
    }

    @Test
    void areaAndOutlineAgreeWithJts() {
        SplittableRandom random = new SplittableRandom(5);
        GeometryFactory factory = new GeometryFactory();
        for (int round = 0; round < 4; round++) {
            Polygons polygons = new Polygons();
            List<Polygon> others = new ArrayList<>();
            for (int i = 0; i < 400; i++) {
                long x = random.nextInt(30000);
                long y = random.nextInt(30000);
                int corners = round == 0 ? 4 : 3 + random.nextInt(6);
                long[] xy = new long[2 * corners];
                if (round == 0) {
                    long w = 1 + random.nextInt(3000);
                    long h = 1 + random.nextInt(3000);
                    xy = new long[] {x, y, x + w, y, x + w, y + h, x, y + h};
                } else {
                    // Points in order around a centre make a polygon that does not cross itself.
                    double turn = random.nextDouble();
                    for (int k = 0; k < corners; k++) {
                        double angle = 2 * Math.PI * (k + turn) / corners;
                        double radius = 300 + random.nextInt(2000);
                        xy[2 * k] = x + Math.round(radius * Math.cos(angle));
                        xy[2 * k + 1] = y + Math.round(radius * Math.sin(angle));
                    }
                }
                polygons.addPolygon(i % 2, xy, corners);
                Coordinate[] ring = new Coordinate[corners + 1];
                for (int k = 0; k <= corners; k++) {
                    ring[k] = new Coordinate(xy[2 * (k % corners)], xy[2 * (k % corners) + 1]);
                }
                others.add(factory.createPolygon(ring));
            }
            Geometry union = UnaryUnionOp.union(others);
            Trapezoids merged = mergeInBands(polygons, 2, 100);
            assertEquals(union.getArea(), merged.area(), (round == 0 ? 1e-13 : 1e-8) * union.getArea());
            assertEquals(union.getLength(), outline(merged), (round == 0 ? 1e-13 : 1e-6) * union.getLength());
            checkOrder(merged, "round " + round);
        }
    }

    @Test
    void everyPointBelongsToTheGroupThatItsWindingNumbersSay() {
        SplittableRandom random = new SplittableRandom(6);
        for (int round = 0; round < 30; round++) {
            Polygons polygons = new Polygons();
            List<long[]> all = new ArrayList<>();
            for (int i = 0; i < 12; i++) {
                long[] xy = new long[2 * (3 + random.nextInt(12))];
                for (int k = 0; k < xy.length; k++) {
                    xy[k] = random.nextInt(1000);
                }
                polygons.addPolygon(i % 3, xy, xy.length / 2);
                all.add(xy);
            }
            Trapezoids merged = merge(polygons, 3);
            for (int i = 0; i < 300; i++) {
                double x = 1000 * random.nextDouble();
                double y = 1000 * random.nextDouble();
                int owner = 3;
                boolean clear = true;
                for (int p = 0; p < all.size(); p++) {
                    owner = winding(all.get(p), x, y) != 0 ? Math.min(owner, p % 3) : owner;
                    clear &= distance(all.get(p), x, y) > 1e-2;
                }
                if (clear) {
                    assertEquals(owner, ownerAt(merged, x, y), "round " + round + " at " + x + ", " + y);
                }
            }
        }
    }

    private static int winding(long[] xy, double x, double y) {
        int sum = 0;
        for (int i = 0, n = xy.length; i < n; i += 2) {
            double xa = xy[i];
            double ya = xy[i + 1];
            double xb = xy[(i + 2) % n];
            double yb = xy[(i + 3) % n];
            double side = (xb - xa) * (y - ya) - (yb - ya) * (x - xa);
            sum += ya <= y && yb > y && side > 0 ? 1 : ya > y && yb <= y && side < 0 ? -1 : 0;
        }
        return sum;
    }

    private static double distance(long[] xy, double x, double y) {
        double least = Double.MAX_VALUE;
        for (int i = 0, n = xy.length; i < n; i += 2) {
            double dx = xy[(i + 2) % n] - xy[i];
            double dy = xy[(i + 3) % n] - xy[i + 1];
            double length = dx * dx + dy * dy;
            double at = length == 0 ? 0 : ((x - xy[i]) * dx + (y - xy[i + 1]) * dy) / length;
            at = Math.min(1, Math.max(0, at));
            least = Math.min(least, Math.hypot(x - xy[i] - at * dx, y - xy[i + 1] - at * dy));
        }
        return least;
    }

    /** The group at a point, or 3; at most one trapezoid may hold it. */
    private static int ownerAt(Trapezoids t, double x, double y) {
        int owner = 3;
        for (int i = 0; i < t.size(); i++) {
            if (y > t.yBottom(i) && y < t.yTop(i)) {
                double part = (y - t.yBottom(i)) / (t.yTop(i) - t.yBottom(i));
                double left = t.xLeftBottom(i) + part * (t.xLeftTop(i) - t.xLeftBottom(i));
                double right = t.xRightBottom(i) + part * (t.xRightTop(i) - t.xRightBottom(i));
                if (x > left && x < right) {
                    assertEquals(3, owner, "two trapezoids hold one point");
                    owner = t.group(i);
                }
            }
        }
        return owner;
    }

    private static Polygons rectangles(SplittableRandom random) {
        Polygons polygons = new Polygons();
        for (int i = 0; i < 3000; i++) {
            long x = random.nextInt(60000);
            long y = random.nextInt(60000);
            polygons.addRectangle(i % 2, x, y, x + 1 + random.nextInt(3000), y + 1 + random.nextInt(3000));
        }
        return polygons;
    }

    @Test
    void mergingAgainChangesNothing() {
        SplittableRandom random = new SplittableRandom(8);
        Polygons polygons = rectangles(random);
        Trapezoids once = merge(polygons, 2);
        Polygons again = new Polygons();
        for (int i = 0; i < once.size(); i++) {
            again.addRectangle(
                    once.group(i),
                    (long) once.xLeftBottom(i),
                    (long) once.yBottom(i),
                    (long) once.xRightBottom(i),
                    (long) once.yTop(i));
        }
        assertSame(once, merge(again, 2), "merged twice");
    }

    @Test
    void movingMirroringAndTurningKeepAreaOutlineAndShapes() {
        SplittableRandom random = new SplittableRandom(9);
        for (int round = 0; round < 40; round++) {
            List<long[]> all = new ArrayList<>();
            for (int i = 0; i < 30; i++) {
                long[] xy = new long[2 * (3 + random.nextInt(4))];
                long x = random.nextInt(5000);
                long y = random.nextInt(5000);
                for (int k = 0; k < xy.length; k += 2) {
                    xy[k] = x + random.nextInt(900);
                    xy[k + 1] = y + random.nextInt(900);
                }
                all.add(round % 2 == 0 ? xy : new long[] {x, y, x + xy[0] - x + 1, y, xy[0] + 1, xy[3], x, xy[3]});
            }
            Trapezoids plain = merge(turned(all, 1, 0, 0, 1, 0, 0), 1);
            int[][] turns = {{0, -1, 1, 0}, {-1, 0, 0, -1}, {-1, 0, 0, 1}, {1, 0, 0, -1}, {0, 1, 1, 0}};
            double tolerance = 1e-7 * plain.area();
            for (int[] m : turns) {
                Trapezoids other = merge(turned(all, m[0], m[1], m[2], m[3], 12345, -54321), 1);
                assertEquals(plain.area(), other.area(), tolerance);
                assertEquals(outline(plain), outline(other), 1e-4 * outline(plain));
                if (round % 2 == 1) {
                    assertEquals(plain.area(), other.area());
                    assertEquals(outline(plain), outline(other));
                }
                assertEquals(plain.shapes(), other.shapes(), "round " + round);
            }
        }
    }

    private static Polygons turned(List<long[]> all, int a, int b, int c, int d, long dx, long dy) {
        Polygons polygons = new Polygons();
        for (long[] xy : all) {
            long[] turned = new long[xy.length];
            for (int k = 0; k < xy.length; k += 2) {
                turned[k] = a * xy[k] + b * xy[k + 1] + dx;
                turned[k + 1] = c * xy[k] + d * xy[k + 1] + dy;
            }
            polygons.addPolygon(0, turned, xy.length / 2);
        }
        return polygons;
    }

    @Test
    void aThousandCopiesAreOne() {
        long[] star = new long[22];
        for (int k = 0; k < 11; k++) {
            double angle = 2 * Math.PI * k * 4 / 11;
            star[2 * k] = Math.round(10000 * Math.cos(angle));
            star[2 * k + 1] = Math.round(10000 * Math.sin(angle));
        }
        Polygons one = new Polygons();
        one.addPolygon(0, star, 11);
        Polygons many = new Polygons();
        for (int i = 0; i < 1000; i++) {
            many.addPolygon(0, star, 11);
        }
        Trapezoids merged = assertTimeoutPreemptively(LONG, () -> merge(many, 1));
        assertSame(merge(one, 1), merged, "copies");
    }

    @Test
    void aHugePolygonThatCrossesItselfEverywhere() {
        SplittableRandom random = new SplittableRandom(10);
        int points = 100_000;
        long[] xy = new long[2 * points];
        long x = 0;
        long y = 0;
        for (int k = 0; k < points; k++) {
            // A wandering loop with a jitter larger than its step.
            double angle = 2 * Math.PI * k / points;
            x = Math.round(3e6 * Math.cos(3 * angle)) + random.nextInt(-900, 900);
            y = Math.round(3e6 * Math.sin(2 * angle)) + random.nextInt(-900, 900);
            xy[2 * k] = x;
            xy[2 * k + 1] = y;
        }
        Polygons polygons = new Polygons();
        polygons.addPolygon(0, xy, points);
        Trapezoids merged = assertTimeoutPreemptively(LONG, () -> merge(polygons, 1));
        checkOrder(merged, "loop");
        assertSame(merged, mergeInBands(polygons, 1, 1000), "loop");
        int held = 0;
        for (int i = 0; i < 300; i++) {
            double px = random.nextDouble(-3e6, 3e6);
            double py = random.nextDouble(-3e6, 3e6);
            if (distance(xy, px, py) > 1) {
                boolean inside = winding(xy, px, py) != 0;
                assertEquals(inside ? 0 : 3, ownerAt(merged, px, py));
                held += inside ? 1 : 0;
            }
        }
        assertTrue(held > 20);
    }

    @Test
    void nearlyCoincidentLongEdgesAtAnyAngle() {
        SplittableRandom random = new SplittableRandom(11);
        for (int round = 0; round < 60; round++) {
            Polygons polygons = new Polygons();
            long reach = 1L << random.nextInt(3, 40);
            double angle = 2 * Math.PI * random.nextDouble();
            long dx = Math.round(reach * Math.cos(angle));
            long dy = Math.round(reach * Math.sin(angle));
            for (int i = 0; i < 20; i++) {
                long x = random.nextInt(-3, 3);
                long y = random.nextInt(-3, 3);
                polygons.addPolygon(
                        i % 2,
                        new long[] {
                            x, y, x + dx + random.nextInt(3), y + dy + random.nextInt(3), x + dx, y + dy, x + 1, y - 1
                        },
                        4);
            }
            Trapezoids merged = assertTimeoutPreemptively(LONG, () -> merge(polygons, 2));
            checkOrder(merged, "round " + round);
            assertSame(merged, mergeInBands(polygons, 2, 2), "round " + round);
        }
    }

    @Test
    void manyLinesThroughOnePoint() {
        Polygons polygons = new Polygons();
        for (int i = 0; i < 400; i++) {
            double angle = Math.PI * i / 400;
            long x = Math.round(1e5 * Math.cos(angle));
            long y = Math.round(1e5 * Math.sin(angle));
            // Narrow kites whose long diagonals all pass through the origin.
            polygons.addPolygon(0, new long[] {-x, -y, 1, 0, x, y, 0, 1}, 4);
        }
        Trapezoids merged = assertTimeoutPreemptively(LONG, () -> merge(polygons, 1));
        checkOrder(merged, "fan");
        assertSame(merged, mergeInBands(polygons, 1, 50), "fan");
    }

    @Test
    void oneRowOfManyLines() {
        Polygons polygons = new Polygons();
        int lines = 200_000;
        for (int i = 0; i < lines; i++) {
            int k = (int) ((i * 48_271L) % lines);
            polygons.addRectangle(0, 400L * k, 0, 400L * k + 200, 1_000_000 + (k % 3));
        }
        Trapezoids merged = assertTimeoutPreemptively(LONG, () -> merge(polygons, 1));
        assertEquals(lines, merged.size());
        assertEquals(lines, merged.shapes());
    }
}
