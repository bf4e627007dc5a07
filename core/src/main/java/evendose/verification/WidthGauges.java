package evendose.verification;

import evendose.files.BadInputException;
import evendose.files.CsvTable;
import evendose.geometry.EdgeGrid;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.IdentityHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;

/**
 * Finds places to measure widths: automatically, some for every class of drawn width and surrounding density that random
 * places on the outline come across, or as a table says.
 */
public final class WidthGauges {
    /** Widths within this ratio are one class. */
    private static final double WIDTH_RATIO = 1.02;

    private static final double DENSITY_STEP = 0.1;

    /** Opposite edges within this angle are parallel enough for a width. */
    private static final double PARALLEL = Math.cos(Math.toRadians(20));

    private final OutlineEdges edges;
    private final Exposure exposure;
    private final PointEnergy density;

    /**
     * A finder.
     *
     * @param edges the drawn outline
     * @param exposure the doses and what they expose
     * @param density share of the surroundings that is covered: energy of the main term with all factors 1, over its weight
     */
    public WidthGauges(OutlineEdges edges, Exposure exposure, PointEnergy density) {
        this.edges = edges;
        this.exposure = exposure;
        this.density = density;
    }

    /**
     * {@return gauges across lines at the given places, at most {@code perClass} of a class, classes by rising width and density}
     *
     * @param places where to look for lines
     * @param known where the outline is complete: lines that leave it are not measured
     * @param widestUm widest shape to measure, um
     * @param perClass most gauges of lines of one kind
     * @param mostGauges most gauges in all
     */
    List<WidthGauge> automatic(
            EdgeGauges places, EdgeGauges.Region known, double widestUm, int perClass, int mostGauges) {
        Map<Long, List<WidthGauge>> classes = new TreeMap<>();
        for (int p = 0; p < places.size(); p++) {
            if (places.corner[p]) {
                continue;
            }
            int e = places.edge[p];
            WidthGauge gauge =
                    across("", places.xUm[p], places.yUm[p], -edges.outX(e), -edges.outY(e), edges.layer(e), widestUm);
            if (gauge != null
                    && known.holds(
                            gauge.xUm() + gauge.drawnUm() * gauge.ux(), gauge.yUm() + gauge.drawnUm() * gauge.uy())
                    && isClear(gauge)) {
                List<WidthGauge> list = classes.computeIfAbsent(classOf(gauge), k -> new ArrayList<>());
                if (list.size() < perClass && list.stream().noneMatch(g -> sameLine(g, gauge))) {
                    list.add(gauge);
                }
            }
        }
        List<WidthGauge> found = chosen(classes, mostGauges);
        List<WidthGauge> named = new ArrayList<>();
        for (WidthGauge g : found) {
            named.add(g.named("W" + (named.size() + 1)));
        }
        return named;
    }

    /** Gauges of lines of one kind have the same number. */
    private static long classOf(WidthGauge gauge) {
        long widthClass = Math.round(Math.log(gauge.drawnUm()) / Math.log(WIDTH_RATIO));
        long densityClass = (long) (gauge.density() / DENSITY_STEP);
        return (widthClass << 8) + densityClass;
    }

    /** At most {@code mostGauges} of some classes, each in its order. */
    private static List<WidthGauge> chosen(Map<Long, List<WidthGauge>> classes, int mostGauges) {
        List<WidthGauge> found = new ArrayList<>();
        int largest = classes.values().stream().mapToInt(List::size).max().orElse(0);
        // Narrow classes first in each round, so that a limit thins all classes alike.
        for (int round = 0; round < largest; round++) {
            for (List<WidthGauge> list : classes.values()) {
                if (round < list.size() && found.size() < mostGauges) {
                    found.add(list.get(round));
                }
            }
        }
        found.sort((a, b) -> {
            int byWidth = Double.compare(a.drawnUm(), b.drawnUm());
            return byWidth != 0 ? byWidth : Double.compare(a.density(), b.density());
        });
        return found;
    }

    /**
     * Chooses among the widths of several parts of a layout as {@link #automatic} chooses gauges of one, and names them anew.
     *
     * @param perClass most gauges of lines of one kind: the first ones
     * @param mostGauges most gauges in all
     */
    static List<LineWidth> chosen(List<LineWidth> widths, int perClass, int mostGauges) {
        Map<Long, List<WidthGauge>> classes = new TreeMap<>();
        Map<WidthGauge, LineWidth> measured = new IdentityHashMap<>();
        for (LineWidth width : widths) {
            List<WidthGauge> list = classes.computeIfAbsent(classOf(width.gauge()), k -> new ArrayList<>());
            if (list.size() < perClass) {
                list.add(width.gauge());
                measured.put(width.gauge(), width);
            }
        }
        List<LineWidth> found = new ArrayList<>();
        for (WidthGauge g : chosen(classes, mostGauges)) {
            found.add(measured.get(g).at(g.named("W" + (found.size() + 1))));
        }
        return found;
    }

    /** Whether two gauges measure the same line at the same place, perhaps from opposite sides. */
    private static boolean sameLine(WidthGauge a, WidthGauge b) {
        return Math.hypot(a.middleXUm() - b.middleXUm(), a.middleYUm() - b.middleYUm()) < a.drawnUm();
    }

    /** Whether the far end of a gauge lies away from corners too: what rounds there is no width. */
    private boolean isClear(WidthGauge g) {
        EdgeGrid.Hit hit = edges.ray(g.xUm(), g.yUm(), g.ux(), g.uy(), 1e-6, 1.001 * g.drawnUm());
        double s = exposure.psf().direct().rangeUm();
        if (hit == null) {
            return false;
        }
        double x = g.xUm() + hit.distanceUm() * g.ux();
        double y = g.yUm() + hit.distanceUm() * g.uy();
        double t = Math.hypot(x - edges.xUm(hit.edge(), 0), y - edges.yUm(hit.edge(), 0)) / edges.lengthUm(hit.edge());
        return !edges.nearCorner(hit.edge(), t, EdgeGauges.CORNER_RANGES * s, s);
    }

    /** The gauge from a place on an edge in a direction, or null if no edge is opposite. */
    private WidthGauge across(String name, double x, double y, double ux, double uy, int layer, double widest) {
        double skip = 1e-6;
        EdgeGrid.Hit hit = edges.ray(x, y, ux, uy, skip, widest);
        if (hit == null || edges.outX(hit.edge()) * ux + edges.outY(hit.edge()) * uy < PARALLEL) {
            return null;
        }
        EdgeGrid.Hit behind = edges.ray(x, y, -ux, -uy, skip, widest);
        return new WidthGauge(
                name,
                x,
                y,
                ux,
                uy,
                hit.distanceUm(),
                behind == null ? Double.POSITIVE_INFINITY : behind.distanceUm(),
                density.at(x, y),
                layer);
    }

    /**
     * Gauges at the given places.
     *
     * @param widestUm widest shape to measure, um
     * @throws IllegalArgumentException naming the place if it does not lie between two edges of a shape
     */
    List<WidthGauge> at(List<GaugePlace> places, double widestUm) {
        List<WidthGauge> gauges = new ArrayList<>();
        for (GaugePlace place : places) {
            gauges.add(at(place, gauges.size(), widestUm)
                    .orElseThrow(() -> new IllegalArgumentException("gauge " + outside(place, widestUm))));
        }
        return gauges;
    }

    private Optional<WidthGauge> at(GaugePlace place, int before, double widestUm) {
        WidthGauge gauge = place.angleDeg().isEmpty()
                ? narrowest(place.xUm(), place.yUm(), widestUm)
                : through(
                        place.xUm(),
                        place.yUm(),
                        Math.toRadians(place.angleDeg().getAsDouble()),
                        widestUm);
        return Optional.ofNullable(gauge).map(g -> g.named(place.name().isEmpty() ? "W" + (before + 1) : place.name()));
    }

    private static String outside(GaugePlace place, double widestUm) {
        return String.format(
                Locale.ROOT,
                "%sthe point (%s, %s) um is not inside a shape of the chosen layers that is at most %s um wide there",
                place.name().isEmpty() ? "" : place.name() + ": ",
                place.xUm(),
                place.yUm(),
                widestUm);
    }

    /**
     * {@return gauges from a table with a header row: {@code x_um,y_um} of a point inside a line, and optionally {@code angle_deg} of
     * the gauge line (counter-clockwise from the x axis; without it, the narrowest way across is taken) and {@code name}}
     *
     * @param file the CSV file
     * @param widestUm widest line or gap looked for, um
     * @throws BadInputException if the table is not sound, or a point does not lie between two edges of a shape
     */
    public List<WidthGauge> fromTable(Path file, double widestUm) {
        List<WidthGauge> gauges = new ArrayList<>();
        try (CsvTable table = CsvTable.open(file, "x_um", "y_um")) {
            while (table.next()) {
                GaugePlace place = new GaugePlace(
                        table.text("name"),
                        table.number("x_um"),
                        table.number("y_um"),
                        table.optionalNumber("angle_deg"));
                gauges.add(at(place, gauges.size(), widestUm).orElseThrow(() -> table.error(outside(place, widestUm))));
            }
        }
        if (gauges.isEmpty()) {
            throw new BadInputException(file.toString(), "", "holds no gauge");
        }
        return gauges;
    }

    private WidthGauge narrowest(double x, double y, double widest) {
        WidthGauge best = null;
        for (int degree = 0; degree < 180; degree += 5) {
            WidthGauge g = through(x, y, Math.toRadians(degree), widest);
            if (g != null && (best == null || g.drawnUm() < best.drawnUm())) {
                best = g;
            }
        }
        if (best == null) {
            return null;
        }
        // Turn to stand upright on the edge that was found.
        EdgeGrid.Hit hit = edges.ray(x, y, -best.ux(), -best.uy(), 0, widest);
        WidthGauge upright = hit == null
                ? null
                : through(x, y, Math.atan2(-edges.outY(hit.edge()), -edges.outX(hit.edge())), widest);
        return upright != null && upright.drawnUm() <= best.drawnUm() ? upright : best;
    }

    private WidthGauge through(double x, double y, double angle, double widest) {
        double ux = Math.cos(angle);
        double uy = Math.sin(angle);
        // cos(90 degrees) is not quite 0 in binary; upright gauges should be upright.
        ux = Math.abs(ux) < 1e-15 ? 0 : ux;
        uy = Math.abs(uy) < 1e-15 ? 0 : uy;
        EdgeGrid.Hit back = edges.ray(x, y, -ux, -uy, 0, widest);
        if (back == null || edges.outX(back.edge()) * -ux + edges.outY(back.edge()) * -uy <= 0) {
            return null;
        }
        return across(
                "", x - back.distanceUm() * ux, y - back.distanceUm() * uy, ux, uy, edges.layer(back.edge()), widest);
    }
}
