package evendose.tiles;

import evendose.correction.CorrectionOptions;
import evendose.correction.DoseLevels;
import evendose.correction.LayerRole;
import evendose.correction.LevelHistogram;
import evendose.correction.LevelRule;
import evendose.correction.TileDoses;
import evendose.correction.TileLevels;
import evendose.correction.TileSums;
import evendose.correction.TileUnits;
import evendose.energy.GridPart;
import evendose.energy.TileModel;
import evendose.parallel.Workers;
import java.io.Serializable;
import java.util.List;
import java.util.stream.IntStream;

/** Imposes levels on the doses of all tiles, in rounds: levels are placed by all doses, which take and leave them tile by tile. */
final class LevelRounds {
    /** How often a third of the doses moves: each twice, after which little is gained. */
    private static final int SWEEPS = 6;

    private final TileRounds rounds;
    private final TileGrid grid;
    private final LevelRule rule;
    private final double[] given;

    LevelRounds(TileRounds rounds, TileGrid grid, List<LayerRole> roles, CorrectionOptions options) {
        this.rounds = rounds;
        this.grid = grid;
        this.rule = options.levels().orElseThrow();
        this.given = roles.stream()
                .flatMapToDouble(r -> r.fixedDose().stream())
                .sorted()
                .distinct()
                .toArray();
    }

    /**
     * Levels that doses have, and what they cost.
     *
     * @param levels those that any dose has
     * @param most largest error that they add to the criterion, relative to the target
     * @param rms root mean square of it along the outline
     */
    record Imposed(DoseLevels levels, double most, double rms) {}

    /** What all tiles told of the doses before a round. */
    private record Judged(double squares, double most, double rms) {}

    /** Collects the doses by which levels are placed. */
    private record Collect(TileGrid grid) implements TileStep<Collected> {
        private static final long serialVersionUID = 1L;

        @Override
        public Collected of(TileRunner.State state, TileModel model, List<GridPart> energy, Workers crew) {
            TileDoses doses = state.get(TileDoses.class);
            LevelHistogram histogram = doses.collect(model, energy, state.get(TileUnits.class), grid::mark, crew);
            state.put(doses);
            return new Collected(histogram, doses.begin(model, crew));
        }

        @Override
        public TileSums sums(Collected result) {
            return result.sums;
        }
    }

    private record Collected(LevelHistogram histogram, TileSums sums) implements Serializable {}

    /** Judges doses on levels and moves them. */
    private record OnLevels(TileLevels.Move move) implements TileStep<TileLevels.Told> {
        private static final long serialVersionUID = 1L;

        @Override
        public TileLevels.Told of(TileRunner.State state, TileModel model, List<GridPart> energy, Workers crew) {
            TileDoses doses = state.get(TileDoses.class);
            TileLevels.Told told = doses.move(model, energy, move, crew);
            state.put(doses);
            return told;
        }

        @Override
        public TileSums sums(TileLevels.Told result) {
            return result.sums();
        }
    }

    /**
     * Imposes levels. Where levels at a constant ratio leave the smaller error, as one level alone may, these take the place of those placed by
     * the doses.
     */
    Imposed impose() {
        LevelHistogram all = new LevelHistogram();
        for (Collected ofTile : rounds.advance(new Collect(grid))) {
            if (ofTile != null) {
                all.add(ofTile.histogram);
            }
        }
        DoseLevels levels = all.levels(rule, given);
        snap(levels);
        if (rule.spacing() == LevelRule.Spacing.OPTIMAL) {
            DoseLevels even = all.levels(LevelRule.geometric(rule.count()), given);
            // Each round judges what the one before it did.
            double placed = snap(even).rms;
            double evenly = snap(levels).rms;
            if (evenly < placed) {
                levels = even;
                snap(even);
            }
        }
        return moved(levels);
    }

    private Judged snap(DoseLevels levels) {
        return judged(rounds.advance(new OnLevels(new TileLevels.Move(levels, -1, false, false))));
    }

    /** Moves doses among levels and goes back to those that leave the least error. */
    private Imposed moved(DoseLevels levels) {
        Judged best = new Judged(Double.POSITIVE_INFINITY, 0, 0);
        boolean isBest = false;
        int sweeps = levels.size() > 1 ? SWEEPS : 0;
        for (int sweep = 0; sweep <= sweeps; sweep++) {
            int third = sweep < sweeps ? sweep % TileLevels.THIRDS : -1;
            Judged now = judged(rounds.advance(new OnLevels(new TileLevels.Move(null, third, isBest, false))));
            isBest = now.squares < best.squares;
            best = isBest ? now : best;
        }
        List<TileLevels.Told> last = rounds.advance(new OnLevels(new TileLevels.Move(null, -1, isBest, true)));
        double[] used = IntStream.range(0, levels.size())
                .filter(k -> last.stream().anyMatch(t -> t != null && t.taken().get(k)))
                .mapToDouble(levels::factor)
                .toArray();
        return new Imposed(DoseLevels.of(used), best.most, best.rms);
    }

    private static Judged judged(List<TileLevels.Told> told) {
        double squares = 0;
        double most = 0;
        double outline = 0;
        double length = 0;
        for (TileLevels.Told ofTile : told) {
            if (ofTile != null) {
                squares += ofTile.squares();
                most = Math.max(most, ofTile.most());
                outline += ofTile.outline();
                length += ofTile.length();
            }
        }
        return new Judged(squares, most, length > 0 ? Math.sqrt(outline / length) : 0);
    }
}
