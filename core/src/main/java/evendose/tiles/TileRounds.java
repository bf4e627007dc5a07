package evendose.tiles;

import evendose.correction.CorrectionOptions;
import evendose.correction.DevelopmentLoading;
import evendose.correction.TileDoses;
import evendose.correction.TileSums;
import evendose.correction.TileUnits;
import evendose.energy.GridPart;
import evendose.energy.SharedGrids;
import evendose.energy.TileModel;
import evendose.layout.DatabaseUnit;
import evendose.parallel.Workers;
import evendose.pieces.Samples;
import java.io.Serializable;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.stream.IntStream;

/**
 * Rounds of all tiles: each does a step and tells what its doses add to the shared grids; the sums, in the order of the tiles, are blurred and handed out
 * again. Of equal tiles the first works for all, as long as their energy is the same.
 */
final class TileRounds {
    /** Largest difference of the long-range energy among tiles that are corrected as one: share of the tolerance. */
    private static final double SAME_ENERGY = 0.02;

    private final TileRunner runner;
    private final TileGrid grid;
    private final EqualTiles equal;
    private final TileCutting cutting;
    private final DatabaseUnit unit;
    private final CorrectionOptions options;
    private final double within;
    private final Workers workers;

    /** Of the first of equal tiles, while others may part from it: what it has done. */
    private final List<Done<?>> past = new ArrayList<>();

    /** The density about the places of each tile, if there is a grid for it. */
    private List<List<GridPart>> density = List.of();

    private List<List<GridPart>> energy = List.of();
    private double minFactor = 1;
    private double maxFactor = 1;

    /** A step that was done, and the energy that it took, by tile. */
    private record Done<R extends Serializable>(TileStep<R> step, List<List<GridPart>> energy) {}

    /** Rounds of tiles that are not cut yet. */
    TileRounds(
            TileRunner runner,
            TileGrid grid,
            EqualTiles equal,
            TileCutting cutting,
            DatabaseUnit unit,
            CorrectionOptions options,
            Workers workers) {
        this.runner = runner;
        this.grid = grid;
        this.equal = equal;
        this.cutting = cutting;
        this.unit = unit;
        this.options = options;
        this.within = SAME_ENERGY * options.tolerance() * options.target();
        this.workers = workers;
    }

    /** Cuts the tiles and takes the doses that they begin with. */
    void begin() {
        List<TileCutting.Begun> begun = forAll(cutting.all());
        if (grid.density().isPresent()) {
            begun = load(grid.density().get(), begun);
        }
        share(begun.stream().map(b -> b == null ? null : b.sums()).toList());
    }

    /** Finds the density about each place; tiles that were equal and whose density differs begin for themselves. */
    private List<TileCutting.Begun> load(SharedGrids shared, List<TileCutting.Begun> begun) {
        density = exchanged(
                shared, begun.stream().map(b -> b == null ? null : b.covered()).toList());
        double same = within / (options.target() * loading().steepest());
        List<Integer> todo = TileCutting.firstOfEach(equal.part((t, first) -> areSame(density, t, first, same)));
        List<TileCutting.Begun> all = new ArrayList<>(begun);
        if (!todo.isEmpty()) {
            TileCutting.Begun[] anew = cutting.some(todo);
            todo.forEach(t -> all.set(t, anew[t]));
        }
        load(equal.firsts());
        return forAll(all);
    }

    private DevelopmentLoading loading() {
        return options.longRange().loading().orElseThrow();
    }

    /** Lets some tiles find what the density makes of the energy that is wanted; nothing where that needs no shared grid. */
    private void load(List<Integer> todo) {
        if (grid.density().isEmpty()) {
            return;
        }
        SharedGrids shared = grid.density().get();
        DevelopmentLoading law = loading();
        boolean keep = options.levelStudy();
        runner.each(
                "correcting doses",
                TileCutting.only(todo, runner.tiles(), density::get),
                (tile, state, parts, crew) -> {
                    if (parts != null) {
                        TileUnits units = state.get(TileUnits.class);
                        TileDoses doses = state.get(TileDoses.class);
                        Samples samples = keep ? state.get(Samples.class) : state.take(Samples.class);
                        doses.load(law, Optional.of(units.field(shared, parts)), units, samples, crew);
                        state.put(doses);
                        state.put(new TileDensity(parts));
                    }
                    return null;
                });
    }

    /** Does a step; what each tile told, null for tiles without shapes. */
    <R extends Serializable> List<R> advance(TileStep<R> step) {
        List<Integer> leading = equal.leading();
        if (!leading.isEmpty()) {
            past.add(new Done<>(step, TileCutting.only(leading, runner.tiles(), energy::get)));
        }
        List<R> told = forAll(step(step, energy));
        share(told.stream().map(r -> r == null ? null : step.sums(r)).toList());
        return told;
    }

    /** What each tile told, or the one that it equals. */
    private <R> List<R> forAll(List<R> ofFirsts) {
        return IntStream.range(0, ofFirsts.size())
                .mapToObj(t -> ofFirsts.get(equal.first(t)))
                .toList();
    }

    private <R extends Serializable> List<R> step(TileStep<R> step, List<List<GridPart>> inputs) {
        return runner.each("correcting doses", inputs, (tile, state, parts, crew) -> {
            TileModel model = parts == null ? null : state.get(TileModel.class);
            return model == null ? null : step.of(state, model, parts, crew);
        });
    }

    /** Sums what the tiles add, blurs it and parts it again; tiles whose energy differs from now on are corrected for themselves. */
    private void share(List<TileSums> sums) {
        List<TileSums> there = sums.stream().filter(Objects::nonNull).toList();
        minFactor = there.stream().mapToDouble(TileSums::minFactor).min().orElse(1);
        maxFactor = there.stream().mapToDouble(TileSums::maxFactor).max().orElse(1);
        List<List<GridPart>> all = exchanged(
                grid.shared(),
                sums.stream().map(s -> s == null ? null : s.contribution()).toList());
        List<int[]> parted = equal.part((t, first) -> areSame(all, t, first, within));
        if (!parted.isEmpty()) {
            catchUp(parted);
        }
        energy = IntStream.range(0, all.size())
                .mapToObj(t -> equal.isFirst(t) ? all.get(t) : null)
                .toList();
    }

    /** Sums what tiles, or those that they equal, add to grids, blurs it and parts it again; null for tiles without shapes. */
    private List<List<GridPart>> exchanged(SharedGrids shared, List<List<GridPart>> told) {
        List<List<GridPart>> added = IntStream.range(0, told.size())
                .mapToObj(t -> told.get(t) == null ? null : moved(shared, told.get(t), t, equal.first(t)))
                .toList();
        double[][] blurred =
                shared.blur(shared.sum(added.stream().filter(Objects::nonNull).toList()), workers);
        return added.stream()
                .map(parts -> parts == null ? null : shared.parts(blurred, parts))
                .toList();
    }

    private static boolean areSame(List<List<GridPart>> parts, int some, int other, double within) {
        return parts.get(some) == null
                || parts.get(other) == null
                || SharedGrids.areSame(parts.get(some), parts.get(other), within);
    }

    /** Lets tiles that part from others do all that these did so far. */
    private void catchUp(List<int[]> parted) {
        List<Integer> todo = TileCutting.firstOfEach(parted);
        cutting.some(todo);
        load(todo);
        Map<Integer, Integer> formers = new HashMap<>();
        parted.forEach(p -> formers.put(p[0], p[1]));
        for (Done<?> done : past) {
            step(done.step, TileCutting.only(todo, runner.tiles(), t -> {
                int former = formers.get(t);
                List<GridPart> taken = done.energy.get(former);
                return taken == null ? null : moved(grid.shared(), taken, t, former);
            }));
        }
        past.replaceAll(done -> withFormers(done, parted));
    }

    private static <R extends Serializable> Done<R> withFormers(Done<R> done, List<int[]> parted) {
        List<List<GridPart>> also = new ArrayList<>(done.energy);
        parted.forEach(p -> also.set(p[0], also.get(p[1])));
        return new Done<>(done.step, also);
    }

    private List<GridPart> moved(SharedGrids shared, List<GridPart> parts, int to, int from) {
        return to == from ? parts : shared.moved(parts, unit.toUm(grid.dx(to, from)), unit.toUm(grid.dy(to, from)));
    }

    /** The energy of the doses as they are, of tiles that work for themselves. */
    List<List<GridPart>> energy() {
        return energy;
    }

    /** Smallest dose factor of all tiles. */
    double minFactor() {
        return minFactor;
    }

    /** Largest dose factor. */
    double maxFactor() {
        return maxFactor;
    }
}
