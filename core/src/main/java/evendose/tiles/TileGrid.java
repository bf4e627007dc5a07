package evendose.tiles;

import evendose.correction.CorrectionOptions;
import evendose.correction.DrawnPattern;
import evendose.correction.LayerRole;
import evendose.energy.SharedGrids;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Window;
import evendose.layout.WindowContents;
import evendose.pieces.TileFrame;
import java.io.Serializable;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.stream.IntStream;

/**
 * The tiles of a layout, row by row from the lower left, and the grids that they share. Borders lie on the grid of the pieces.
 *
 * @serial exclude
 */
public final class TileGrid implements Serializable {
    private static final long serialVersionUID = 1L;

    /** Shapes up to this many cells of dose units are not cut by borders: they have the units that a correction without tiles gives them. */
    private static final double WHOLE_CELLS = 2;

    /** Units between a tile and the end of its surroundings, beyond the reach of the terms that tiles compute for themselves. */
    private static final double RIM_CELLS = 1;

    /** Places closer than that are the same: corners lie on whole dbu, and sums of lengths have rounding. */
    private static final long SIXTEENTHS = 16;

    private final double[] x;
    private final double[] y;
    private final double wholeDbu;
    private final double rimDbu;
    private final double dbuUm;
    private final SharedGrids shared;

    /** For the density about each place, or null if no loading of the development asks for it. */
    private final SharedGrids density;

    /** Left, lower, right and upper side of the window whose doses are written, um, or null for all. */
    private final double[] windowUm;

    private final int[] alike;

    private TileGrid(
            double[] x,
            double[] y,
            double wholeDbu,
            double rimDbu,
            double dbuUm,
            SharedGrids shared,
            Optional<SharedGrids> density,
            Optional<double[]> windowUm) {
        this.x = x;
        this.y = y;
        this.wholeDbu = wholeDbu;
        this.rimDbu = rimDbu;
        this.dbuUm = dbuUm;
        this.shared = shared;
        this.density = density.orElse(null);
        this.windowUm = windowUm.orElse(null);
        this.alike = new int[tiles()];
        Arrays.setAll(alike, t -> t);
    }

    /**
     * {@return about so many tiles, nearly square} Where arrays make up most of the layout, tiles are as large as whole numbers of their steps, so that
     * many are alike.
     *
     * @param flattener gives the shapes of the layout
     * @param roles the layers to expose
     * @param options how to correct
     * @param tiles number of tiles wanted, at least 1
     */
    public static TileGrid of(Flattener flattener, List<LayerRole> roles, CorrectionOptions options, int tiles) {
        return of(flattener, roles, options, Optional.empty(), tiles);
    }

    /**
     * {@return as above, of which the doses of a window are written} Tiles cover the window and what adds to the energy in it; shapes that reach
     * farther belong to the tiles at the end.
     *
     * @param flattener gives the shapes of the layout; those of {@link DrawnPattern#part} if there is a window
     * @param roles the layers to expose
     * @param options how to correct
     * @param windowUm left, lower, right and upper side, um; empty for all doses
     * @param tiles number of tiles wanted, at least 1
     */
    public static TileGrid of(
            Flattener flattener,
            List<LayerRole> roles,
            CorrectionOptions options,
            Optional<double[]> windowUm,
            int tiles) {
        Map<Layer, Integer> layers = new HashMap<>();
        roles.forEach(role -> layers.put(role.layer(), layers.size()));
        Window all = DrawnPattern.measured(flattener, roles).extent();
        Window extent = flattener.window().map(all::and).orElse(all);
        DatabaseUnit unit = flattener.layout().unit();
        double width = extent.right() - extent.left();
        double height = extent.top() - extent.bottom();
        double gridDbu = options.rules().isExact() || options.rules().gridUm() == 0
                ? 1
                : unit.fromUm(options.rules().gridUm());
        WindowContents contents = flattener.contents(layers);
        TileSteps steps =
                TileSteps.of(contents.periods(), Math.sqrt(width * height / tiles), Math.max(1, Math.round(gridDbu)));
        int columns = Math.max(1, Math.min(tiles, (int) Math.rint(Math.sqrt(tiles * width / height))));
        int rows = (int) Math.max(1, Math.rint((double) tiles / columns));
        double[] x = borders(extent.left(), extent.right(), columns, gridDbu, steps.x());
        double[] y = borders(extent.bottom(), extent.top(), rows, gridDbu, steps.y());
        double[] boundsUm = {
            unit.toUm(all.left()), unit.toUm(all.bottom()), unit.toUm(all.right()), unit.toUm(all.top())
        };
        double stepUm = unit.toUm(steps.common());
        SharedGrids shared = SharedGrids.of(options.longRange().with(options.psf()), boundsUm, stepUm);
        Optional<SharedGrids> density = options.longRange()
                .loading()
                .map(loading -> SharedGrids.ofMean(
                        loading.rangeUm(), boundsUm, stepUm, options.psf().edgeReachUm()));
        double whole = options.oneDosePerShape()
                ? 0.5 * Math.min(width / (x.length - 1), height / (y.length - 1))
                : WHOLE_CELLS * unit.fromUm(options.maxPieceUm());
        // Beyond the end of what a tile sees shapes are missing, beside which the outline moves as well.
        double rimUm = shared.ownReachUm()
                + RIM_CELLS * options.maxPieceUm()
                + 2 * Math.abs(options.biasUm())
                + density.map(SharedGrids::ownReachUm).orElse(0.0);
        TileGrid grid = new TileGrid(x, y, whole, unit.fromUm(rimUm), unit.um(), shared, density, windowUm);
        if (steps.common() > 0) {
            grid.findAlike(contents, extent, windows(flattener, windowUm), gridDbu);
        }
        return grid;
    }

    /** Windows that tell tiles apart: through which shapes are seen, and which doses are written; sides in dbu. */
    private static List<double[]> windows(Flattener flattener, Optional<double[]> windowUm) {
        List<double[]> windows = new ArrayList<>();
        flattener.window().ifPresent(w -> windows.add(new double[] {w.left(), w.bottom(), w.right(), w.top()}));
        windowUm.ifPresent(w -> windows.add(
                Arrays.stream(w).map(flattener.layout().unit()::fromUm).toArray()));
        return windows;
    }

    /** Borders, the first and the last at infinity; after even steps, or else evenly. */
    private static double[] borders(double from, double to, int n, double grid, long step) {
        int count = step > 0 ? (int) Math.max(1, Math.rint((to - from) / step)) : n;
        double[] borders = new double[count + 1];
        for (int k = 0; k <= count; k++) {
            double even = step > 0 ? from + (double) k * step : from + (to - from) * k / n;
            borders[k] = grid * Math.rint(even / grid);
        }
        borders[0] = Double.NEGATIVE_INFINITY;
        borders[count] = Double.POSITIVE_INFINITY;
        return borders;
    }

    /**
     * Finds tiles that see the same, on nodes and on a grid of pieces that lie alike about them. Descriptions are compared in
     * full, and made again for that: to keep all would take too much memory.
     */
    private void findAlike(WindowContents contents, Window extent, List<double[]> windows, double gridDbu) {
        Map<Integer, List<Integer>> byHash = new HashMap<>();
        for (int t = 0; t < alike.length; t++) {
            Optional<long[]> seen = seen(t, contents, extent);
            if (seen.isEmpty()) {
                continue;
            }
            List<Integer> firsts = byHash.computeIfAbsent(Arrays.hashCode(seen.get()), h -> new ArrayList<>());
            int tile = t;
            alike[t] = firsts.stream()
                    .filter(f -> canBeAlike(tile, f, gridDbu)
                            && windows.stream().allMatch(w -> isSeenAlike(w, tile, f))
                            && Arrays.equals(
                                    seen.get(), seen(f, contents, extent).orElseThrow()))
                    .findFirst()
                    .orElse(t);
            if (alike[t] == t) {
                firsts.add(t);
            }
        }
    }

    /** What a tile sees; beyond the ends of the layout there is nothing to see. */
    private Optional<long[]> seen(int t, WindowContents contents, Window extent) {
        TileFrame tile = tile(t);
        double m = tile.margin() + 1;
        return contents.of(new Window(
                (long) Math.floor(Math.max(extent.left(), tile.left()) - m),
                (long) Math.floor(Math.max(extent.bottom(), tile.bottom()) - m),
                (long) Math.ceil(Math.min(extent.right(), tile.right()) + m),
                (long) Math.ceil(Math.min(extent.top(), tile.top()) + m)));
    }

    private boolean canBeAlike(int t, int other, double gridDbu) {
        double dx = dx(t, other);
        double dy = dy(t, other);
        TileFrame a = tile(t);
        TileFrame b = tile(other);
        // Tiles at different ends differ by infinity, and by NaN from each other.
        return (dx == 0 || dx % gridDbu == 0 && a.right() - b.right() == dx)
                && (dy == 0 || dy % gridDbu == 0 && a.top() - b.top() == dy)
                && shared.repeatsAfter(dbuUm * dx, dbuUm * dy)
                && (density == null || density.repeatsAfter(dbuUm * dx, dbuUm * dy));
    }

    /** Whether the sides of a window lie alike beside two tiles, or beyond what both see. */
    private boolean isSeenAlike(double[] window, int t, int other) {
        TileFrame a = tile(t);
        TileFrame b = tile(other);
        return (dx(t, other) == 0
                        || seen(window[0], a.left(), a.right()) == seen(window[0], b.left(), b.right())
                                && seen(window[2], a.left(), a.right()) == seen(window[2], b.left(), b.right()))
                && (dy(t, other) == 0
                        || seen(window[1], a.bottom(), a.top()) == seen(window[1], b.bottom(), b.top())
                                && seen(window[3], a.bottom(), a.top()) == seen(window[3], b.bottom(), b.top()));
    }

    /** Where a side lies from the lower border of a tile, or from the end of what the tile sees if that is nearer. */
    private double seen(double side, double low, double high) {
        double margin = 0.5 * wholeDbu + rimDbu + 1;
        return Math.max(-margin, Math.min(high - low + margin, side - low));
    }

    /** {@return left, lower, right and upper side of the window whose doses are written, um, a new array; empty for all} */
    public Optional<double[]> windowUm() {
        return Optional.ofNullable(windowUm).map(double[]::clone);
    }

    /** {@return number of tiles} */
    public int tiles() {
        return columns() * rows();
    }

    /** {@return number of columns of tiles} */
    public int columns() {
        return x.length - 1;
    }

    /** {@return number of rows of tiles} */
    public int rows() {
        return y.length - 1;
    }

    /**
     * {@return a tile}
     *
     * @param tile its number, from 0
     */
    public TileFrame tile(int tile) {
        int c = tile % columns();
        int r = tile / columns();
        return new TileFrame(x[c], y[r], x[c + 1], y[r + 1], wholeDbu, rimDbu);
    }

    /**
     * {@return the first tile that sees the same as a tile does, moved by {@link #dx} and {@link #dy}; the tile itself if none does}
     *
     * @param tile its number
     */
    public int alike(int tile) {
        return alike[tile];
    }

    /** What of a tile lies in the window whose doses are written; empty if nothing does. */
    Optional<TileFrame> inWindow(int tile) {
        TileFrame all = tile(tile);
        if (windowUm == null) {
            return Optional.of(all);
        }
        double[] w = Arrays.stream(windowUm).map(c -> Math.rint(c / dbuUm)).toArray();
        double left = Math.max(all.left(), w[0]);
        double bottom = Math.max(all.bottom(), w[1]);
        double right = Math.min(all.right(), w[2]);
        double top = Math.min(all.top(), w[3]);
        return left < right && bottom < top
                ? Optional.of(new TileFrame(left, bottom, right, top, wholeDbu, rimDbu))
                : Optional.empty();
    }

    /** {@return share of the tiles that see nothing that another before them sees: the others may have its correction} */
    public double share() {
        return (double) IntStream.range(0, alike.length)
                        .filter(t -> alike[t] == t)
                        .count()
                / alike.length;
    }

    /**
     * {@return how far a tile lies from another along x, dbu}
     *
     * @param tile its number
     * @param from number of the other
     */
    public double dx(int tile, int from) {
        return tile % columns() == from % columns()
                ? 0
                : tile(tile).left() - tile(from).left();
    }

    /**
     * {@return how far a tile lies from another along y, dbu}
     *
     * @param tile its number
     * @param from number of the other
     */
    public double dy(int tile, int from) {
        return tile / columns() == from / columns()
                ? 0
                : tile(tile).bottom() - tile(from).bottom();
    }

    /** A number for a place that no regular step of the layout leaves alone, and moving by a tile does. */
    int mark(double xUm, double yUm) {
        long h = 0x1_0000_0001L * beside(x, xUm / dbuUm) + beside(y, yUm / dbuUm);
        h = (h ^ h >>> 31) * 0x9E3779B97F4A7C15L;
        return (int) (h >>> 33);
    }

    /** How far a place lies from the border of its tile, 1/16 dbu. */
    private static long beside(double[] borders, double place) {
        int at = Arrays.binarySearch(borders, place);
        int low = at >= 0 ? at : -at - 2;
        double from = Double.isInfinite(borders[low]) ? borders[low + 1] : borders[low];
        return Math.round(SIXTEENTHS * (place - (Double.isInfinite(from) ? 0 : from)));
    }

    /** {@return grids for the density about each place; empty if no loading of the development asks for it, or it is a tile's own affair} */
    Optional<SharedGrids> density() {
        return Optional.ofNullable(density).filter(d -> d.nodes() > 0);
    }

    /** {@return the grids that the tiles share} */
    public SharedGrids shared() {
        return shared;
    }
}
