package evendose.correction;

import evendose.Internal;
import evendose.Supported;
import evendose.files.BadInputException;
import evendose.geometry.FarCorner;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.Measured;
import evendose.layout.Window;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.lang.ref.SoftReference;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.SortedMap;
import java.util.TreeSet;
import java.util.stream.Collectors;

/**
 * What is drawn: the flattened polygons of some layers of a layout, each layer with what it does in the exposure. Layers are named once,
 * in the roles, so polygons cannot end up with another layer's role.
 *
 * <p>Where polygons of different layers overlap, the layer named first owns the place. Immutable.
 */
@Supported
public final class DrawnPattern {
    /** Shapes within this many of the longest range around a window add to the energy in it. */
    private static final double SURROUNDINGS = 6;

    private static final String IN_WINDOW = " in or around the window";

    private final Polygons polygons;
    private final DatabaseUnit unit;
    private final List<LayerRole> roles;

    /** What {@link #merged} found, kept while there is memory to spare. */
    private SoftReference<Trapezoids> merged = new SoftReference<>(null);

    /**
     * Takes over polygons whose group {@code g} belongs to {@code roles.get(g)}.
     *
     * @throws IllegalArgumentException if there is no role, or a layer has two
     */
    DrawnPattern(Polygons polygons, DatabaseUnit unit, List<LayerRole> roles) {
        this.polygons = polygons;
        this.unit = unit;
        this.roles = List.copyOf(roles);
        if (roles.isEmpty()) {
            throw new IllegalArgumentException("no layer is named to correct; give at least one role");
        }
        Set<Layer> seen = new TreeSet<>();
        for (LayerRole role : roles) {
            if (!seen.add(role.layer())) {
                throw new IllegalArgumentException("layer " + role.layer() + " has two roles; give it one");
            }
        }
    }

    /**
     * {@return the shapes of all top cells of a layout}
     *
     * @param layout the layout
     * @param roles the layers to expose and what each does; other layers are left out and add no background
     * @throws IllegalArgumentException if there is no role, or a layer has two
     * @throws BadInputException if the layout has no shape on one of the layers, reaches farther than a writer, or has a corner that lies
     *     far from all else
     * @throws MemoryLimitException if the correction would need more memory than Java may use
     */
    public static DrawnPattern of(Layout layout, List<LayerRole> roles) {
        return of(Flattener.of(layout), roles);
    }

    /**
     * {@return as {@link #of(Layout, List)}, the shapes that a flattener gives: those of one cell, or no more than so many polygons}
     *
     * @param flattener gives the shapes
     * @param roles the layers to expose and what each does
     */
    public static DrawnPattern of(Flattener flattener, List<LayerRole> roles) {
        DrawnPattern pattern = empty(flattener, roles);
        SortedMap<Layer, Long> counts = flattener.counts();
        double count = 0;
        for (LayerRole role : roles) {
            count += counts.get(role.layer());
        }
        MemoryNeed.require(
                MemoryNeed.ofPolygons(count),
                String.format(
                        Locale.ROOT,
                        "%s flattens to %,.0f polygons on the chosen layers",
                        flattener.layout().source(),
                        count));
        return pattern.filled(flattener, "");
    }

    /**
     * {@return as {@link #of(Flattener, List)}, the shapes of a window and those that add to the energy in it} Correct them, then take
     * {@link DoseTable#within}.
     *
     * @param windowUm left, lower, right and upper side, um
     * @param options the longest range of their point spread function, fogging and loading tells how far to look around the window
     * @param flattener gives the shapes
     * @param roles the layers to expose and what each does
     * @throws IllegalArgumentException if these are not four sides in their order
     */
    public static DrawnPattern around(
            double[] windowUm, CorrectionOptions options, Flattener flattener, List<LayerRole> roles) {
        return empty(flattener, roles).filled(part(windowUm, options, flattener), IN_WINDOW);
    }

    /**
     * {@return a flattener of the shapes of a window and those that add to the energy in it}
     *
     * @param windowUm left, lower, right and upper side, um
     * @param options the longest range of their point spread function, fogging and loading tells how far to look around the window
     * @param flattener gives the shapes
     * @throws IllegalArgumentException if these are not four sides in their order
     */
    @Internal
    public static Flattener part(double[] windowUm, CorrectionOptions options, Flattener flattener) {
        if (windowUm.length != 4 || !(windowUm[0] < windowUm[2]) || !(windowUm[1] < windowUm[3])) {
            throw new IllegalArgumentException(
                    "a window has a left, lower, right and upper side, um, each pair rising, got "
                            + Arrays.toString(windowUm));
        }
        double around = SURROUNDINGS * options.longRange().longestUm(options.psf());
        DatabaseUnit unit = flattener.layout().unit();
        return flattener.withWindow(new Window(
                unit.nearest(windowUm[0] - around),
                unit.nearest(windowUm[1] - around),
                unit.nearest(windowUm[2] + around),
                unit.nearest(windowUm[3] + around)));
    }

    /**
     * {@return how much a flattener gives, without keeping it}
     *
     * @param flattener gives the shapes, perhaps of a {@link #part}
     * @param roles the layers to expose and what each does
     * @throws BadInputException if the layout has no shape on one of the layers, or none of them comes into the part
     */
    @Internal
    public static Measured measured(Flattener flattener, List<LayerRole> roles) {
        empty(flattener, roles);
        Measured all = flattener.measured(roles.stream().map(LayerRole::layer).collect(Collectors.toSet()));
        if (all.polygons() == 0) {
            throw nothing(flattener, IN_WINDOW);
        }
        return all;
    }

    private static BadInputException nothing(Flattener flattener, String where) {
        return new BadInputException(
                flattener.layout().source(), "", "has no shape with area on the chosen layers" + where);
    }

    /**
     * {@return the shapes that come into a window, perhaps none}
     *
     * @param window the window, dbu
     * @param flattener gives the shapes
     * @param roles the layers to expose and what each does
     */
    @Internal
    public static DrawnPattern in(Window window, Flattener flattener, List<LayerRole> roles) {
        DrawnPattern pattern =
                new DrawnPattern(new Polygons(), flattener.layout().unit(), roles);
        pattern.fill(flattener.withWindow(window));
        return pattern;
    }

    private static DrawnPattern empty(Flattener flattener, List<LayerRole> roles) {
        Layout layout = flattener.layout();
        DrawnPattern pattern = new DrawnPattern(new Polygons(), layout.unit(), roles);
        Set<Layer> drawn = flattener.counts().keySet();
        for (LayerRole role : roles) {
            if (!drawn.contains(role.layer())) {
                throw new BadInputException(
                        layout.source(),
                        "",
                        "has no shape on layer " + role.layer()
                                + (drawn.isEmpty()
                                        ? " or any other"
                                        : "; it has "
                                                + String.join(
                                                        ", ",
                                                        drawn.stream()
                                                                .map(Layer::toString)
                                                                .toList())));
            }
        }
        return pattern;
    }

    private DrawnPattern filled(Flattener flattener, String where) {
        fill(flattener);
        if (polygons.size() == 0) {
            throw nothing(flattener, where);
        }
        return this;
    }

    private void fill(Flattener flattener) {
        Map<Layer, Integer> groups = new HashMap<>();
        for (int g = 0; g < roles.size(); g++) {
            groups.put(roles.get(g).layer(), g);
        }
        flattener.flatten(groups, polygons);
        Optional<FarCorner> far = FarCorner.of(polygons, unit.um());
        if (far.isPresent()) {
            throw new BadInputException(
                    flattener.layout().source(), "", far.get().why());
        }
    }

    /** {@return the layers and what each does, in the order in which they were named} */
    public List<LayerRole> roles() {
        return roles;
    }

    /** {@return length of the coordinates' unit} */
    public DatabaseUnit unit() {
        return unit;
    }

    /** {@return number of polygons} */
    public long size() {
        return polygons.size();
    }

    /** {@return the polygons, not to be added to; group {@code g} is the layer of {@code roles().get(g)}} */
    @Internal
    public Polygons polygons() {
        return polygons;
    }

    /**
     * {@return the merged shapes; group {@code g} is the layer of {@code roles().get(g)}} Asked again, it need not merge again: a correction, a
     * study of biases and the outline on which edges are judged all begin here.
     *
     * @param workers threads to compute on
     * @param progress hears how far the work is
     */
    @Internal
    public synchronized Trapezoids merged(Workers workers, Progress progress) {
        Trapezoids found = merged.get();
        if (found == null) {
            found = Merge.of(polygons, roles.size(), workers, progress);
            // Of larger ones a sample is looked at, so nobody asks again.
            if (polygons.size() <= DrawnSample.MOST_POLYGONS) {
                merged = new SoftReference<>(found);
            }
        }
        return found;
    }

    @Override
    public String toString() {
        return "DrawnPattern[" + size() + " polygons on layers "
                + String.join(
                        ", ",
                        roles.stream().map(role -> role.layer().toString()).toList()) + "]";
    }
}
