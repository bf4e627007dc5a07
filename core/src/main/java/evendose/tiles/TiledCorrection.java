package evendose.tiles;

import evendose.correction.ContrastCurve;
import evendose.correction.Convergence;
import evendose.correction.CorrectionOptions;
import evendose.correction.DoseLevels;
import evendose.correction.DoseTable;
import evendose.correction.DoseTableCsv;
import evendose.correction.LayerRole;
import evendose.correction.LevelTrial;
import evendose.correction.Momentum;
import evendose.correction.TileDoses;
import evendose.correction.TileLayout;
import evendose.correction.TilePlace;
import evendose.correction.TileSums;
import evendose.correction.TileTotals;
import evendose.correction.TileUnits;
import evendose.energy.SharedGrids;
import evendose.energy.TileModel;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.formats.LayoutFormat;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.io.Serializable;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

/**
 * The correction of a layout in tiles. Each round every tile judges its units, steps, and adds its new doses to the shared grids; these are summed in
 * the order of the tiles, blurred, and handed out again. So doses depend neither on where tiles are worked on nor in which order.
 *
 * <p>Units keep even cells, as those of any layout of more than 300,000 units do. What does not go in tiles yet is refused by {@link #refused}.
 */
public final class TiledCorrection {
    private final TileRunner runner;
    private final TileGrid grid;
    private final EqualTiles equal;
    private final TileCutting cutting;
    private final TileRounds rounds;
    private final List<LayerRole> roles;
    private final CorrectionOptions options;
    private final DatabaseUnit unit;
    private Convergence convergence;
    private List<LevelTrial> levelStudy = List.of();
    private Optional<LevelRounds.Imposed> imposed = Optional.empty();

    private TiledCorrection(
            Flattener flattener,
            TileRunner runner,
            TileGrid grid,
            List<LayerRole> roles,
            CorrectionOptions options,
            Workers workers) {
        this.runner = runner;
        this.grid = grid;
        this.unit = flattener.layout().unit();
        this.roles = List.copyOf(roles);
        // A listener cannot travel.
        this.options = options.toBuilder().threads(1).progress(Progress.NONE).build();
        this.equal = new EqualTiles(grid);
        this.cutting = new TileCutting(flattener, runner, grid, equal, this.roles, this.options);
        this.rounds = new TileRounds(runner, grid, equal, cutting, unit, this.options, workers);
    }

    /**
     * {@return what of some options does not go in tiles, for a message; empty if all does}
     *
     * @param options how to correct
     */
    public static Optional<String> refused(CorrectionOptions options) {
        return options.moves().isEmpty() ? Optional.empty() : Optional.of("moved edges");
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
     * @return the correction, from which {@link #judged} asks for the doses
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
        TiledCorrection correction = new TiledCorrection(flattener, runner, grid, roles, options, workers);
        correction.rounds.begin();
        correction.solve();
        return correction;
    }

    private void solve() {
        Momentum momentum = Momentum.plain(options);
        List<Double> history = new ArrayList<>();
        double formerRms = Double.MAX_VALUE;
        TileSums.Residual residual;
        do {
            residual = TileSums.Residual.NONE;
            for (TileSums ofTile : rounds.advance(new TileStep.Solve(momentum))) {
                residual = ofTile == null ? residual : residual.and(ofTile.residual());
            }
            history.add(residual.largest());
            momentum = residual.rms() > formerRms ? Momentum.plain(options) : momentum.next();
            formerRms = residual.rms();
        } while (residual.largest() > options.tolerance() && history.size() <= options.maxIterations());
        double[] largest = history.stream().mapToDouble(r -> r).toArray();
        convergence = new Convergence(
                residual.largest() <= options.tolerance(),
                largest.length,
                largest[0],
                residual.largest(),
                residual.rms(),
                0,
                largest);
        boolean isStudied = options.levelStudy();
        if (isStudied || options.levels().isPresent()) {
            LevelRounds levels = new LevelRounds(rounds, grid, roles, options);
            levelStudy = isStudied ? levels.study() : List.of();
            imposed = options.levels().map(rule -> levels.impose());
        }
        if (imposed.isEmpty() && (isStudied || cutting.canJoin())) {
            rounds.advance(new TileStep.Join(options));
        }
    }

    /** Finds what doses right for wide areas would do: asked for before depths of a grey-tone exposure are written. */
    public void judgeWideDoses() {
        rounds.advance(new TileStep.Wide(false));
        rounds.advance(new TileStep.Wide(true));
    }

    /**
     * Looks at each tile with its doses, on the tile.
     *
     * @param <R> what is made of a tile
     * @param stage what is being done, for a person to read
     * @param use makes something of a tile; asked in any order, by several threads
     * @return what was made of each tile, in the order of the tiles; null for tiles without shapes to write and those that equal another
     */
    public <R> List<R> judged(String stage, Use<R> use) {
        DoseLevels levels = levels();
        DatabaseUnit dbu = unit;
        List<LayerRole> layers = roles;
        CorrectionOptions how = options;
        Convergence went = convergence;
        SharedGrids density = grid.density().orElse(null);
        return runner.each(stage, rounds.energy(), (tile, state, parts, crew) -> {
            TileModel model = parts == null ? null : state.get(TileModel.class);
            if (model == null) {
                return null;
            }
            TileDoses doses = state.get(TileDoses.class);
            TileUnits units = state.get(TileUnits.class);
            DoseTable table = doses.table(model, parts, units, levels, dbu, layers, how, went, crew);
            return table.pieces().size() == 0
                    ? null
                    : use.of(new JudgedTile(tile, state, table, model, units, doses, parts, density, crew));
        });
    }

    /**
     * Makes something of a tile.
     *
     * @param <R> what is made, serialisable
     */
    @FunctionalInterface
    public interface Use<R> extends Serializable {
        /**
         * {@return something}
         *
         * @param tile the tile
         */
        R of(JudgedTile tile);
    }

    /** What a tile tells: of its doses, and what was made of it besides. */
    private record Told<R>(TileTotals totals, R made) implements Serializable {}

    /**
     * Writes the doses: a compressed table and a cell of a layout for each tile that has a correction of its own, and where they lie.
     *
     * @param <R> what is made of each tile besides
     * @param parts the tables to write, one a tile; only some are written
     * @param index the table of places to write
     * @param layout the layout to write
     * @param format its format
     * @param curve the contrast curve of a grey-tone exposure, of which {@link #judgeWideDoses} was asked for; empty for others
     * @param use makes something of each tile
     * @return what is told of all doses, and what was made of each tile
     */
    public <R> Written<R> write(
            List<Path> parts, Path index, Path layout, LayoutFormat format, Optional<ContrastCurve> curve, Use<R> use) {
        // Paths do not travel, nor do optional values.
        ContrastCurve sent = curve.orElse(null);
        List<String> names = parts.stream().map(Path::toString).toList();
        List<Told<R>> told = judged("writing doses", tile -> {
            DoseTable joined = tile.table().joined();
            DoseTableCsv.writeCompressed(joined, Path.of(names.get(tile.number())));
            tile.state().put(new TileLayout.Cell(joined));
            return new Told<>(tile.totals(joined, Optional.ofNullable(sent)), use.of(tile));
        });
        TileTotals sum = new TileTotals(levels().size());
        List<TilePlace> places = new ArrayList<>();
        List<Made<R>> made = new ArrayList<>();
        for (int t = 0; t < told.size(); t++) {
            int first = equal.first(t);
            Told<R> ofTile = told.get(first);
            if (ofTile != null) {
                double dx = grid.dx(t, first);
                double dy = grid.dy(t, first);
                sum.add(ofTile.totals, unit.toUm(dx), unit.toUm(dy));
                places.add(new TilePlace(t, first, dx, dy, ofTile.totals.pieces()));
                made.add(new Made<>(ofTile.made, unit.toUm(dx), unit.toUm(dy)));
            }
        }
        TilePlace.write(places, unit, index);
        long lost;
        try (TileLayout cells = new TileLayout(unit, layout, format)) {
            runner.fetch(TileLayout.Cell.class, cells::add);
            cells.place(places);
            lost = cells.lost();
        }
        return new Written<>(
                sum, lost, places.stream().map(TilePlace::part).distinct().toList(), places.size(), made);
    }

    /**
     * What {@link #write} wrote.
     *
     * @param <R> what was made of each tile
     * @param totals what is told of all doses
     * @param lost number of pieces that rounding left out of the layout
     * @param parts numbers of the tiles that have a table of their own
     * @param tiles number of tiles that have shapes to write
     * @param made what was made of each of these
     */
    public record Written<R>(TileTotals totals, long lost, List<Integer> parts, int tiles, List<Made<R>> made) {}

    /**
     * What was made of a tile, perhaps of an equal one.
     *
     * @param <R> what was made
     * @param of what was made
     * @param dxUm how far to the right of where it says it lies, um
     * @param dyUm how far above, um
     */
    public record Made<R>(R of, double dxUm, double dyUm) {}

    /** {@return smallest dose factor of all tiles} */
    public double minFactor() {
        return rounds.minFactor();
    }

    /** {@return largest dose factor of all tiles} */
    public double maxFactor() {
        return rounds.maxFactor();
    }

    /** {@return levels that were imposed on the doses of all tiles, or that only group them} */
    public DoseLevels levels() {
        return imposed.isPresent()
                ? imposed.get().levels()
                : DoseLevels.geometric(rounds.minFactor(), rounds.maxFactor(), DoseLevels.USUAL);
    }

    /** {@return how the iteration went, before units that are held are told from others} */
    public Convergence convergence() {
        return convergence;
    }

    /** {@return a new array of what levels add to the criterion if they were imposed, relative to the target: largest error, and root mean square along the outline} */
    public Optional<double[]> levelError() {
        return imposed.map(i -> new double[] {i.most(), i.rms()});
    }

    /** {@return what numbers of levels would cost, by rising number; empty unless the options ask for it} */
    public List<LevelTrial> levelStudy() {
        return levelStudy;
    }

    /** {@return number of units that all tiles write} */
    public long units() {
        return cutting.units();
    }
}
