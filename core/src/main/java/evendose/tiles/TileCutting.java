package evendose.tiles;

import evendose.correction.CorrectionOptions;
import evendose.correction.DrawnPattern;
import evendose.correction.DrawnSample;
import evendose.correction.ExposedShapes;
import evendose.correction.LayerRole;
import evendose.correction.TileDoses;
import evendose.correction.TileSums;
import evendose.correction.TileUnits;
import evendose.energy.GridPart;
import evendose.energy.SharedGrids;
import evendose.energy.TileModel;
import evendose.geometry.Trapezoids;
import evendose.layout.Flattener;
import evendose.parallel.Workers;
import evendose.pieces.LargeShapes;
import evendose.pieces.TileFrame;
import evendose.pieces.TileView;
import evendose.pieces.WholeShape;
import java.io.Serializable;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.IntFunction;
import java.util.stream.IntStream;

/** Cuts tiles into units: merges what each sees, asks which large shapes are parts of one, and cuts. */
final class TileCutting {
    private final Flattener flattener;
    private final TileRunner runner;
    private final TileGrid grid;
    private final EqualTiles equal;
    private final Recipe recipe;
    private final int[] unitsOf;
    private List<Map<Integer, WholeShape>> large = List.of();
    private boolean canJoin;

    TileCutting(
            Flattener flattener,
            TileRunner runner,
            TileGrid grid,
            EqualTiles equal,
            List<LayerRole> roles,
            CorrectionOptions options) {
        this.flattener = flattener;
        this.runner = runner;
        this.grid = grid;
        this.equal = equal;
        this.recipe = new Recipe(
                flattener.layout().source(),
                flattener.layout().unit().um(),
                roles.stream()
                        .mapToDouble(role -> flattener.counts().get(role.layer()))
                        .sum(),
                grid,
                roles,
                options);
        this.unitsOf = new int[grid.tiles()];
    }

    /** What cutting a tile gives; what it covers is empty unless density is asked for. */
    record Begun(TileSums sums, List<GridPart> covered, int units, boolean canJoin) implements Serializable {}

    /** What merging a tile gives: large shapes of which others may see more, or else what cutting gives, null without shapes. */
    private record Merged(List<LargeShapes.Seen> large, Begun begun) implements Serializable {}

    /** An input for some tiles; others have nothing to do. */
    static <I> List<I> only(List<Integer> tiles, int n, IntFunction<I> input) {
        List<I> inputs = new ArrayList<>(Collections.nCopies(n, null));
        tiles.forEach(t -> inputs.set(t, input.apply(t)));
        return inputs;
    }

    static List<Integer> firstOfEach(List<int[]> parted) {
        return parted.stream().map(p -> p[0]).toList();
    }

    /** Cuts all tiles that have a correction of their own; what they begin with, by tile. */
    List<Begun> all() {
        Merged[] merged = new Merged[runner.tiles()];
        List<Integer> todo = equal.firsts();
        while (!todo.isEmpty()) {
            merge(todo, merged);
            large = large(merged);
            // Large shapes go on beyond what tiles see, perhaps differently.
            todo = firstOfEach(
                    equal.part((t, first) -> moved(large.get(first), t, first).equals(large.get(t))));
        }
        return Arrays.asList(cut(equal.firsts(), merged));
    }

    /** Cuts some tiles that were equal to others until now; what they begin with, by tile. */
    Begun[] some(List<Integer> todo) {
        Merged[] merged = new Merged[runner.tiles()];
        merge(todo, merged);
        return cut(todo, merged);
    }

    private void merge(List<Integer> todo, Merged[] merged) {
        Flattener layout = flattener;
        Recipe how = recipe;
        List<Merged> done = runner.each(
                "cutting tiles",
                only(todo, merged.length, t -> true),
                (tile, state, wanted, crew) -> wanted == null ? null : how.merge(layout, tile, state, crew));
        todo.forEach(t -> merged[t] = done.get(t));
    }

    /** Cuts tiles that are merged; what they begin with, by tile. */
    private Begun[] cut(List<Integer> todo, Merged[] merged) {
        Recipe how = recipe;
        List<Integer> ofParts =
                todo.stream().filter(t -> !merged[t].large.isEmpty()).toList();
        List<Begun> later = ofParts.isEmpty()
                ? Collections.nCopies(merged.length, null)
                : runner.each(
                        "cutting tiles",
                        only(ofParts, merged.length, large::get),
                        (tile, state, known, crew) -> known == null ? null : how.cut(known, tile, state, crew));
        Begun[] begun = new Begun[merged.length];
        for (int t : todo) {
            begun[t] = merged[t].begun == null ? later.get(t) : merged[t].begun;
            if (begun[t] != null) {
                unitsOf[t] = begun[t].units;
                canJoin |= begun[t].canJoin;
            }
        }
        return begun;
    }

    /** How a tile is cut. The layout is no part of it, since it travels once only. */
    private record Recipe(
            String source,
            double dbuUm,
            double polygons,
            TileGrid tiles,
            List<LayerRole> roles,
            CorrectionOptions options)
            implements Serializable {
        Merged merge(Flattener layout, int tile, TileRunner.State state, Workers crew) {
            TileFrame frame = tiles.tile(tile);
            DrawnPattern seen = TileUnits.seen(layout, roles, frame);
            Trapezoids drawn = TileUnits.merged(seen, crew);
            state.put(tiles.inWindow(tile)
                    .map(shown -> DrawnSample.inTile(seen, drawn, shown, polygons, crew))
                    .orElseGet(() -> DrawnSample.none(seen.unit())));
            ExposedShapes exposed = TileUnits.exposed(drawn, source, dbuUm, roles, options, frame, crew);
            List<LargeShapes.Seen> large = LargeShapes.of(exposed.shapes(), frame);
            if (large.isEmpty()) {
                return new Merged(large, begin(exposed, new TileView(frame, Map.of()), state, crew));
            }
            state.put(drawn);
            return new Merged(large, null);
        }

        Begun cut(Map<Integer, WholeShape> known, int tile, TileRunner.State state, Workers crew) {
            TileFrame frame = tiles.tile(tile);
            Trapezoids drawn = state.take(Trapezoids.class);
            ExposedShapes exposed = TileUnits.exposed(drawn, source, dbuUm, roles, options, frame, crew);
            return begin(exposed, new TileView(frame, known), state, crew);
        }

        private Begun begin(ExposedShapes exposed, TileView view, TileRunner.State state, Workers crew) {
            Optional<TileUnits> cut =
                    TileUnits.cut(exposed, dbuUm, options, view, tiles.windowUm(), tiles.tiles(), crew);
            if (cut.isEmpty()) {
                return null;
            }
            TileModel model = cut.get().model(tiles.shared(), crew);
            if (options.levels().isPresent() || options.levelStudy()) {
                cut.get().prepareLevels(options, crew);
            }
            TileDoses doses = cut.get().doses(roles, options);
            Optional<SharedGrids> density = tiles.density();
            if (density.isPresent() || options.levelStudy()) {
                state.put(cut.get().samples());
            }
            if (density.isEmpty()) {
                options.longRange()
                        .loading()
                        .ifPresent(loading -> doses.load(
                                loading, Optional.empty(), cut.get(), cut.get().samples(), crew));
            }
            state.put(cut.get());
            state.put(model);
            state.put(doses);
            return new Begun(
                    doses.begin(model, crew),
                    density.map(d -> cut.get().coverage(d, crew)).orElse(List.of()),
                    cut.get().writtenUnits(),
                    cut.get().canJoin());
        }
    }

    /** What is known of the large shapes of each tile, by their numbers there. */
    private List<Map<Integer, WholeShape>> large(Merged[] merged) {
        return LargeShapes.whole(IntStream.range(0, merged.length)
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

    private Map<Integer, WholeShape> moved(Map<Integer, WholeShape> shapes, int to, int from) {
        Map<Integer, WholeShape> moved = new HashMap<>();
        shapes.forEach((number, shape) -> moved.put(number, shape.moved(grid.dx(to, from), grid.dy(to, from))));
        return moved;
    }

    /** Number of units that all tiles write. */
    long units() {
        return IntStream.range(0, unitsOf.length)
                .mapToLong(t -> unitsOf[equal.first(t)])
                .sum();
    }

    /** Whether any shape has several units, whose doses may become equal. */
    boolean canJoin() {
        return canJoin;
    }
}
