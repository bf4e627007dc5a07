package evendose.layout;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Polygons;
import java.awt.geom.AffineTransform;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Random nested layouts against two plain expansions: one by the JDK's affine transformations, one in integers. */
class FlattenerPropertyTest {
    private static final Layer LAYER = new Layer(3, 1);

    /** Three levels; each cell has a triangle, a rectangle and references to cells of the level below. */
    private static Layout random(SplittableRandom random, boolean rightAngles) {
        List<Cell> cells = new ArrayList<>();
        for (int level = 0; level < 3; level++) {
            for (int k = 0; k < 2; k++) {
                Cell cell = new Cell("L" + level + "." + k);
                cell.on(LAYER).addPolygon(coordinates(random, 6), 3);
                long[] r = coordinates(random, 2);
                cell.on(LAYER)
                        .addRectangle(r[0], r[1], r[0] + random.nextInt(1000, 5000), r[1] + random.nextInt(1000, 5000));
                for (int n = 0; level > 0 && n < 3; n++) {
                    long[] c = coordinates(random, 2);
                    Transform transform = new Transform(
                            c[0],
                            c[1],
                            random.nextBoolean(),
                            rightAngles ? 1 : random.nextDouble(0.8, 2),
                            rightAngles ? 90 * random.nextInt(-4, 5) : random.nextDouble(-400, 400));
                    int columns = random.nextInt(1, 4);
                    int rows = random.nextInt(1, 4);
                    long[] s = coordinates(random, 4);
                    if (rightAngles) {
                        for (int i = 0; i < 4; i++) {
                            s[i] *= i < 2 ? columns : rows;
                        }
                    }
                    String below = "L" + (level - 1) + "." + random.nextInt(2);
                    cell.add(new Reference(below, transform, new Repetition(columns, rows, s[0], s[1], s[2], s[3])));
                }
                cells.add(cell);
            }
        }
        return new Layout("random", DatabaseUnit.NANOMETRE, cells, List.of());
    }

    private static long[] coordinates(SplittableRandom random, int n) {
        return random.longs(n, -200_000, 200_000).toArray();
    }

    @ParameterizedTest
    @ValueSource(ints = {1, 2, 3, 4, 5, 6, 7, 8})
    void agreesWithAffineTransformations(int seed) {
        Layout layout = random(new SplittableRandom(seed), seed % 2 == 0);
        List<double[]> expected = new ArrayList<>();
        layout.topCells().forEach(cell -> expand(layout, cell, new AffineTransform(), expected));
        Polygons polygons = Listing.flat(layout);
        List<long[]> actual = Listing.vertices(polygons);
        assertEquals(expected.size(), actual.size());
        assertEquals(Map.of(LAYER, (long) expected.size()), Flattener.of(layout).counts());
        int turned = 0;
        for (int i = 0; i < actual.size(); i++) {
            long[] a = actual.get(i);
            double[] e = expected.get(i);
            assertEquals(e.length, a.length);
            turned += e[1] != e[3] && e[0] != e[2] ? 1 : 0;
            if (e.length == 8 && seed % 2 == 0) {
                // The reader of the flat list sees a turned rectangle from its lower left corner again.
                e = new double[] {
                    Math.min(e[0], e[4]), Math.min(e[1], e[5]), Math.max(e[0], e[4]), Math.min(e[1], e[5]),
                    Math.max(e[0], e[4]), Math.max(e[1], e[5]), Math.min(e[0], e[4]), Math.max(e[1], e[5])
                };
            }
            for (int k = 0; k < a.length; k++) {
                assertEquals(e[k], a[k], 0.5 + 1e-6);
            }
        }
        assertTrue(turned > 0);
    }

    private static void expand(Layout layout, Cell cell, AffineTransform to, List<double[]> flat) {
        Shapes shapes = cell.shapes().get(LAYER);
        shapes.forEach(new Shapes.Visitor() {
            @Override
            public void rectangle(long x0, long y0, long x1, long y1) {
                add(new double[] {x0, y0, x1, y0, x1, y1, x0, y1});
            }

            @Override
            public void polygon(long[] xy, int points) {
                double[] copy = new double[2 * points];
                for (int i = 0; i < copy.length; i++) {
                    copy[i] = xy[i];
                }
                add(copy);
            }

            @Override
            public void path(PathStyle style, long[] spine, int points) {
                throw new AssertionError("no paths here");
            }

            private void add(double[] xy) {
                to.transform(xy, 0, xy, 0, xy.length / 2);
                flat.add(xy);
            }
        });
        for (Reference reference : cell.references()) {
            Repetition r = reference.repetition();
            for (int row = 0; row < r.rows(); row++) {
                for (int column = 0; column < r.columns(); column++) {
                    Transform t = reference.transform();
                    AffineTransform next = new AffineTransform(to);
                    next.translate(
                            column * ((double) r.columnSpanX() / r.columns()),
                            column * ((double) r.columnSpanY() / r.columns()));
                    next.translate(row * ((double) r.rowSpanX() / r.rows()), row * ((double) r.rowSpanY() / r.rows()));
                    next.translate(t.x(), t.y());
                    next.rotate(Math.toRadians(t.angleDegrees()));
                    next.scale(t.magnification(), t.magnification());
                    next.scale(1, t.mirrored() ? -1 : 1);
                    expand(layout, layout.cells().get(reference.cell()), next, flat);
                }
            }
        }
    }

    /** Right angles far from the origin, where a rounding error in the composition would show: exact integers. */
    @ParameterizedTest
    @ValueSource(ints = {11, 12, 13})
    void rightAnglesAreExact(int seed) {
        SplittableRandom random = new SplittableRandom(seed);
        Cell leaf = new Cell("LEAF");
        long[] triangle = random.longs(6, -(1L << 38), 1L << 38).toArray();
        leaf.on(LAYER).addPolygon(triangle, 3);
        List<Cell> cells = new ArrayList<>(List.of(leaf));
        long[] expected = triangle.clone();
        for (int level = 0; level < 12; level++) {
            long x = random.nextLong(-(1L << 37), 1L << 37);
            long y = random.nextLong(-(1L << 37), 1L << 37);
            boolean mirrored = random.nextBoolean();
            int quarters = random.nextInt(4);
            Cell cell = new Cell("C" + level);
            String below = cells.get(cells.size() - 1).name();
            cell.add(new Reference(below, new Transform(x, y, mirrored, 1, 90.0 * quarters), Repetition.ONCE));
            cells.add(cell);
            for (int i = 0; i < 6; i += 2) {
                long px = expected[i];
                long py = mirrored ? -expected[i + 1] : expected[i + 1];
                for (int q = 0; q < quarters; q++) {
                    long turned = -py;
                    py = px;
                    px = turned;
                }
                expected[i] = px + x;
                expected[i + 1] = py + y;
            }
        }
        Layout layout = new Layout("random", DatabaseUnit.NANOMETRE, cells, List.of());
        assertArrayEquals(expected, Listing.vertices(Listing.flat(layout)).get(0));
    }

    /** With a window, exactly those polygons remain whose box meets it. */
    @ParameterizedTest
    @ValueSource(ints = {21, 22, 23, 24})
    void theWindowFiltersTheWhole(int seed) {
        SplittableRandom random = new SplittableRandom(seed);
        Layout layout = random(random, seed % 2 == 0);
        long[] c = random.longs(2, -500_000, 500_000).toArray();
        Window window = new Window(c[0], c[1], c[0] + 150_000, c[1] + 200_000);
        List<String> expected = new ArrayList<>();
        for (long[] p : Listing.vertices(Listing.flat(layout))) {
            long left = Long.MAX_VALUE;
            long right = Long.MIN_VALUE;
            long bottom = Long.MAX_VALUE;
            long top = Long.MIN_VALUE;
            for (int i = 0; i < p.length; i += 2) {
                left = Math.min(left, p[i]);
                right = Math.max(right, p[i]);
                bottom = Math.min(bottom, p[i + 1]);
                top = Math.max(top, p[i + 1]);
            }
            if (left <= window.right() && right >= window.left() && bottom <= window.top() && top >= window.bottom()) {
                expected.add(Arrays.toString(p));
            }
        }
        Polygons clipped = new Polygons();
        Flattener.of(layout).withWindow(window).flatten(new HashMap<>(Map.of(LAYER, 0)), clipped);
        assertEquals(
                expected,
                Listing.vertices(clipped).stream().map(Arrays::toString).toList());
        assertTrue(!expected.isEmpty() && expected.size() < Listing.flat(layout).size());
    }
}
