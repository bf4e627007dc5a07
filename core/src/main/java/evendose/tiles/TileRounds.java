package evendose.tiles;

import evendose.correction.TileSums;
import evendose.energy.GridPart;
import evendose.energy.SharedGrids;
import evendose.energy.TileModel;
import evendose.layout.DatabaseUnit;
import evendose.parallel.Workers;
import java.io.Serializable;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.stream.IntStream;

/**
 * Rounds of all tiles: each does a step and tells what its doses add to the shared grids; the sums, in the order of the tiles, are blurred and handed out
 * again. Of equal tiles the first works for all, as long as their energy is the same.
 */
final class TileRounds {
    private final TileRunner runner;
    private final TileGrid grid;
    private final EqualTiles equal;
    private final TileCutting cutting;
    private final DatabaseUnit unit;
    private final double within;
    private final Workers workers;

    /** Of the first of equal tiles, while others may part from it: what it has done. */
    private final List<Done<?>> past = new ArrayList<>();

    private List<List<GridPart>> energy = List.of();
    private double minFactor = 1;
    private double maxFactor = 1;

    /** A step that was done, and the energy that it took, by tile. */
    private record Done<R extends Serializable>(TileStep<R> step, List<List<GridPart>> energy) {}

    /**
     * Rounds of tiles that are not cut yet.
     *
     * @param within largest difference of the energy of tiles that are corrected as one
     */
    TileRounds(
            TileRunner runner,
            TileGrid grid,
            EqualTiles equal,
            TileCutting cutting,
            DatabaseUnit unit,
            double within,
            Workers workers) {
        this.runner = runner;
        this.grid = grid;
        this.equal = equal;
        this.cutting = cutting;
        this.unit = unit;
        this.within = within;
        this.workers = workers;
    }

    /** Cuts the tiles and takes the doses that they begin with. */
    void begin() {
        share(forAll(cutting.all()));
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
        SharedGrids shared = grid.shared();
        List<TileSums> there = sums.stream().filter(Objects::nonNull).toList();
        minFactor = there.stream().mapToDouble(TileSums::minFactor).min().orElse(1);
        maxFactor = there.stream().mapToDouble(TileSums::maxFactor).max().orElse(1);
        List<List<GridPart>> added = IntStream.range(0, sums.size())
                .mapToObj(t -> sums.get(t) == null ? null : moved(sums.get(t).contribution(), t, equal.first(t)))
                .toList();
        double[][] blurred =
                shared.blur(shared.sum(added.stream().filter(Objects::nonNull).toList()), workers);
        List<List<GridPart>> all = added.stream()
                .map(parts -> parts == null ? null : shared.parts(blurred, parts))
                .toList();
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
        List<Integer> todo = TileCutting.firstOfEach(parted);
        cutting.some(todo);
        Map<Integer, Integer> formers = new HashMap<>();
        parted.forEach(p -> formers.put(p[0], p[1]));
        for (Done<?> done : past) {
            step(done.step, TileCutting.only(todo, runner.tiles(), t -> {
                int former = formers.get(t);
                List<GridPart> taken = done.energy.get(former);
                return taken == null ? null : moved(taken, t, former);
            }));
        }
        past.replaceAll(done -> withFormers(done, parted));
    }

    private static <R extends Serializable> Done<R> withFormers(Done<R> done, List<int[]> parted) {
        List<List<GridPart>> also = new ArrayList<>(done.energy);
        parted.forEach(p -> also.set(p[0], also.get(p[1])));
        return new Done<>(done.step, also);
    }

    private List<GridPart> moved(List<GridPart> parts, int to, int from) {
        return to == from
                ? parts
                : grid.shared().moved(parts, unit.toUm(grid.dx(to, from)), unit.toUm(grid.dy(to, from)));
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
