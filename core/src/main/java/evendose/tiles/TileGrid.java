package evendose.tiles;

import evendose.correction.CorrectionOptions;
import evendose.correction.LayerRole;
import evendose.energy.SharedGrids;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Window;
import evendose.pieces.TileFrame;
import java.io.Serializable;
import java.util.List;
import java.util.Set;
import java.util.stream.Collectors;

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

    private final double[] x;
    private final double[] y;
    private final double wholeDbu;
    private final double rimDbu;
    private final SharedGrids shared;

    private TileGrid(double[] x, double[] y, double wholeDbu, double rimDbu, SharedGrids shared) {
        this.x = x;
        this.y = y;
        this.wholeDbu = wholeDbu;
        this.rimDbu = rimDbu;
        this.shared = shared;
    }

    /**
     * {@return about so many tiles, nearly square}
     *
     * @param flattener gives the shapes of the layout
     * @param roles the layers to expose
     * @param options how to correct
     * @param tiles number of tiles wanted, at least 1
     */
    public static TileGrid of(Flattener flattener, List<LayerRole> roles, CorrectionOptions options, int tiles) {
        Set<Layer> layers = roles.stream().map(LayerRole::layer).collect(Collectors.toSet());
        Window extent = flattener.extent(layers);
        DatabaseUnit unit = flattener.layout().unit();
        double width = extent.right() - extent.left();
        double height = extent.top() - extent.bottom();
        int columns = Math.max(1, Math.min(tiles, (int) Math.rint(Math.sqrt(tiles * width / height))));
        int rows = (int) Math.max(1, Math.rint((double) tiles / columns));
        SharedGrids shared = SharedGrids.of(options.longRange().with(options.psf()), new double[] {
            unit.toUm(extent.left()), unit.toUm(extent.bottom()), unit.toUm(extent.right()), unit.toUm(extent.top())
        });
        double grid = options.rules().isExact() || options.rules().gridUm() == 0
                ? 1
                : unit.fromUm(options.rules().gridUm());
        double whole = options.oneDosePerShape()
                ? 0.5 * Math.min(width / columns, height / rows)
                : WHOLE_CELLS * unit.fromUm(options.maxPieceUm());
        return new TileGrid(
                borders(extent.left(), extent.right(), columns, grid),
                borders(extent.bottom(), extent.top(), rows, grid),
                whole,
                unit.fromUm(shared.ownReachUm() + RIM_CELLS * options.maxPieceUm()),
                shared);
    }

    private static double[] borders(double from, double to, int n, double grid) {
        double[] borders = new double[n + 1];
        for (int k = 0; k <= n; k++) {
            borders[k] = grid * Math.rint((from + (to - from) * k / n) / grid);
        }
        borders[0] = Double.NEGATIVE_INFINITY;
        borders[n] = Double.POSITIVE_INFINITY;
        return borders;
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

    /** {@return the grids that the tiles share} */
    public SharedGrids shared() {
        return shared;
    }
}
