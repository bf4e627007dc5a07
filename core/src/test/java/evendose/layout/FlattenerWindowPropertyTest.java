package evendose.layout;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import evendose.geometry.Polygons;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Random layouts, flattened in a window, against a filter over all that they flatten to. */
class FlattenerWindowPropertyTest {
    private static final Layer LAYER = new Layer(4, 2);

    /** Three levels; each cell has repeated shapes of every kind and repeated placements of cells of the level below. */
    private static Layout random(SplittableRandom random) {
        List<Cell> cells = new ArrayList<>();
        for (int level = 0; level < 3; level++) {
            for (int n = 0; n < 2; n++) {
                Cell cell = new Cell("L" + level + "." + n);
                Shapes shapes = cell.on(LAYER);
                shapes.addPolygon(coordinates(random, 6, 5000), 3, repetition(random, 3));
                long[] r = coordinates(random, 4, 20_000);
                shapes.addRectangle(r[0], r[1], r[2], r[3], repetition(random, 4));
                PathStyle.End[] ends = PathStyle.End.values();
                PathStyle style = new PathStyle(
                        random.nextLong(1, 900),
                        random.nextInt(4) == 0,
                        ends[random.nextInt(ends.length)],
                        random.nextLong(2000),
                        random.nextLong(2000));
                shapes.addPath(style, coordinates(random, 6, 9000), 3, repetition(random, 2));
                for (int k = 0; level > 0 && k < 2; k++) {
                    long[] at = coordinates(random, 2, 300_000);
                    boolean turned = random.nextInt(3) > 0;
                    Transform transform = new Transform(
                            at[0],
                            at[1],
                            random.nextBoolean(),
                            turned ? Math.exp(random.nextDouble(-3, 1.5)) : 1,
                            turned ? random.nextDouble(-400, 400) : 90 * random.nextInt(4));
                    cell.add(new Reference(
                            "L" + (level - 1) + "." + random.nextInt(2), transform, repetition(random, 4)));
                }
                cells.add(cell);
            }
        }
        return new Layout("random", DatabaseUnit.NANOMETRE, cells, List.of());
    }

    /** Grids with straight, slanted, parallel and missing steps, and lists of places. */
    private static Repetition repetition(SplittableRandom random, int most) {
        if (random.nextInt(5) == 0) {
            return new Repetition.Places(coordinates(random, 2 * random.nextInt(1, most * most), 100_000));
        }
        long[] u = coordinates(random, 2, 100_000);
        long[] v = coordinates(random, 2, 100_000);
        switch (random.nextInt(8)) {
            case 0 -> v = new long[] {0, 0};
            case 1 -> u = new long[] {0, 0};
            case 2 -> v = new long[] {-2 * u[0], -2 * u[1]};
            case 3, 4 -> {
                u[1] = 0;
                v[0] = 0;
            }
            case 5 -> {
                u[0] = 0;
                v[1] = 0;
            }
            default -> {}
        }
        return new Repetition.Grid(random.nextInt(1, most + 1), random.nextInt(1, most + 1), u[0], u[1], v[0], v[1]);
    }

    private static long[] coordinates(SplittableRandom random, int n, long scale) {
        return random.longs(n, -scale, scale).toArray();
    }

    /** Left, lower, right and upper side. */
    private static long[] box(long[] xy) {
        long[] box = {Long.MAX_VALUE, Long.MAX_VALUE, Long.MIN_VALUE, Long.MIN_VALUE};
        for (int i = 0; i < xy.length; i++) {
            box[i & 1] = Math.min(box[i & 1], xy[i]);
            box[2 + (i & 1)] = Math.max(box[2 + (i & 1)], xy[i]);
        }
        return box;
    }

    @ParameterizedTest
    @ValueSource(ints = {1, 2, 3, 4, 5, 6, 7, 8})
    void aWindowGivesTheFilteredWholeInItsOrder(int seed) {
        SplittableRandom random = new SplittableRandom(seed);
        Layout layout = random(random);
        List<long[]> all = Listing.vertices(Listing.flat(layout));
        List<long[]> boxes = all.stream().map(FlattenerWindowPropertyTest::box).toList();
        int some = 0;
        for (int round = 0; round < 100; round++) {
            // Some windows just touch a polygon or just miss it.
            long[] at = boxes.get(random.nextInt(boxes.size()));
            long width = (long) Math.exp(random.nextDouble(14));
            long height = (long) Math.exp(random.nextDouble(14));
            long x = random.nextBoolean() ? at[2] + random.nextInt(2) : at[0] - width - random.nextInt(2);
            long y = random.nextBoolean() ? at[3] : at[1] - random.nextLong(height);
            Window window = new Window(x, y, x + width, y + height);
            List<String> expected = new ArrayList<>();
            for (int i = 0; i < all.size(); i++) {
                long[] b = boxes.get(i);
                if (b[0] <= window.right()
                        && b[2] >= window.left()
                        && b[1] <= window.top()
                        && b[3] >= window.bottom()) {
                    expected.add(Arrays.toString(all.get(i)));
                }
            }
            Flattener flattener = Flattener.of(layout).withWindow(window);
            Polygons polygons = new Polygons();
            flattener.flatten(Map.of(LAYER, 0), polygons);
            List<String> found =
                    Listing.vertices(polygons).stream().map(Arrays::toString).toList();
            assertEquals(String.join("\n", expected), String.join("\n", found), () -> "seed " + seed + ", " + window);
            some += expected.isEmpty() || expected.size() == all.size() ? 0 : 1;

            // The limit counts what the window shows and nothing else. Shapes that rounding leaves without area count
            // as well.
            flattener.withLimit(all.size()).flatten(Map.of(LAYER, 0), new Polygons());
            if (expected.size() > 1) {
                Flattener limited = flattener.withLimit(expected.size() - 1);
                assertThrows(BadInputException.class, () -> limited.flatten(Map.of(LAYER, 0), new Polygons()));
            }
        }
        assertTrue(some > 40, some + " windows showed a part");
        assertTrue(all.size() > 1000, all.size() + " polygons");
    }
}
