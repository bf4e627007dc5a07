package evendose.layout;

import evendose.Internal;
import evendose.Supported;
import evendose.files.BadInputException;
import evendose.geometry.Polygons;
import java.io.Serializable;
import java.util.Collections;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.SortedMap;
import java.util.TreeMap;

/**
 * Turns a layout's cells into plain polygons, or counts them without doing so.
 *
 * <p>Transformations are composed first and applied once; vertices are then rounded to the nearest dbu (halves upwards), so
 * nested placements do not gather rounding errors. Placements at multiples of 90 degrees with magnification 1 are exact. Both
 * are held by {@code FlattenerPropertyTest}; polygon counts, areas and extents of real layouts by
 * {@code LayoutFilesReferenceTest}.
 *
 * <p>Immutable: the {@code with} methods return changed copies.
 *
 * @serial exclude
 */
@Supported
public final class Flattener implements Serializable {
    private static final long serialVersionUID = 1L;

    /** Most polygons that are produced unless another limit is set. */
    public static final long DEFAULT_LIMIT = 2_000_000_000L;

    private final Layout layout;
    private final List<Cell> roots;
    private final long limit;
    private final Window window;

    private Flattener(Layout layout, List<Cell> roots, long limit, Window window) {
        this.layout = layout;
        this.roots = roots;
        this.limit = limit;
        this.window = window;
    }

    /**
     * Flattens all top cells of {@code layout}, completely.
     *
     * @param layout what is to be flattened
     * @return a flattener without limits
     */
    public static Flattener of(Layout layout) {
        return new Flattener(layout, layout.topCells(), DEFAULT_LIMIT, null);
    }

    /** {@return the layout that is flattened} */
    public Layout layout() {
        return layout;
    }

    /**
     * Flattens one cell instead.
     *
     * @param name name of the cell
     * @return another flattener
     * @throws BadInputException if there is no such cell
     */
    public Flattener withCell(String name) {
        Cell cell = layout.cells().get(name);
        if (cell == null) {
            List<String> tops = layout.topCells().stream().map(Cell::name).toList();
            String some =
                    String.join(", ", tops.subList(0, Math.min(10, tops.size()))) + (tops.size() > 10 ? ", ..." : "");
            throw new BadInputException(
                    layout.source(), "", "there is no cell named '" + name + "'; its top cells are: " + some);
        }
        return new Flattener(layout, List.of(cell), limit, window);
    }

    /**
     * Refuses to produce more polygons than this.
     *
     * @param polygons at least 1
     * @return another flattener
     */
    public Flattener withLimit(long polygons) {
        if (polygons < 1) {
            throw new IllegalArgumentException("the limit must be at least 1, got " + polygons);
        }
        return new Flattener(layout, roots, polygons, window);
    }

    /**
     * Keeps only shapes whose bounding box meets {@code window}, in coordinates of the flattened cells and in the order of the
     * whole. The time this takes follows the copies that lie in or near the window, not the number of all, and so does the
     * limit.
     *
     * @param window the part to keep
     * @return another flattener
     */
    @Internal
    public Flattener withWindow(Window window) {
        return new Flattener(layout, roots, limit, window);
    }

    /**
     * {@return number of polygons on each layer after flattening, counted without flattening; the window plays no part} Numbers beyond
     * the range of {@code long} are given as {@code Long.MAX_VALUE}.
     */
    public SortedMap<Layer, Long> counts() {
        Map<Cell, SortedMap<Layer, Long>> byCell = new HashMap<>();
        for (Cell cell : layout.bottomUp()) {
            SortedMap<Layer, Long> counts = new TreeMap<>();
            cell.shapes().forEach((layer, shapes) -> counts.put(layer, shapes.size()));
            for (Reference reference : cell.references()) {
                SortedMap<Layer, Long> child =
                        byCell.getOrDefault(layout.cells().get(reference.cell()), Collections.emptySortedMap());
                long times = reference.repetition().count();
                child.forEach((layer, count) ->
                        counts.merge(layer, FlattenKernel.saturatedProduct(count, times), FlattenKernel::saturatedSum));
            }
            counts.values().removeIf(count -> count == 0);
            byCell.put(cell, counts);
        }
        SortedMap<Layer, Long> sum = new TreeMap<>();
        for (Cell root : roots) {
            byCell.get(root).forEach((layer, count) -> sum.merge(layer, count, FlattenKernel::saturatedSum));
        }
        return sum;
    }

    /**
     * {@return the sum of the areas of all polygons of some layers, dbu^2, found without flattening; that of paths without their ends and bends} The window
     * plays no part.
     *
     * @param layers the layers
     */
    @Internal
    public double area(Set<Layer> layers) {
        Map<Cell, Double> byCell = new HashMap<>();
        for (Cell cell : layout.bottomUp()) {
            double area = 0;
            for (Map.Entry<Layer, Shapes> on : cell.shapes().entrySet()) {
                area += layers.contains(on.getKey()) ? on.getValue().area() : 0;
            }
            for (Reference reference : cell.references()) {
                double larger = reference.transform().magnification();
                area += larger
                        * larger
                        * reference.repetition().count()
                        * byCell.getOrDefault(layout.cells().get(reference.cell()), 0.0);
            }
            byCell.put(cell, area);
        }
        return roots.stream().mapToDouble(byCell::get).sum();
    }

    /**
     * {@return a window that holds all polygons of some layers, found without flattening; the window that is set plays no part} Turned
     * placements may leave room at its sides.
     *
     * @param layers the layers, which have shapes
     * @throws BadInputException if the layout extends beyond {@link Polygons#MAX_COORDINATE}
     */
    @Internal
    public Window extent(Set<Layer> layers) {
        Map<Layer, Integer> groups = new HashMap<>();
        layers.forEach(layer -> groups.put(layer, 0));
        return new FlattenKernel(layout, groups, limit, null, new Polygons())
                .extent(roots)
                .window();
    }

    /**
     * {@return how much there is of the polygons that flattening would give, those that meet the window if one is set} Without a window nothing is flattened,
     * and the extent is that of {@link #extent}; with one polygons are looked at one by one, and none is kept.
     *
     * @param layers the layers
     * @throws BadInputException if the layout extends beyond {@link Polygons#MAX_COORDINATE}, or more polygons than the limit meet the window
     */
    @Internal
    public Measured measured(Set<Layer> layers) {
        if (window == null) {
            SortedMap<Layer, Long> counts = counts();
            double polygons = 0;
            for (Layer layer : layers) {
                polygons += counts.getOrDefault(layer, 0L);
            }
            return polygons == 0 ? new Measured.Sum().measured() : new Measured(polygons, area(layers), extent(layers));
        }
        Map<Layer, Integer> groups = new HashMap<>();
        layers.forEach(layer -> groups.put(layer, 0));
        Measured.Sum sum = new Measured.Sum();
        new FlattenKernel(layout, groups, limit, window, sum).run(roots);
        return sum.measured();
    }

    /** {@return the window that is set, through which polygons are chosen; empty if all are taken} */
    @Internal
    public Optional<Window> window() {
        return Optional.ofNullable(window);
    }

    /**
     * {@return what windows hold on some layers, to find equal ones without flattening; the window that is set plays no part}
     *
     * @param groups the wanted layers and the group number of each
     */
    @Internal
    public WindowContents contents(Map<Layer, Integer> groups) {
        return new WindowContents(new FlattenKernel(layout, groups, limit, null, new Polygons()), roots);
    }

    /**
     * Adds the polygons of the given layers to {@code sink}. Paths become polygons. Shapes that rounding leaves without area
     * are dropped.
     *
     * @param groups the wanted layers and the group number that each one's polygons get
     * @param sink takes the polygons
     * @throws BadInputException if there are more polygons than the limit allows (nothing is added then, unless a window is
     *     set), or the layout extends beyond {@link Polygons#MAX_COORDINATE}
     */
    @Internal
    public void flatten(Map<Layer, Integer> groups, Polygons sink) {
        new FlattenKernel(layout, groups, limit, window, sink).run(roots);
    }

    @Override
    public String toString() {
        return "Flattener[" + layout + ", " + roots.size() + " cells at the top]";
    }
}
