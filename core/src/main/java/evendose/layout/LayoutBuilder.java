package evendose.layout;

import evendose.Supported;
import evendose.geometry.Polygons;
import java.util.List;
import java.util.Locale;
import java.util.Objects;

/**
 * Makes a layout of arrays, in um, without a file. All shapes go into one cell named {@value #CELL}.
 *
 * <p>Coordinates are rounded to whole database units (halves upwards), with a warning in the layout if that moves them. Shapes stay in
 * the order in which they are added to their layer; none is dropped, so the k-th shape added to a layer is the layer's k-th polygon.
 */
@Supported
public final class LayoutBuilder {
    /** Name of the cell that holds the shapes. */
    public static final String CELL = "TOP";

    private final DatabaseUnit unit;
    private final Warnings warnings = new Warnings();
    private Cell cell = new Cell(CELL);

    LayoutBuilder(DatabaseUnit unit) {
        this.unit = Objects.requireNonNull(unit, "database unit must not be null");
    }

    /**
     * Adds axis-parallel rectangles.
     *
     * @param layer their layer
     * @param cornersUm four numbers a rectangle, um: x and y of two opposite corners
     * @return this builder
     * @throws IllegalArgumentException if their number is no multiple of four, one is not finite or too large, or a rectangle has no
     *     area once it is rounded
     */
    public LayoutBuilder rectangles(Layer layer, double... cornersUm) {
        if (cornersUm.length % 4 != 0) {
            throw new IllegalArgumentException(
                    "rectangles take four numbers each (x and y of two opposite corners), got " + cornersUm.length);
        }
        Shapes shapes = open().on(layer);
        for (int k = 0; k < cornersUm.length; k += 4) {
            String name = name(layer, shapes);
            boolean kept = shapes.addRectangle(
                    toGrid(cornersUm[k], name),
                    toGrid(cornersUm[k + 1], name),
                    toGrid(cornersUm[k + 2], name),
                    toGrid(cornersUm[k + 3], name));
            require(kept, name);
        }
        return this;
    }

    /**
     * Adds a polygon; a repeated closing point is accepted, and places inside of a self-crossing outline count where it winds about them.
     *
     * @param layer its layer
     * @param verticesUm x and y of each vertex, um
     * @return this builder
     * @throws IllegalArgumentException if there are fewer than three vertices or half of one, a coordinate is not finite or too large, or
     *     all vertices lie on one horizontal or vertical line once they are rounded
     */
    public LayoutBuilder polygon(Layer layer, double... verticesUm) {
        if (verticesUm.length % 2 != 0 || verticesUm.length < 6) {
            throw new IllegalArgumentException(
                    "a polygon takes x and y of at least three vertices, got " + verticesUm.length + " numbers");
        }
        Shapes shapes = open().on(layer);
        String name = name(layer, shapes);
        long[] xy = new long[verticesUm.length];
        for (int k = 0; k < xy.length; k++) {
            xy[k] = toGrid(verticesUm[k], name);
        }
        require(shapes.addPolygon(xy, xy.length / 2), name);
        return this;
    }

    /** {@return the layout} A builder makes one; nothing can be added afterwards. */
    public Layout build() {
        Layout layout = new Layout("arrays", unit, List.of(open()), warnings.sentences());
        cell = null;
        return layout;
    }

    private Cell open() {
        if (cell == null) {
            throw new IllegalStateException("the layout has been built; begin another one");
        }
        return cell;
    }

    private static String name(Layer layer, Shapes shapes) {
        return String.format(Locale.ROOT, "shape %d of layer %s", shapes.size(), layer);
    }

    private long toGrid(double um, String name) {
        if (!(Math.abs(unit.fromUm(um)) < Polygons.MAX_COORDINATE)) {
            throw new IllegalArgumentException(name + ": coordinate " + um + " um is not within "
                    + unit.toUm(Polygons.MAX_COORDINATE) + " um of the origin; coordinates are wanted in um");
        }
        if (!unit.isOnGrid(um)) {
            warnings.add("a coordinate is not a multiple of the database unit of " + unit.um() + " um; rounded", name);
        }
        return unit.nearest(um);
    }

    private void require(boolean kept, String name) {
        if (!kept) {
            throw new IllegalArgumentException(name + " has no area on a grid of " + unit.um() + " um");
        }
    }
}
