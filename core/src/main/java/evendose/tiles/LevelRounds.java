package evendose.tiles;

import evendose.correction.CorrectionOptions;
import evendose.correction.DoseLevels;
import evendose.correction.LayerRole;
import evendose.correction.LevelHistogram;
import evendose.correction.LevelRule;
import evendose.correction.LevelTrial;
import evendose.correction.TileDoses;
import evendose.correction.TileLevels;
import evendose.correction.TileSums;
import evendose.correction.TileUnits;
import evendose.energy.GridPart;
import evendose.energy.TileModel;
import evendose.parallel.Workers;
import evendose.pieces.Samples;
import java.io.Serializable;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.BitSet;
import java.util.HashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;

/** Imposes levels on the doses of all tiles, in rounds: levels are placed by all doses, which take and leave them tile by tile. */
final class LevelRounds {
    /** How often a third of the doses moves: each twice, after which little is gained. */
    private static final int SWEEPS = 6;

    private final TileRounds rounds;
    private final CorrectionOptions options;
    private final double[] given;
    private final LevelHistogram all = new LevelHistogram();

    /** Number of different doses, if they are no more than a study tries levels. */
    private final long different;

    /** Levels that doses have as they are. */
    private BitSet taken = new BitSet();

    /** Whether the doses that were judged last are the best so far. */
    private boolean isLastBest;

    /** Collects the doses of all tiles. */
    LevelRounds(TileRounds rounds, TileGrid grid, List<LayerRole> roles, CorrectionOptions options) {
        this.rounds = rounds;
        this.options = options;
        this.given = roles.stream()
                .flatMapToDouble(r -> r.fixedDose().stream())
                .sorted()
                .distinct()
                .toArray();
        Set<Double> some = new HashSet<>();
        for (Collected ofTile : rounds.advance(new Collect(grid, options))) {
            if (ofTile != null) {
                all.add(ofTile.histogram);
                Arrays.stream(ofTile.different).forEach(some::add);
            }
        }
        different = some.size();
    }

    /**
     * Levels that doses have, and what they cost.
     *
     * @param levels those that any dose has
     * @param most largest error that they add to the criterion, relative to the target
     * @param rms root mean square of it along the outline
     */
    record Imposed(DoseLevels levels, double most, double rms) {}

    /**
     * What all tiles told of the doses before a round.
     *
     * @param taken the levels that they had
     */
    private record Judged(double squares, double most, double rms, TileLevels.Widths widths, BitSet taken) {}

    /** Collects the doses by which levels are placed. */
    private record Collect(TileGrid grid, CorrectionOptions options) implements TileStep<Collected> {
        private static final long serialVersionUID = 1L;

        @Override
        public Collected of(TileRunner.State state, TileModel model, List<GridPart> energy, Workers crew) {
            TileDoses doses = state.get(TileDoses.class);
            Optional<Samples> samples =
                    options.levelStudy() ? Optional.of(state.take(Samples.class)) : Optional.empty();
            LevelHistogram histogram =
                    doses.collect(model, energy, state.get(TileUnits.class), grid::mark, options, samples, crew);
            state.put(doses);
            int[] studied = LevelTrial.studied();
            return new Collected(histogram, doses.different(studied[studied.length - 1]), doses.begin(model, crew));
        }

        @Override
        public TileSums sums(Collected result) {
            return result.sums;
        }
    }

    private record Collected(LevelHistogram histogram, double[] different, TileSums sums) implements Serializable {}

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
     * Tries numbers of levels with both spacings, as {@code LevelTrials} does without tiles. Doses are on levels afterwards, which {@link #impose} or {@link TileStep.Join}
     * ends.
     */
    List<LevelTrial> study() {
        List<LevelTrial> study = new ArrayList<>();
        for (int count : LevelTrial.studied()) {
            if (count > given.length && count <= different) {
                LevelTrial optimal = tried(LevelRule.optimal(count));
                LevelTrial even = tried(LevelRule.geometric(count));
                study.add(optimal.orBetter(even));
                study.add(even);
            }
        }
        return study;
    }

    private LevelTrial tried(LevelRule rule) {
        DoseLevels levels = all.levels(rule, given);
        snap(levels);
        List<Judged> judged = new ArrayList<>();
        Judged best = moved(levels, judged);
        Judged snapped = judged.get(0);
        return new LevelTrial(
                rule,
                best.taken.cardinality(),
                snapped.most,
                snapped.rms,
                best.most,
                best.rms,
                best.widths.mostNm(),
                best.widths.rmsNm());
    }

    /**
     * Imposes the levels of the options. Where levels at a constant ratio leave the smaller error, as one level alone may, these take the place of those placed by
     * the doses.
     */
    Imposed impose() {
        LevelRule rule = options.levels().orElseThrow();
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
        Judged best = moved(levels, new ArrayList<>());
        rounds.advance(new OnLevels(new TileLevels.Move(null, -1, isLastBest, true)));
        double[] used = best.taken.stream().mapToDouble(levels::factor).toArray();
        return new Imposed(DoseLevels.of(used), best.most, best.rms);
    }

    private Judged snap(DoseLevels levels) {
        return judged(new TileLevels.Move(levels, -1, false, false));
    }

    /** Moves doses among levels, and tells which of them leave the least error. */
    private Judged moved(DoseLevels levels, List<Judged> each) {
        isLastBest = false;
        Judged best = null;
        int sweeps = levels.size() > 1 ? SWEEPS : 0;
        for (int sweep = 0; sweep <= sweeps; sweep++) {
            int third = sweep < sweeps ? sweep % TileLevels.THIRDS : -1;
            Judged now = judged(new TileLevels.Move(null, third, isLastBest, false));
            each.add(now);
            isLastBest = best == null || now.squares < best.squares;
            best = isLastBest ? now : best;
        }
        return best;
    }

    private Judged judged(TileLevels.Move move) {
        double squares = 0;
        double most = 0;
        double outline = 0;
        double length = 0;
        TileLevels.Widths widths = TileLevels.Widths.NONE;
        BitSet before = taken;
        taken = new BitSet();
        for (TileLevels.Told ofTile : rounds.advance(new OnLevels(move))) {
            if (ofTile != null) {
                squares += ofTile.squares();
                most = Math.max(most, ofTile.most());
                outline += ofTile.outline();
                length += ofTile.length();
                widths = widths.and(ofTile.widths());
                taken.or(ofTile.taken());
            }
        }
        return new Judged(squares, most, length > 0 ? Math.sqrt(outline / length) : 0, widths, before);
    }
}
