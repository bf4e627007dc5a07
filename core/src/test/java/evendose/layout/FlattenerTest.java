package evendose.layout;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTimeoutPreemptively;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import evendose.geometry.Polygons;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.junit.jupiter.api.Test;

class FlattenerTest {
    private static final Layer ONE = new Layer(1, 0);

    private static Layout layout(Cell... cells) {
        return new Layout("test.gds", DatabaseUnit.NANOMETRE, List.of(cells), List.of());
    }

    private static Cell square(String name) {
        Cell cell = new Cell(name);
        cell.on(ONE).addRectangle(0, 0, 10, 10);
        return cell;
    }

    private static void place(Cell in, String name, long x, long y) {
        in.add(new Reference(name, Transform.shift(x, y), Repetition.ONCE));
    }

    private static Polygons flatten(Flattener flattener) {
        Polygons polygons = new Polygons();
        flattener.flatten(Map.of(ONE, 5), polygons);
        return polygons;
    }

    /** 5 x 8, a triangle of 6 in three copies, a path of 10 by 2; enlarged twice in four copies, and once beside. */
    @Test
    void areasAreSummedWithoutFlattening() {
        Cell inner = new Cell("INNER");
        inner.on(ONE).addRectangle(0, 0, 5, 8);
        inner.on(ONE).addPolygon(new long[] {0, 0, 0, 4, 3, 0}, 3, new Repetition.Grid(3, 1, 60, 0, 0, 9));
        inner.on(ONE).addPath(PathStyle.of(2, PathStyle.End.FLUSH), new long[] {0, 0, 6, 8}, 2);
        inner.on(new Layer(2, 0)).addRectangle(0, 0, 100, 100);
        Cell top = new Cell("TOP");
        top.add(new Reference("INNER", new Transform(0, 0, true, 2, 90), new Repetition.Grid(2, 2, 400, 0, 0, 400)));
        place(top, "INNER", 7, 7);
        assertEquals(17 * (40 + 18 + 20), Flattener.of(layout(inner, top)).area(Set.of(ONE)), 1e-9);
    }

    @Test
    void allTopCellsOrOneByName() {
        Cell a = new Cell("A");
        place(a, "S", 100, 0);
        Layout layout = layout(a, square("B"), square("S"));
        assertEquals(
                List.of("A", "B"), layout.topCells().stream().map(Cell::name).toList());
        assertEquals(2, flatten(Flattener.of(layout)).size());
        Polygons one = flatten(Flattener.of(layout).withCell("A"));
        assertArrayEquals(
                new long[] {100, 0, 110, 0, 110, 10, 100, 10},
                Listing.vertices(one).get(0));
        assertEquals(1, one.size());
        BadInputException e =
                assertThrows(BadInputException.class, () -> Flattener.of(layout).withCell("C"));
        assertEquals("test.gds: there is no cell named 'C'; its top cells are: A, B", e.getMessage());
    }

    @Test
    void layersGetTheirGroups() {
        Cell cell = square("A");
        cell.on(new Layer(2, 3)).addRectangle(20, 20, 30, 30);
        cell.on(new Layer(7, 7)).addRectangle(40, 40, 50, 50);
        Polygons polygons = new Polygons();
        Flattener.of(layout(cell)).flatten(Map.of(ONE, 4, new Layer(2, 3), 1), polygons);
        List<Integer> groups = new ArrayList<>();
        polygons.forEach(new Polygons.Visitor() {
            @Override
            public void rectangle(int group, long x0, long y0, long x1, long y1) {
                groups.add(group);
            }

            @Override
            public void polygon(int group, long[] xy, int from, int vertices) {
                groups.add(-1);
            }
        });
        assertEquals(List.of(4, 1), groups);
    }

    @Test
    void missingCellsAreWarnedOf() {
        Cell a = square("A");
        place(a, "NOWHERE", 0, 0);
        place(a, "NOWHERE", 5, 0);
        Layout layout = layout(a);
        assertEquals(
                List.of("cell NOWHERE is placed (first in A) but missing from the file; left out"), layout.warnings());
        assertEquals(1, flatten(Flattener.of(layout)).size());
    }

    @Test
    void loopsAreRefused() {
        Cell a = square("A");
        Cell b = square("B");
        place(a, "B", 0, 0);
        place(b, "A", 0, 0);
        BadInputException e = assertThrows(BadInputException.class, () -> layout(square("TOP"), a, b));
        assertEquals(
                "test.gds, cell B: places A, which directly or through others contains B; remove one of the references",
                e.getMessage());
        Cell self = square("SELF");
        place(self, "SELF", 1, 1);
        assertThrows(BadInputException.class, () -> layout(self));
    }

    @Test
    void nestingIsLimited() {
        List<Cell> cells = new ArrayList<>();
        for (int i = 0; i < Layout.MAX_DEPTH; i++) {
            Cell cell = square("C" + i);
            if (i > 0) {
                place(cell, "C" + (i - 1), 1, 0);
            }
            cells.add(cell);
        }
        assertEquals(
                Layout.MAX_DEPTH,
                flatten(Flattener.of(layout(cells.toArray(new Cell[0])))).size());
        Cell top = new Cell("TOP");
        place(top, "C" + (Layout.MAX_DEPTH - 1), 0, 0);
        cells.add(top);
        assertThrows(BadInputException.class, () -> layout(cells.toArray(new Cell[0])));
    }

    /** Eight levels of arrays of 30,000 x 30,000: counted at once, refused before any polygon is made. */
    @Test
    void absurdExpansionIsRefused() {
        List<Cell> cells = new ArrayList<>(List.of(square("C0")));
        for (int i = 1; i <= 8; i++) {
            Cell cell = new Cell("C" + i);
            cell.add(new Reference(
                    "C" + (i - 1), Transform.shift(0, 0), new Repetition.Grid(30_000, 30_000, 300_000, 0, 0, 300_000)));
            cells.add(cell);
        }
        Layout layout = layout(cells.toArray(new Cell[0]));
        assertEquals(
                Map.of(ONE, 900_000_000L), Flattener.of(layout).withCell("C1").counts());
        assertEquals(
                Map.of(ONE, 810_000_000_000_000_000L),
                Flattener.of(layout).withCell("C2").counts());
        assertEquals(Map.of(ONE, Long.MAX_VALUE), Flattener.of(layout).counts());
        assertThrows(BadInputException.class, () -> flatten(Flattener.of(layout)));
        Flattener limited = Flattener.of(layout).withCell("C1").withLimit(899_999_999);
        BadInputException e = assertThrows(BadInputException.class, () -> flatten(limited));
        assertTrue(e.getMessage().startsWith("test.gds: flattening gives 900000000 polygons"), e.getMessage());
    }

    @Test
    void coordinatesBeyondTheLimitAreRefused() {
        Cell top = new Cell("TOP");
        place(top, "S", Polygons.MAX_COORDINATE - 5, 0);
        assertThrows(BadInputException.class, () -> flatten(Flattener.of(layout(top, square("S")))));
        Cell huge = new Cell("HUGE");
        huge.add(new Reference("BIG", new Transform(0, 0, false, 1e75, 30), Repetition.ONCE));
        List<Cell> cells = new ArrayList<>(List.of(square("S"), huge));
        Cell big = new Cell("BIG");
        big.add(new Reference("S", new Transform(0, 0, false, 1e300, 30), Repetition.ONCE));
        cells.add(big);
        assertThrows(BadInputException.class, () -> flatten(Flattener.of(layout(cells.toArray(new Cell[0])))));
    }

    @Test
    void theWindowKeepsWhatMeetsIt() {
        Cell top = new Cell("TOP");
        top.add(new Reference("S", Transform.shift(0, 0), new Repetition.Grid(100, 100, 10_000, 0, 0, 10_000)));
        Layout layout = layout(top, square("S"));
        Polygons polygons = flatten(Flattener.of(layout).withWindow(new Window(510, 5, 600, 205)));
        // Columns 5 (touching with its right side) and 6, rows 0, 1 and 2.
        assertEquals(6, polygons.size());
        assertEquals(500, polygons.left());
        assertEquals(610, polygons.right());
        assertEquals(0, polygons.bottom());
        assertEquals(210, polygons.top());
        assertEquals(
                new Measured(6, 600, new Window(500, 0, 610, 210)),
                Flattener.of(layout).withWindow(new Window(510, 5, 600, 205)).measured(Set.of(new Layer(1, 0))));
        assertEquals(
                new Measured(10_000, 1e6, new Window(0, 0, 9910, 9910)),
                Flattener.of(layout).measured(Set.of(new Layer(1, 0))));
        Flattener limited =
                Flattener.of(layout).withWindow(new Window(510, 5, 600, 205)).withLimit(5);
        assertThrows(BadInputException.class, () -> flatten(limited));
    }

    /** The largest array there is, 4.6e18 copies, placed aslant; and the same as a repeated shape. */
    @Test
    void theWindowFindsCopiesByTheirIndices() {
        int most = Integer.MAX_VALUE;
        Repetition.Grid grid = new Repetition.Grid(most, most, 1000L * most, 0, 0, 1000L * most);
        Cell array = new Cell("ARRAY");
        array.add(new Reference("S", Transform.shift(0, 0), grid));
        Cell repeated = new Cell("REPEATED");
        repeated.on(ONE).addRectangle(0, 0, 10, 10, grid);
        for (Cell cell : List.of(array, repeated)) {
            Cell top = new Cell("TOP");
            top.add(new Reference(cell.name(), new Transform(0, 0, false, 1, 30), Repetition.ONCE));
            Layout layout = layout(top, cell, square("S"));
            assertEquals(
                    Map.of(ONE, (long) most * most),
                    Flattener.of(layout).withCell("TOP").counts());
            double at = 1000.0 * (most / 2);
            double cos = Math.sqrt(0.75);
            double x = cos * at - 0.5 * at;
            double y = 0.5 * at + cos * at;
            Window window = new Window((long) x - 500, (long) y - 500, (long) x + 500, (long) y + 500);
            Flattener flattener = Flattener.of(layout).withCell("TOP").withWindow(window);
            List<long[]> found = assertTimeoutPreemptively(
                    Duration.ofSeconds(30), () -> Listing.vertices(flatten(flattener.withLimit(1))));
            assertEquals(1, found.size());
            double[] expected = {
                x, y, x + 10 * cos, y + 5, x + 10 * cos - 5, y + 5 + 10 * cos, x - 5, y + 10 * cos,
            };
            assertArrayEquals(expected, Listing.doubles(found.get(0)), 0.51);
        }
    }

    /** An array of arrays: 2^74 copies, more than counting holds. */
    @Test
    void theWindowFindsCopiesInNestedArrays() {
        int inner = 1 << 20;
        int outer = 1 << 17;
        Cell array = new Cell("ARRAY");
        array.add(new Reference(
                "S", Transform.shift(0, 0), new Repetition.Grid(inner, inner, 16L * inner, 0, 0, 16L * inner)));
        long step = 16L * inner;
        Cell top = new Cell("TOP");
        top.add(new Reference(
                "ARRAY", Transform.shift(0, 0), new Repetition.Grid(outer, outer, step * outer, 0, 0, step * outer)));
        Layout layout = layout(top, array, square("S"));
        assertEquals(Map.of(ONE, Long.MAX_VALUE), Flattener.of(layout).counts());
        // Where four arrays meet, one copy of each.
        long x = 70_000 * step;
        long y = 3 * step;
        Flattener flattener = Flattener.of(layout).withWindow(new Window(x - 7, y - 7, x, y));
        List<long[]> found = assertTimeoutPreemptively(
                Duration.ofSeconds(30), () -> Listing.vertices(flatten(flattener.withLimit(4))));
        assertEquals(
                List.of(
                        new Window(x - 16, y - 16, x - 6, y - 6),
                        new Window(x, y - 16, x + 10, y - 6),
                        new Window(x - 16, y, x - 6, y + 10),
                        new Window(x, y, x + 10, y + 10)),
                found.stream().map(p -> new Window(p[0], p[1], p[4], p[5])).toList());
    }

    /** An absolute width is larger than the box of the cell that holds the path suggests. */
    @Test
    void theWindowKnowsAbsoluteWidths() {
        Cell wire = new Cell("WIRE");
        wire.on(ONE).addPath(new PathStyle(100, true, PathStyle.End.FLUSH, 0, 0), new long[] {0, 0, 1000, 0}, 2);
        Cell top = new Cell("TOP");
        top.add(new Reference("WIRE", new Transform(0, 0, false, 0.01, 0), Repetition.ONCE));
        Polygons all = flatten(Flattener.of(layout(top, wire)));
        assertArrayEquals(
                new long[] {0, -50, 10, -50, 10, 50, 0, 50},
                Listing.vertices(all).get(0));
        assertEquals(
                1,
                flatten(Flattener.of(layout(top, wire)).withWindow(new Window(2, 40, 3, 41)))
                        .size());
        assertEquals(
                0,
                flatten(Flattener.of(layout(top, wire)).withWindow(new Window(2, 51, 3, 52)))
                        .size());
    }

    @Test
    void magnificationScalesRelativeWidths() {
        Cell wire = new Cell("WIRE");
        wire.on(ONE).addPath(PathStyle.of(100, PathStyle.End.FLUSH), new long[] {0, 0, 1000, 0}, 2);
        Cell top = new Cell("TOP");
        top.add(new Reference("WIRE", new Transform(0, 0, false, 3, 90), Repetition.ONCE));
        assertArrayEquals(
                new long[] {-150, 0, 150, 0, 150, 3000, -150, 3000},
                Listing.vertices(flatten(Flattener.of(layout(top, wire)))).get(0));
    }

    /** A step of 10/3 dbu: places are rounded one by one, errors do not add up. */
    @Test
    void arrayStepsNeedNotBeWhole() {
        Cell top = new Cell("TOP");
        top.add(new Reference("S", Transform.shift(0, 0), new Repetition.Grid(3000, 1, 10_000, 0, 0, 0)));
        List<long[]> flat = Listing.vertices(flatten(Flattener.of(layout(top, square("S")))));
        for (int i = 0; i < 3000; i++) {
            assertEquals(Math.floorDiv(2L * 10_000 * i + 3000, 2 * 3000), flat.get(i)[0]);
        }
    }
}
