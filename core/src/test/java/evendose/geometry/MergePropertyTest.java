package evendose.geometry;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Properties of {@link Merge} on random input, against {@link SlabOracle} and against itself. */
class MergePropertyTest {
    private static final int CASES = 120;

    /** What kind of layout is drawn. */
    private enum Kind {
        RECTANGLES,
        TRIANGLES,
        TANGLES,
        OCTAGONAL,
        SLIVERS,
        COPIES
    }

    static Polygons draw(SplittableRandom random, Kind kind, int size, int groups, int span) {
        Polygons polygons = new Polygons();
        long[] copy = null;
        for (int i = 0; i < size; i++) {
            int group = random.nextInt(groups);
            long x = random.nextInt(-span, span);
            long y = random.nextInt(-span, span);
            int reach = Math.max(2, span / 2);
            switch (kind) {
                case RECTANGLES ->
                    polygons.addRectangle(group, x, y, x + random.nextInt(1, reach), y + random.nextInt(1, reach));
                case TRIANGLES, TANGLES -> {
                    int points = kind == Kind.TRIANGLES ? 3 : random.nextInt(4, 9);
                    long[] xy = new long[2 * points];
                    for (int k = 0; k < points; k++) {
                        xy[2 * k] = x + random.nextInt(-reach, reach);
                        xy[2 * k + 1] = y + random.nextInt(-reach, reach);
                    }
                    polygons.addPolygon(group, xy, points);
                }
                case OCTAGONAL -> {
                    int w = random.nextInt(1, reach);
                    int cut = random.nextInt(0, w + 1);
                    polygons.addPolygon(
                            group,
                            new long[] {x + cut, y, x + w, y, x + w + cut, y + cut, x + w, y + w, x, y + w, x, y + cut},
                            6);
                }
                case SLIVERS -> {
                    long dx = random.nextInt(-span, span);
                    long dy = random.nextInt(-span, span);
                    polygons.addPolygon(
                            group,
                            new long[] {x, y, x + dx, y + dy, x + dx + random.nextInt(2), y + dy + 1, x, y + 1},
                            4);
                }
                case COPIES -> {
                    if (copy == null || random.nextInt(8) == 0) {
                        copy = new long[10];
                        for (int k = 0; k < 10; k++) {
                            copy[k] = random.nextInt(-span, span);
                        }
                    }
                    polygons.addPolygon(group, copy, 5);
                }
            }
        }
        return polygons;
    }

    @ParameterizedTest
    @ValueSource(ints = {4, 20, 300, 20000})
    void agreesWithTheSlabOracle(int span) {
        SplittableRandom random = new SplittableRandom(span);
        for (int i = 0; i < CASES; i++) {
            Kind kind = Kind.values()[i % Kind.values().length];
            int groups = 1 + i % 3;
            Polygons polygons = draw(random, kind, 1 + random.nextInt(14), groups, span);
            SlabOracle oracle = new SlabOracle(polygons, groups);
            Trapezoids merged = merge(polygons, groups);
            String name = "case " + i + " " + kind + " groups " + groups;
            double[] area = new double[groups];
            for (int t = 0; t < merged.size(); t++) {
                area[merged.group(t)] += merged.area(t);
            }
            double rounding = 1e-12 * span * span;
            assertArrayEquals(oracle.area, area, rounding + oracle.areaAllowance, name);
            assertEquals(oracle.outline, outline(merged), 0.05 + 1e-3 * oracle.outline, name);
            if (kind == Kind.RECTANGLES || kind == Kind.OCTAGONAL) {
                assertEquals(oracle.shapes, merged.shapes(), name);
            }
            checkOrder(merged, name);
        }
    }

    @ParameterizedTest
    @ValueSource(ints = {4, 20, 300, 20000})
    void bandsThreadsAndOrderChangeNothing(int span) {
        SplittableRandom random = new SplittableRandom(1000 + span);
        try (Workers two = Workers.of(2)) {
            for (int i = 0; i < CASES; i++) {
                Kind kind = Kind.values()[i % Kind.values().length];
                int groups = 1 + i % 3;
                Polygons polygons = draw(random, kind, 1 + random.nextInt(40), groups, span);
                Trapezoids once = merge(polygons, groups);
                Trapezoids cut = Merge.of(polygons, groups, two, Progress.NONE, 1 + i % 20, 1e9);
                assertSame(once, cut, "case " + i + " " + kind);
                assertSame(once, merge(backwards(polygons), groups), "backwards, case " + i + " " + kind);
            }
        }
    }

    /** The same polygons in reverse, each gone round the other way from another of its points. */
    private static Polygons backwards(Polygons polygons) {
        List<long[]> all = new ArrayList<>();
        List<Integer> groups = new ArrayList<>();
        polygons.forEach(new Polygons.Visitor() {
            @Override
            public void rectangle(int group, long x0, long y0, long x1, long y1) {
                all.add(new long[] {x0, y0, x0, y1, x1, y1, x1, y0});
                groups.add(group);
            }

            @Override
            public void polygon(int group, long[] xy, int from, int vertices) {
                long[] turned = new long[2 * vertices];
                for (int k = 0; k < vertices; k++) {
                    int source = from + 2 * ((vertices + 1 - k) % vertices);
                    turned[2 * k] = xy[source];
                    turned[2 * k + 1] = xy[source + 1];
                }
                all.add(turned);
                groups.add(group);
            }
        });
        Polygons turned = new Polygons();
        for (int i = all.size() - 1; i >= 0; i--) {
            turned.addPolygon(groups.get(i), all.get(i), all.get(i).length / 2);
        }
        return turned;
    }

    static Trapezoids merge(Polygons polygons, int groups) {
        try (Workers one = Workers.of(1)) {
            return Merge.of(polygons, groups, one, Progress.NONE, Integer.MAX_VALUE, 0);
        }
    }

    static double outline(Trapezoids t) {
        double sum = 0;
        for (int i = 0; i < t.size(); i++) {
            double h = t.yTop(i) - t.yBottom(i);
            if (t.leftExposed(i)) {
                sum += Math.hypot(h, t.xLeftTop(i) - t.xLeftBottom(i));
            }
            if (t.rightExposed(i)) {
                sum += Math.hypot(h, t.xRightTop(i) - t.xRightBottom(i));
            }
        }
        for (int e = 0; e < t.exposedFirst(t.size()); e++) {
            sum += t.exposedTo(e) - t.exposedFrom(e);
        }
        return sum;
    }

    static void assertSame(Trapezoids a, Trapezoids b, String name) {
        assertArrayEquals(a.yBottom, b.yBottom, name);
        assertArrayEquals(a.yTop, b.yTop, name);
        assertArrayEquals(a.xLeftBottom, b.xLeftBottom, name);
        assertArrayEquals(a.xRightBottom, b.xRightBottom, name);
        assertArrayEquals(a.xLeftTop, b.xLeftTop, name);
        assertArrayEquals(a.xRightTop, b.xRightTop, name);
        assertArrayEquals(a.group, b.group, name);
        assertArrayEquals(a.sides, b.sides, name);
        assertArrayEquals(a.shapeFirst, b.shapeFirst, name);
        assertArrayEquals(a.exposedFirst, b.exposedFirst, name);
        assertArrayEquals(a.exposedFrom, b.exposedFrom, name);
        assertArrayEquals(a.exposedTo, b.exposedTo, name);
        assertArrayEquals(a.exposedOnTop, b.exposedOnTop, name);
    }

    /** What the class comment of {@link Trapezoids} promises about order and form. */
    static void checkOrder(Trapezoids t, String name) {
        assertEquals(0, t.first(0), name);
        assertEquals(t.size(), t.first(t.shapes()), name);
        for (int s = 0; s < t.shapes(); s++) {
            assertTrue(t.first(s) < t.first(s + 1), name);
            if (s > 0) {
                checkBefore(t, t.first(s - 1), t.first(s), name);
            }
            for (int i = t.first(s) + 1; i < t.first(s + 1); i++) {
                assertEquals(t.group(i - 1), t.group(i), name);
                checkBefore(t, i - 1, i, name);
            }
        }
        for (int i = 0; i < t.size(); i++) {
            assertTrue(t.yBottom(i) < t.yTop(i), name);
            assertTrue(t.xLeftBottom(i) <= t.xRightBottom(i) && t.xLeftTop(i) <= t.xRightTop(i), name);
            for (int e = t.exposedFirst(i); e < t.exposedFirst(i + 1); e++) {
                boolean top = t.exposedOnTop(e);
                assertTrue(t.exposedFrom(e) >= (top ? t.xLeftTop(i) : t.xLeftBottom(i)), name);
                assertTrue(t.exposedTo(e) <= (top ? t.xRightTop(i) : t.xRightBottom(i)), name);
                assertTrue(t.exposedFrom(e) < t.exposedTo(e), name);
            }
        }
    }

    private static void checkBefore(Trapezoids t, int a, int b, String name) {
        assertTrue(
                t.yBottom(a) < t.yBottom(b) || (t.yBottom(a) == t.yBottom(b) && t.xLeftBottom(a) <= t.xLeftBottom(b)),
                name);
    }
}
