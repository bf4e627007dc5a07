package evendose.layout;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Polygons;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;

class LayoutBuilderTest {
    private static final Layer LINES = new Layer(1, 0);

    private static LayoutBuilder nm() {
        return Layout.builder(DatabaseUnit.NANOMETRE);
    }

    private static String refusal(Runnable doing) {
        return assertThrows(IllegalArgumentException.class, doing::run).getMessage();
    }

    @Test
    void shapesKeepTheirOrderOnTheirLayer() {
        Layer marks = new Layer(2, 5);
        Layout layout = nm().rectangles(LINES, 1, 1, 0, 0, 2, 0, 3, 1)
                .rectangles(marks, -1, -1, -2, -2)
                .polygon(LINES, 0, 0, 4, 0, 0, 4.001, 0, 0)
                .build();
        List<String> found = new ArrayList<>();
        Polygons polygons = new Polygons();
        Flattener.of(layout).flatten(Map.of(LINES, 0, marks, 1), polygons);
        polygons.forEach(new Polygons.Visitor() {
            @Override
            public void rectangle(int group, long x0, long y0, long x1, long y1) {
                found.add(group + ": " + x0 + "," + y0 + "," + x1 + "," + y1);
            }

            @Override
            public void polygon(int group, long[] xy, int from, int vertices) {
                found.add(group + ": " + vertices + " to " + xy[from + 2 * vertices - 1]);
            }
        });
        assertEquals(
                List.of("0: 0,0,1000,1000", "0: 2000,0,3000,1000", "0: 3 to 4001", "1: -2000,-2000,-1000,-1000"),
                found);
        assertEquals(List.of(), layout.warnings());
    }

    @Test
    void whatIsOffTheGridIsRoundedAndTold() {
        Layout layout = nm().rectangles(LINES, 0.0004, -0.0015, 1.0005, 1).build();
        Shapes shapes = layout.cells().get(LayoutBuilder.CELL).shapes().get(LINES);
        assertEquals(0, shapes.left());
        assertEquals(-1, shapes.bottom());
        assertEquals(1001, shapes.right());
        assertEquals(1, layout.warnings().size());
        assertTrue(layout.warnings().get(0).contains("3 cases, the first at shape 0 of layer 1/0"));
    }

    @Test
    void whatIsNoShapeIsRefusedByItsPlace() {
        assertTrue(refusal(() -> nm().rectangles(LINES, 0, 0, 1)).contains("four numbers each"));
        assertTrue(refusal(() -> nm().rectangles(LINES, 0, 0, 1, 1, 2, 2, 2.0004, 3))
                .contains("shape 1 of layer 1/0 has no area on a grid of 0.001 um"));
        assertTrue(refusal(() -> nm().rectangles(LINES, 0, 0, Double.NaN, 1)).contains("coordinate NaN um"));
        assertTrue(refusal(() -> nm().rectangles(LINES, 0, 0, 1e10, 1)).contains("wanted in um"));
        assertTrue(refusal(() -> nm().polygon(LINES, 0, 0, 1, 1)).contains("at least three vertices"));
        assertTrue(refusal(() -> nm().polygon(LINES, 0, 0, 1, 1, 0, 1, 2)).contains("at least three vertices"));
        assertTrue(refusal(() -> nm().polygon(LINES, 0, 0, 1, 0, 2, 0)).contains("shape 0 of layer 1/0 has no area"));
    }

    @Test
    void oneBuilderMakesOneLayout() {
        LayoutBuilder builder = nm().rectangles(LINES, 0, 0, 1, 1);
        builder.build();
        assertThrows(IllegalStateException.class, () -> builder.rectangles(LINES, 2, 0, 3, 1));
        assertThrows(IllegalStateException.class, builder::build);
    }
}
