package evendose.tiles;

import evendose.correction.Convergence;
import evendose.correction.CorrectionOptions;
import evendose.correction.DoseLevels;
import evendose.correction.DoseTable;
import evendose.correction.DoseTableCsv;
import evendose.correction.LayerRole;
import evendose.correction.Momentum;
import evendose.correction.TileDoses;
import evendose.correction.TileLayout;
import evendose.correction.TileSums;
import evendose.correction.TileTotals;
import evendose.correction.TileUnits;
import evendose.energy.GridPart;
import evendose.energy.SharedGrids;
import evendose.energy.TileModel;
import evendose.geometry.Trapezoids;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.formats.LayoutFormat;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.LargeShapes;
import evendose.pieces.ShapeBox;
import evendose.pieces.TileFrame;
import evendose.pieces.TileView;
import java.io.Serializable;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.stream.IntStream;

/**
 * The correction of a layout in tiles. Each round every tile judges its units, steps, and adds its new doses to the shared grids; these are summed in
 * the order of the tiles, blurred, and handed out again. So doses depend neither on where tiles are worked on nor in which order.
 *
 * <p>Units keep even cells, as those of any layout of more than 300,000 units do. What does not go in tiles yet is refused by {@link #refused}.
 */
public final class TiledCorrection {
    private final TileRunner runner;
    private final TileGrid grid;
    private final List<LayerRole> roles;
    private final CorrectionOptions options;
    private final DatabaseUnit unit;
    private final Workers workers;

    private List<List<GridPart>> energy = List.of();
    private double minFactor = 1;
    private double maxFactor = 1;
    private long units;
    private boolean canJoin;
    private Convergence convergence;

    private TiledCorrection(
            TileRunner runner,
            TileGrid grid,
            DatabaseUnit unit,
            List<LayerRole> roles,
            CorrectionOptions options,
            Workers workers) {
        this.runner = runner;
        this.grid = grid;
        this.unit = unit;
        this.roles = List.copyOf(roles);
        // A listener cannot travel.
        this.options = options.toBuilder().threads(1).progress(Progress.NONE).build();
        this.workers = workers;
    }

    /**
     * {@return what of some options does not go in tiles, for a message; empty if all does}
     *
     * @param options how to correct
     */
    public static Optional<String> refused(CorrectionOptions options) {
        if (options.levels().isPresent() || options.levelStudy()) {
            return Optional.of("a limited number of doses");
        }
        if (options.biasUm() != 0) {
            return Optional.of("a bias");
        }
        if (options.longRange().loading().isPresent()) {
            return Optional.of("the loading of the development");
        }
        return options.psf().table().isPresent()
                ? Optional.of("a point spread function with a table")
                : Optional.empty();
    }

    /**
     * Corrects.
     *
     * @param flattener gives the layout's shapes
     * @param roles the layers to expose and what each does
     * @param options how to correct; nothing of it is {@link #refused}
     * @param grid the tiles
     * @param runner runs them; they have no state yet
     * @param workers threads for what is done once for all tiles
     * @return the correction, from which {@link #tables} asks for the doses
     */
    public static TiledCorrection correct(
            Flattener flattener,
            List<LayerRole> roles,
            CorrectionOptions options,
            TileGrid grid,
            TileRunner runner,
            Workers workers) {
        refused(options).ifPresent(what -> {
            throw new IllegalArgumentException(what + " does not go in tiles");
        });
        TiledCorrection correction =
                new TiledCorrection(runner, grid, flattener.layout().unit(), roles, options, workers);
        correction.cut(flattener);
        correction.solve();
        return correction;
    }

    /** What cutting a tile gives. */
    private record Begun(TileSums sums, int units, boolean canJoin) implements Serializable {}

    /** What merging a tile gives: large shapes of which others may see more, or else what cutting gives, null without shapes. */
    private record Merged(List<LargeShapes.Seen> large, Begun begun) implements Serializable {}

    private void cut(Flattener flattener) {
        TileGrid tiles = grid;
        List<LayerRole> layers = roles;
        CorrectionOptions how = options;
        double dbuUm = unit.um();
        List<Merged> merged = runner.each("cutting tiles", none(), (tile, state, none, crew) -> {
            TileFrame frame = tiles.tile(tile);
            Trapezoids shapes = TileUnits.merged(flattener, layers, how, frame, crew);
            List<LargeShapes.Seen> large = LargeShapes.of(shapes, frame);
            if (large.isEmpty()) {
                return new Merged(
                        large, begin(new TileView(frame, Map.of()), shapes, state, layers, how, tiles, dbuUm, crew));
            }
            state.put(shapes);
            return new Merged(large, null);
        });
        List<Begun> begun = merged.stream().map(Merged::begun).toList();
        if (merged.stream().anyMatch(m -> !m.large.isEmpty())) {
            List<Map<Integer, ShapeBox>> boxes =
                    LargeShapes.boxes(merged.stream().map(Merged::large).toList());
            List<Begun> later = runner.each("cutting tiles", boxes, (tile, state, known, crew) -> {
                Trapezoids shapes = state.take(Trapezoids.class);
                return shapes == null
                        ? null
                        : begin(new TileView(tiles.tile(tile), known), shapes, state, layers, how, tiles, dbuUm, crew);
            });
            List<Begun> before = begun;
            begun = IntStream.range(0, later.size())
                    .mapToObj(t -> before.get(t) == null ? later.get(t) : before.get(t))
                    .toList();
        }
        for (Begun b : begun) {
            if (b != null) {
                units += b.units;
                canJoin |= b.canJoin;
            }
        }
        share(begun.stream().map(b -> b == null ? null : b.sums).toList());
    }

    private static Begun begin(
            TileView tile,
            Trapezoids shapes,
            TileRunner.State state,
            List<LayerRole> roles,
            CorrectionOptions options,
            TileGrid tiles,
            double dbuUm,
            Workers crew) {
        Optional<TileUnits> cut = TileUnits.cut(shapes, dbuUm, options, tile, crew);
        if (cut.isEmpty()) {
            return null;
        }
        TileModel model = cut.get().model(tiles.shared(), crew);
        TileDoses doses = cut.get().doses(roles, options);
        state.put(cut.get());
        state.put(model);
        state.put(doses);
        return new Begun(
                doses.begin(model, crew), cut.get().ownUnits(), cut.get().canJoin());
    }

    private void solve() {
        Momentum momentum = Momentum.plain(options);
        List<Double> history = new ArrayList<>();
        double formerRms = Double.MAX_VALUE;
        TileSums.Residual residual;
        do {
            Momentum now = momentum;
            List<TileSums> sums = runner.each("correcting doses", energy, (tile, state, parts, crew) -> {
                TileModel model = state.get(TileModel.class);
                if (model == null) {
                    return null;
                }
                TileDoses doses = state.get(TileDoses.class);
                TileSums stepped = doses.step(model, parts, now, crew);
                state.put(doses);
                return stepped;
            });
            residual = sums.stream()
                    .filter(Objects::nonNull)
                    .map(TileSums::residual)
                    .reduce(TileSums.Residual.NONE, TileSums.Residual::and);
            history.add(residual.largest());
            momentum = residual.rms() > formerRms ? Momentum.plain(options) : momentum.next();
            formerRms = residual.rms();
            share(sums);
        } while (residual.largest() > options.tolerance() && history.size() <= options.maxIterations());
        double[] rounds = history.stream().mapToDouble(r -> r).toArray();
        convergence = new Convergence(
                residual.largest() <= options.tolerance(),
                rounds.length,
                rounds[0],
                residual.largest(),
                residual.rms(),
                0,
                rounds);
        CorrectionOptions how = options;
        if (canJoin) {
            share(runner.each("correcting doses", none(), (tile, state, none, crew) -> {
                TileModel model = state.get(TileModel.class);
                if (model == null) {
                    return null;
                }
                TileDoses doses = state.get(TileDoses.class);
                TileSums joined = doses.join(model, state.get(TileUnits.class), how, crew);
                state.put(doses);
                return joined;
            }));
        }
    }

    private <I> List<I> none() {
        return Collections.nCopies(runner.tiles(), null);
    }

    /** Sums what the tiles add, blurs it and parts it again. */
    private void share(List<TileSums> sums) {
        SharedGrids shared = grid.shared();
        List<TileSums> there = sums.stream().filter(Objects::nonNull).toList();
        minFactor = there.stream().mapToDouble(TileSums::minFactor).min().orElse(1);
        maxFactor = there.stream().mapToDouble(TileSums::maxFactor).max().orElse(1);
        double[][] blurred = shared.blur(
                shared.sum(there.stream().map(TileSums::contribution).toList()), workers);
        energy = sums.stream()
                .map(s -> s == null ? null : shared.parts(blurred, s.contribution()))
                .toList();
    }

    /**
     * Makes the table of each tile's own doses and hands it over, on the tile.
     *
     * @param <R> what is made of a table
     * @param stage what is being done, for a person to read
     * @param use makes something of a table, and the number and state of its tile; asked in any order, by several threads
     * @return what was made of each table, in the order of the tiles; null for tiles without shapes
     */
    public <R> List<R> tables(String stage, Use<R> use) {
        DoseLevels levels = levels();
        DatabaseUnit dbu = unit;
        List<LayerRole> layers = roles;
        CorrectionOptions how = options;
        Convergence went = convergence;
        return runner.each(stage, energy, (tile, state, parts, crew) -> {
            TileModel model = state.get(TileModel.class);
            if (model == null) {
                return null;
            }
            DoseTable table = state.get(TileDoses.class)
                    .table(model, parts, state.get(TileUnits.class), levels, dbu, layers, how, went, crew);
            return use.of(tile, state, table);
        });
    }

    /**
     * Makes something of a tile's doses.
     *
     * @param <R> what is made, serialisable
     */
    @FunctionalInterface
    public interface Use<R> extends Serializable {
        /**
         * {@return something}
         *
         * @param tile number of the tile
         * @param state what the tile remembers
         * @param table doses of the units that it owns
         */
        R of(int tile, TileRunner.State state, DoseTable table);
    }

    /**
     * Writes the doses: a compressed table a tile, and one layout with a cell a tile.
     *
     * @param parts the tables to write, one a tile
     * @param layout the layout to write
     * @param format its format
     * @return what is told of all doses, and the number of pieces that rounding left out of the layout
     */
    public Written write(List<Path> parts, Path layout, LayoutFormat format) {
        // Paths do not travel.
        List<String> names = parts.stream().map(Path::toString).toList();
        List<TileTotals> totals = tables("writing doses", (tile, state, table) -> {
            DoseTable joined = table.joined();
            DoseTableCsv.writeCompressed(joined, Path.of(names.get(tile)));
            state.put(new TileLayout.Cell(joined));
            return new TileTotals(joined);
        });
        TileTotals sum = new TileTotals(levels().size());
        totals.stream().filter(Objects::nonNull).forEach(sum::add);
        long lost;
        try (TileLayout cells = new TileLayout(unit, layout, format)) {
            runner.fetch(TileLayout.Cell.class, (tile, cell) -> cells.add("TILE-" + tile, cell));
            lost = cells.lost();
        }
        return new Written(
                sum,
                lost,
                IntStream.range(0, totals.size())
                        .filter(t -> totals.get(t) != null)
                        .boxed()
                        .toList());
    }

    /**
     * What {@link #write} wrote.
     *
     * @param totals what is told of all doses
     * @param lost number of pieces that rounding left out of the layout
     * @param tiles numbers of the tiles that have shapes, and so a table
     */
    public record Written(TileTotals totals, long lost, List<Integer> tiles) {}

    /** {@return levels that group the doses of all tiles} */
    public DoseLevels levels() {
        return DoseLevels.geometric(minFactor, maxFactor, DoseLevels.USUAL);
    }

    /** {@return how the iteration went, before units that are held are told from others} */
    public Convergence convergence() {
        return convergence;
    }

    /** {@return number of units of all tiles} */
    public long units() {
        return units;
    }
}
