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
import evendose.correction.TilePlace;
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
import java.util.Arrays;
import java.util.Collections;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.function.IntFunction;
import java.util.stream.IntStream;

/**
 * The correction of a layout in tiles. Each round every tile judges its units, steps, and adds its new doses to the shared grids; these are summed in
 * the order of the tiles, blurred, and handed out again. So doses depend neither on where tiles are worked on nor in which order.
 *
 * <p>Units keep even cells, as those of any layout of more than 300,000 units do. What does not go in tiles yet is refused by {@link #refused}.
 */
public final class TiledCorrection {
    /** Largest difference of the long-range energy among tiles that are corrected as one: share of the tolerance. */
    private static final double SAME_ENERGY = 0.02;

    private final Flattener flattener;
    private final TileRunner runner;
    private final TileGrid grid;
    private final EqualTiles equal;
    private final List<LayerRole> roles;
    private final CorrectionOptions options;
    private final DatabaseUnit unit;
    private final Workers workers;

    /** Of the first of equal tiles, while others may part from it: what it has done. */
    private final List<Step> steps = new ArrayList<>();

    private final int[] unitsOf;
    private List<Map<Integer, ShapeBox>> boxes = List.of();
    private List<List<GridPart>> energy = List.of();
    private double minFactor = 1;
    private double maxFactor = 1;
    private long units;
    private boolean canJoin;
    private Convergence convergence;

    private TiledCorrection(
            Flattener flattener,
            TileRunner runner,
            TileGrid grid,
            List<LayerRole> roles,
            CorrectionOptions options,
            Workers workers) {
        this.flattener = flattener;
        this.runner = runner;
        this.grid = grid;
        this.equal = new EqualTiles(grid);
        this.unitsOf = new int[grid.tiles()];
        this.unit = flattener.layout().unit();
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
        TiledCorrection correction = new TiledCorrection(flattener, runner, grid, roles, options, workers);
        correction.cut();
        correction.solve();
        return correction;
    }

    /** What cutting a tile gives. */
    private record Begun(TileSums sums, int units, boolean canJoin) implements Serializable {}

    /** What merging a tile gives: large shapes of which others may see more, or else what cutting gives, null without shapes. */
    private record Merged(List<LargeShapes.Seen> large, Begun begun) implements Serializable {}

    /** A step of all tiles: with the energy that it takes, by tile; the last one, after which doses are final, has no momentum. */
    private record Step(Momentum momentum, List<List<GridPart>> energy) {}

    private void cut() {
        Merged[] merged = new Merged[runner.tiles()];
        List<Integer> todo = equal.firsts();
        while (!todo.isEmpty()) {
            merge(todo, merged);
            boxes = boxes(merged);
            // Large shapes go on beyond what tiles see, perhaps differently.
            todo = firstOfEach(
                    equal.part((t, first) -> moved(boxes.get(first), t, first).equals(boxes.get(t))));
        }
        TileSums[] sums = cut(equal.firsts(), merged);
        for (int t = 0; t < sums.length; t++) {
            units += unitsOf[equal.first(t)];
        }
        share(Arrays.asList(sums));
    }

    private static List<Integer> firstOfEach(List<int[]> parted) {
        return parted.stream().map(p -> p[0]).toList();
    }

    /** An input for some tiles; others have nothing to do. */
    private static <I> List<I> only(List<Integer> tiles, int n, IntFunction<I> input) {
        List<I> inputs = new ArrayList<>(Collections.nCopies(n, null));
        tiles.forEach(t -> inputs.set(t, input.apply(t)));
        return inputs;
    }

    private void merge(List<Integer> todo, Merged[] merged) {
        Flattener drawn = flattener;
        TileGrid tiles = grid;
        List<LayerRole> layers = roles;
        CorrectionOptions how = options;
        double dbuUm = unit.um();
        List<Merged> done =
                runner.each("cutting tiles", only(todo, merged.length, t -> true), (tile, state, wanted, crew) -> {
                    if (wanted == null) {
                        return null;
                    }
                    TileFrame frame = tiles.tile(tile);
                    Trapezoids shapes = TileUnits.merged(drawn, layers, how, frame, crew);
                    List<LargeShapes.Seen> large = LargeShapes.of(shapes, frame);
                    if (large.isEmpty()) {
                        TileView view = new TileView(frame, Map.of());
                        return new Merged(large, begin(view, shapes, state, layers, how, tiles, dbuUm, crew));
                    }
                    state.put(shapes);
                    return new Merged(large, null);
                });
        todo.forEach(t -> merged[t] = done.get(t));
    }

    /** Cuts tiles that are merged; what they begin with, by tile. */
    private TileSums[] cut(List<Integer> todo, Merged[] merged) {
        TileGrid tiles = grid;
        List<LayerRole> layers = roles;
        CorrectionOptions how = options;
        double dbuUm = unit.um();
        List<Integer> large =
                todo.stream().filter(t -> !merged[t].large.isEmpty()).toList();
        List<Begun> later = large.isEmpty()
                ? none()
                : runner.each("cutting tiles", only(large, merged.length, boxes::get), (tile, state, known, crew) -> {
                    Trapezoids shapes = known == null ? null : state.take(Trapezoids.class);
                    TileView view = new TileView(tiles.tile(tile), known);
                    return shapes == null ? null : begin(view, shapes, state, layers, how, tiles, dbuUm, crew);
                });
        TileSums[] sums = new TileSums[merged.length];
        for (int t : todo) {
            Begun begun = merged[t].begun == null ? later.get(t) : merged[t].begun;
            if (begun != null) {
                unitsOf[t] = begun.units;
                canJoin |= begun.canJoin;
                sums[t] = begun.sums;
            }
        }
        return sums;
    }

    /** The boxes of large shapes of all tiles, each tile's by number. */
    private List<Map<Integer, ShapeBox>> boxes(Merged[] merged) {
        return LargeShapes.boxes(IntStream.range(0, merged.length)
                .mapToObj(t -> {
                    int first = equal.first(t);
                    double dx = grid.dx(t, first);
                    double dy = grid.dy(t, first);
                    return merged[first].large.stream()
                            .map(shape -> t == first ? shape : shape.moved(dx, dy))
                            .toList();
                })
                .toList());
    }

    private Map<Integer, ShapeBox> moved(Map<Integer, ShapeBox> boxes, int to, int from) {
        Map<Integer, ShapeBox> moved = new HashMap<>();
        boxes.forEach((number, box) -> moved.put(number, box.moved(grid.dx(to, from), grid.dy(to, from))));
        return moved;
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
            List<TileSums> sums = advance(new Step(momentum, energy));
            residual = TileSums.Residual.NONE;
            for (int t = 0; t < sums.size(); t++) {
                TileSums ofTile = sums.get(equal.first(t));
                residual = ofTile == null ? residual : residual.and(ofTile.residual());
            }
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
        if (canJoin) {
            share(advance(new Step(null, energy)));
        }
    }

    /** Does a step on all tiles that have a correction of their own, and remembers it for those that will part from them. */
    private List<TileSums> advance(Step step) {
        List<Integer> leading = equal.leading();
        if (!leading.isEmpty()) {
            steps.add(new Step(step.momentum, only(leading, runner.tiles(), step.energy::get)));
        }
        return step(step.momentum, step.energy);
    }

    private List<TileSums> step(Momentum momentum, List<List<GridPart>> inputs) {
        CorrectionOptions how = options;
        return runner.each("correcting doses", inputs, (tile, state, parts, crew) -> {
            TileModel model = parts == null ? null : state.get(TileModel.class);
            if (model == null) {
                return null;
            }
            TileDoses doses = state.get(TileDoses.class);
            TileSums sums = momentum == null
                    ? doses.join(model, state.get(TileUnits.class), how, crew)
                    : doses.step(model, parts, momentum, crew);
            state.put(doses);
            return sums;
        });
    }

    private <I> List<I> none() {
        return Collections.nCopies(runner.tiles(), null);
    }

    /** Sums what the tiles add, blurs it and parts it again; tiles whose energy differs from now on are corrected for themselves. */
    private void share(List<TileSums> sums) {
        SharedGrids shared = grid.shared();
        List<TileSums> there = sums.stream().filter(Objects::nonNull).toList();
        minFactor = there.stream().mapToDouble(TileSums::minFactor).min().orElse(1);
        maxFactor = there.stream().mapToDouble(TileSums::maxFactor).max().orElse(1);
        List<List<GridPart>> added = IntStream.range(0, sums.size())
                .mapToObj(t -> {
                    TileSums ofFirst = sums.get(equal.first(t));
                    return ofFirst == null ? null : moved(ofFirst.contribution(), t, equal.first(t));
                })
                .toList();
        double[][] blurred =
                shared.blur(shared.sum(added.stream().filter(Objects::nonNull).toList()), workers);
        List<List<GridPart>> all = added.stream()
                .map(parts -> parts == null ? null : shared.parts(blurred, parts))
                .toList();
        double within = SAME_ENERGY * options.tolerance() * options.target();
        List<int[]> parted = equal.part((t, first) -> all.get(t) == null
                || all.get(first) == null
                || SharedGrids.areSame(all.get(t), all.get(first), within));
        if (!parted.isEmpty()) {
            catchUp(parted);
        }
        energy = IntStream.range(0, all.size())
                .mapToObj(t -> equal.isFirst(t) ? all.get(t) : null)
                .toList();
    }

    /** Lets tiles that part from others do all that these did so far. */
    private void catchUp(List<int[]> parted) {
        List<Integer> todo = firstOfEach(parted);
        Merged[] merged = new Merged[runner.tiles()];
        merge(todo, merged);
        cut(todo, merged);
        Map<Integer, Integer> formers = new HashMap<>();
        parted.forEach(p -> formers.put(p[0], p[1]));
        for (Step step : steps) {
            step(step.momentum, only(todo, merged.length, t -> {
                int former = formers.get(t);
                List<GridPart> taken = step.energy.get(former);
                return taken == null ? null : moved(taken, t, former);
            }));
        }
        steps.replaceAll(step -> {
            List<List<GridPart>> also = new ArrayList<>(step.energy);
            parted.forEach(p -> also.set(p[0], also.get(p[1])));
            return new Step(step.momentum, also);
        });
    }

    private List<GridPart> moved(List<GridPart> parts, int to, int from) {
        return to == from
                ? parts
                : grid.shared().moved(parts, unit.toUm(grid.dx(to, from)), unit.toUm(grid.dy(to, from)));
    }

    /**
     * Makes the table of each tile's own doses and hands it over, on the tile.
     *
     * @param <R> what is made of a table
     * @param stage what is being done, for a person to read
     * @param use makes something of a table, and the number and state of its tile; asked in any order, by several threads
     * @return what was made of each table, in the order of the tiles; null for tiles without shapes and those that equal another
     */
    public <R> List<R> tables(String stage, Use<R> use) {
        DoseLevels levels = levels();
        DatabaseUnit dbu = unit;
        List<LayerRole> layers = roles;
        CorrectionOptions how = options;
        Convergence went = convergence;
        return runner.each(stage, energy, (tile, state, parts, crew) -> {
            TileModel model = parts == null ? null : state.get(TileModel.class);
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
     * Writes the doses: a compressed table and a cell of a layout for each tile that has a correction of its own, and where they lie.
     *
     * @param parts the tables to write, one a tile; only some are written
     * @param index the table of places to write
     * @param layout the layout to write
     * @param format its format
     * @return what is told of all doses
     */
    public Written write(List<Path> parts, Path index, Path layout, LayoutFormat format) {
        // Paths do not travel.
        List<String> names = parts.stream().map(Path::toString).toList();
        List<TileTotals> totals = tables("writing doses", (tile, state, table) -> {
            DoseTable joined = table.joined();
            DoseTableCsv.writeCompressed(joined, Path.of(names.get(tile)));
            state.put(new TileLayout.Cell(joined));
            return new TileTotals(joined);
        });
        TileTotals sum = new TileTotals(levels().size());
        List<TilePlace> places = new ArrayList<>();
        for (int t = 0; t < totals.size(); t++) {
            int first = equal.first(t);
            TileTotals ofTile = totals.get(first);
            if (ofTile != null) {
                sum.add(ofTile);
                places.add(new TilePlace(t, first, grid.dx(t, first), grid.dy(t, first), ofTile.pieces()));
            }
        }
        TilePlace.write(places, unit, index);
        long lost;
        try (TileLayout cells = new TileLayout(unit, layout, format)) {
            runner.fetch(TileLayout.Cell.class, cells::add);
            cells.place(places);
            lost = cells.lost();
        }
        return new Written(
                sum, lost, places.stream().map(TilePlace::part).distinct().toList(), places.size());
    }

    /**
     * What {@link #write} wrote.
     *
     * @param totals what is told of all doses
     * @param lost number of pieces that rounding left out of the layout
     * @param parts numbers of the tiles that have a table of their own
     * @param tiles number of tiles that have shapes
     */
    public record Written(TileTotals totals, long lost, List<Integer> parts, int tiles) {}

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
