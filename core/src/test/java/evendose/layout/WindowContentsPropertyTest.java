package evendose.layout;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Polygons;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Windows with one description hold the same polygons, as flattening both shows. */
class WindowContentsPropertyTest {
    private static final Layer LAYER = new Layer(1, 0);
    private static final Map<Layer, Integer> GROUPS = Map.of(LAYER, 0);

    /** Arrays of arrays, mirrored and turned, with repeated and lone shapes, single placements and steps that are not whole. */
    private static Layout random(SplittableRandom random) {
        Cell dot = new Cell("DOT");
        dot.on(LAYER).addPolygon(new long[] {0, 0, 40, 0, 10, 30 + random.nextInt(20)}, 3);
        Cell block = new Cell("BLOCK");
        block.add(new Reference("DOT", turned(random, 0, 0), grid(6, 5, 100)));
        block.on(LAYER).addRectangle(0, 600, 30, 640, grid(6, 3, 100));
        block.on(LAYER).addRectangle(700, 0, 720 + random.nextInt(40), 900);
        Cell top = new Cell("TOP");
        top.add(new Reference("BLOCK", turned(random, 0, 0), grid(7, 7, 1000)));
        for (int k = 0; k < 12; k++) {
            top.add(new Reference("BLOCK", Transform.shift(10_000 + 1000 * (k % 4), 1000 * (k / 4)), Repetition.ONCE));
        }
        int uneven = random.nextInt(2);
        top.add(new Reference("DOT", Transform.shift(0, 12_000), new Repetition.Grid(70, 3, 7000 + uneven, 0, 0, 300)));
        top.on(LAYER).addRectangle(3000, 3000, 3100 + random.nextInt(1000), 3500);
        return new Layout("random", DatabaseUnit.NANOMETRE, List.of(dot, block, top), List.of());
    }

    private static Transform turned(SplittableRandom random, long x, long y) {
        return new Transform(x, y, random.nextBoolean(), 1, 90 * random.nextInt(4));
    }

    private static Repetition grid(int columns, int rows, long step) {
        return new Repetition.Grid(columns, rows, columns * step, 0, 0, rows * step);
    }

    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5, 6})
    void windowsWithOneDescriptionHoldTheSame(long seed) {
        Flattener flattener = Flattener.of(random(new SplittableRandom(seed)));
        WindowContents contents = flattener.contents(GROUPS);
        for (int side : List.of(450, 2600)) {
            Map<List<Long>, List<String>> known = new HashMap<>();
            int same = 0;
            for (long y = -8000; y < 14_000; y += 500) {
                for (long x = -8000; x < 15_000; x += 500) {
                    Window window = new Window(x, y, x + side, y + side);
                    List<Long> description = new ArrayList<>();
                    for (long part : contents.of(window).orElseThrow()) {
                        description.add(part);
                    }
                    List<String> held = held(flattener, window);
                    List<String> before = known.putIfAbsent(description, held);
                    if (before != null) {
                        assertEquals(before, held, window.toString());
                        same += held.isEmpty() ? 0 : 1;
                    }
                }
            }
            assertTrue(same > 20, same + " windows of " + side + " are like one before");
        }
    }

    /** Polygons that meet a window, relative to its corner. */
    private static List<String> held(Flattener flattener, Window window) {
        Polygons polygons = new Polygons();
        flattener.withWindow(window).flatten(GROUPS, polygons);
        List<String> held = new ArrayList<>();
        for (long[] xy : Listing.vertices(polygons)) {
            for (int k = 0; k < xy.length; k += 2) {
                xy[k] -= window.left();
                xy[k + 1] -= window.bottom();
            }
            held.add(Arrays.toString(xy));
        }
        Collections.sort(held);
        return held;
    }

    @Test
    void stepsOfArraysAreFoundFromTheOutermost() {
        Cell dot = new Cell("DOT");
        dot.on(LAYER).addRectangle(0, 0, 50, 50);
        Cell block = new Cell("BLOCK");
        block.add(new Reference("DOT", Transform.shift(0, 0), new Repetition.Grid(9, 5, 900, 0, 0, 1000)));
        Cell chip = new Cell("CHIP");
        chip.add(new Reference("BLOCK", new Transform(0, 0, false, 1, 90), grid(3, 3, 5000)));
        Cell wafer = new Cell("WAFER");
        for (long[] at : new long[][] {{0, 0}, {40_000, 0}, {80_000, 60_000}, {0, 30_000}}) {
            wafer.add(new Reference("CHIP", Transform.shift(at[0], at[1]), Repetition.ONCE));
        }
        Layout layout = new Layout("wafer", DatabaseUnit.NANOMETRE, List.of(dot, block, chip, wafer), List.of());
        List<long[]> periods = Flattener.of(layout).contents(GROUPS).periods();
        assertEquals(3, periods.size());
        assertArrayEquals(new long[] {40_000, 30_000}, periods.get(0));
        assertArrayEquals(new long[] {5000, 5000}, periods.get(1));
        assertArrayEquals(new long[] {200, 100}, periods.get(2), "the block is turned");
    }
}
