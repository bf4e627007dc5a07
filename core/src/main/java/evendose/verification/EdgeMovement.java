package evendose.verification;

import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DoseTable;
import evendose.correction.DrawnPattern;
import evendose.correction.EdgeMove;
import evendose.files.BadInputException;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.stream.IntStream;

/**
 * Parts of the outline that are exposed elsewhere because no dose puts their edge where it is drawn. Doses come first; where an edge then
 * still lies farther off than the verdict allows, its part moves by what it is off, doses are found anew, and so on until edges and drawn
 * outline agree, to half a step of the grid, or nothing is won any more. Then what was best in each neighbourhood is joined, and the
 * search goes on from there. Of all rounds the best counts, which may be the one without any move: one is better than another if no more
 * places are off, edges lie no farther off (root mean square and worst), and no more doses are held at a bound.
 *
 * @param mostNm how far a part may move, nm
 * @param rounds corrections with moved edges that were tried
 * @param before edges with factor 1 everywhere
 * @param doses edges with doses alone
 * @param both edges with doses and moved edges
 * @param moved what moves, along the outline; empty if nothing needs to or nothing is won
 * @param left where edges still lie farther off than allowed, the worst first
 */
public record EdgeMovement(
        double mostNm, int rounds, Outcome before, Outcome doses, Outcome both, List<Moved> moved, List<Left> left) {
    private static final int MOST_ROUNDS = 20;

    /** Rounds without gain before the search ends. */
    private static final int IN_VAIN = 4;

    /** Parts move no farther at once than so many times the way that the energy asks for. */
    private static final double BY_ENERGY = 2;

    /** What a place without an edge counts in means, nm: that far at least contours are looked for. */
    private static final double NO_EDGE_NM = 500;

    /**
     * Where edges lie.
     *
     * @param places number of places along the outline, line ends among them, other corners left out
     * @param troubled number of those at which a line is lost, a gap closes or the edge lies farther off than allowed
     * @param gone number of those without an edge, which count in no mean
     * @param placementNm distance from drawn to developed edge, nm
     */
    public record Outcome(int places, int troubled, int gone, Spread placementNm) {}

    /**
     * A part that moves.
     *
     * @param move where it goes
     * @param offWithDosesNm how far the edge is off with doses alone, nm, at the worst place; positive if outside
     * @param offNm how far it is off in the end
     */
    public record Moved(EdgeMove move, double offWithDosesNm, double offNm) {}

    /**
     * A place that is not mended.
     *
     * @param spot the place and what is wrong
     * @param why why moving does not mend it, a clause
     */
    public record Left(TroubleSpot spot, String why) {}

    /**
     * Finds what to move.
     *
     * @param drawn the pattern
     * @param options how to correct, with the edge criterion and no moves yet
     * @param allowedNm how far an edge may be off, nm; empty for a tenth of the feature
     * @param mostUm how far a part may move, um, at least a step of the grid
     * @param workers threads to compute on
     * @param progress hears how far the work is
     * @return what was found
     * @throws IllegalArgumentException if parts may move by less than a step of the grid
     */
    public static EdgeMovement of(
            DrawnPattern drawn,
            CorrectionOptions options,
            OptionalDouble allowedNm,
            double mostUm,
            Workers workers,
            Progress progress) {
        double gridUm = gridUm(options, drawn);
        if (!(mostUm >= gridUm * (1 - 1e-9))) {
            throw new IllegalArgumentException(String.format(
                    Locale.ROOT,
                    "edges move by whole steps of the grid, %.4g nm; allow at least one, got %.4g nm",
                    1e3 * gridUm,
                    1e3 * mostUm));
        }
        return new Finder(drawn, options, allowedNm, gridUm, mostUm, workers, progress).find();
    }

    /**
     * {@return how far parts may move unless the user says, um: the direct range, a step of the grid at least}
     *
     * @param options have the point spread function and the grid
     * @param drawn has the database unit
     */
    public static double usualMostUm(CorrectionOptions options, DrawnPattern drawn) {
        return Math.max(options.psf().direct().rangeUm(), gridUm(options, drawn));
    }

    private static double gridUm(CorrectionOptions options, DrawnPattern drawn) {
        return options.rules().gridUm() == 0
                ? drawn.unit().um()
                : options.rules().gridUm();
    }

    /** {@return the moves alone} */
    public List<EdgeMove> moves() {
        return moved.stream().map(Moved::move).toList();
    }

    /**
     * {@return a verdict that tells what is left as well: it looks at some places, this at all, and at ends of lines}
     *
     * @param verdict the verdict on the doses with moved edges
     */
    public Verdict judged(Verdict verdict) {
        return left.isEmpty()
                ? verdict
                : verdict.with(
                        List.of(String.format(
                                Locale.ROOT,
                                "%,d place%s along the outline, ends of lines among them, lie%s farther off than allowed, and no move"
                                        + " of edges mends %s.",
                                left.size(),
                                left.size() == 1 ? "" : "s",
                                left.size() == 1 ? "s" : "",
                                left.size() == 1 ? "it" : "them")),
                        List.of());
    }

    /** One correction and what it does to edges. */
    private static final class Look {
        final int[] steps;

        /** Where the edge lies at each place, nm. */
        final double[] placementNm;

        /** By how much each part is off, nm: the mean of its places, of which none counts more than the energy there asks for. */
        final double[] offNm;

        /** Where each part is off the most, nm. */
        final double[] worstOfPartNm;

        final boolean[] troubled;
        final Outcome outcome;
        final long held;
        final double rmsNm;
        final double worstNm;

        Look(int[] steps, OutlineParts parts, double[] placementNm, double[] byEnergyNm, boolean[] wrong, long held) {
            this.steps = steps;
            this.placementNm = placementNm;
            this.held = held;
            this.outcome = outcome(placementNm, wrong);
            this.offNm = new double[steps.length];
            this.worstOfPartNm = new double[steps.length];
            this.troubled = new boolean[steps.length];
            int[] count = new int[steps.length];
            for (int g = 0; g < placementNm.length; g++) {
                int p = parts.places().get(g).part();
                double nm = placementNm[g];
                offNm[p] += Math.signum(nm) * Math.min(Math.abs(nm), BY_ENERGY * Math.abs(byEnergyNm[g]));
                worstOfPartNm[p] = Math.abs(nm) > Math.abs(worstOfPartNm[p]) ? nm : worstOfPartNm[p];
                troubled[p] |= wrong[g];
                count[p]++;
            }
            Arrays.setAll(offNm, p -> offNm[p] / count[p]);
            double[] counted = Arrays.stream(placementNm)
                    .map(p -> Math.min(NO_EDGE_NM, Math.abs(p)))
                    .toArray();
            this.rmsNm =
                    Math.sqrt(Arrays.stream(counted).map(p -> p * p).average().orElse(0));
            this.worstNm = Arrays.stream(counted).max().orElse(0);
        }

        static Outcome outcome(double[] placementNm, boolean[] troubled) {
            int wrong = 0;
            for (boolean t : troubled) {
                wrong += t ? 1 : 0;
            }
            return new Outcome(placementNm.length, wrong, Verifier.infinite(placementNm), Spread.of(placementNm));
        }

        boolean isBetterThan(Look other, double mostNm) {
            return outcome.troubled <= other.outcome.troubled
                    && rmsNm < other.rmsNm
                    && worstNm <= mostNm
                    && held <= other.held;
        }
    }

    /** Looks for moves. */
    private static final class Finder {
        private final DrawnPattern drawn;
        private final CorrectionOptions options;
        private final OptionalDouble allowedNm;
        private final double gridUm;
        private final double mostUm;
        private final Workers workers;
        private final Progress progress;

        private final Exposure unmoved;
        private final OutlineParts parts;
        private final Feature[] features;
        private final int[] room;
        private final int[] roomInside;
        private final boolean[] moves;
        private final double[] gain;
        private final double slopePerUm;
        private int rounds;
        private double leastWorstNm = Double.MAX_VALUE;

        Finder(
                DrawnPattern drawn,
                CorrectionOptions options,
                OptionalDouble allowedNm,
                double gridUm,
                double mostUm,
                Workers workers,
                Progress progress) {
            this.drawn = drawn;
            this.options = options.toBuilder().levelStudy(false).build();
            this.allowedNm = allowedNm;
            this.gridUm = gridUm;
            this.mostUm = mostUm;
            this.workers = workers;
            this.progress = progress;
            this.unmoved = Exposure.of(table(List.of()));
            Trapezoids merged = drawn.merged(workers, Progress.NONE);
            this.parts = new OutlineParts(merged, drawn.unit().um(), unmoved, gridUm);
            this.features = new Feature[parts.places().size()];
            this.room = new int[parts.size()];
            this.roomInside = new int[parts.size()];
            this.moves = new boolean[parts.size()];
            this.gain = new double[parts.size()];
            Arrays.fill(gain, 1);
            PointSpreadFunction psf = options.psf();
            this.slopePerUm = psf.terms().subList(0, psf.directTerms()).stream()
                    .mapToDouble(t -> t.weight() / (Math.sqrt(Math.PI) * t.rangeUm()))
                    .sum();
        }

        private DoseTable table(List<EdgeMove> moved) {
            return Corrector.correct(drawn, options.toBuilder().moves(moved).build());
        }

        EdgeMovement find() {
            ExposureFields fields = unmoved.fields(workers, Progress.NONE);
            Look first = look(new int[parts.size()], unmoved, fields);
            double[] uncorrectedNm = placements(unmoved, fields.of(false));
            Outcome before = Look.outcome(uncorrectedNm, troubled(uncorrectedNm));
            BestMoves seen = new BestMoves(parts, options.psf().direct().rangeUm());
            seen.add(first.steps, first.worstOfPartNm, first.troubled);
            Look best = first;
            for (Look from = null; best != from && rounds < MOST_ROUNDS; ) {
                from = best;
                best = joined(searched(from, seen), seen);
            }
            if (best != first) {
                best = withoutVain(best, first);
            }
            return result(before, first, best);
        }

        /** The best of rounds that go on from a state until nothing is won any more. */
        private Look searched(Look from, BestMoves seen) {
            Look best = from;
            Look now = from;
            for (int inVain = 0; rounds < MOST_ROUNDS && inVain < IN_VAIN; ) {
                int[] next = next(now);
                if (seen.has(next)) {
                    break;
                }
                Optional<Look> then = tried(next);
                if (then.isEmpty()) {
                    Arrays.setAll(gain, p -> 0.5 * gain[p]);
                    inVain++;
                    continue;
                }
                damp(now, then.get());
                now = then.get();
                seen.add(now.steps, now.worstOfPartNm, now.troubled);
                boolean better = isBetter(now, best);
                best = better ? now : best;
                inVain = better ? 0 : inVain + 1;
            }
            return best;
        }

        /** The moves that were the best for each neighbourhood, together, if that is better than before. */
        private Look joined(Look before, BestMoves seen) {
            int[] steps = seen.steps();
            Optional<Look> then = seen.has(steps) ? Optional.empty() : tried(steps);
            then.ifPresent(look -> seen.add(look.steps, look.worstOfPartNm, look.troubled));
            return then.filter(look -> isBetter(look, before)).orElse(before);
        }

        /** Worst places may lie half a step farther off than in the round where they lay nearest, and no farther by more such rounds. */
        private boolean isBetter(Look look, Look than) {
            leastWorstNm = Math.min(leastWorstNm, than.worstNm);
            return look.isBetterThan(than, leastWorstNm + 0.5e3 * gridUm);
        }

        /** Takes back what brought nothing, if that is no loss. */
        private Look withoutVain(Look best, Look first) {
            int[] steps = best.steps.clone();
            for (int p = 0; p < steps.length; p++) {
                if (Math.abs(best.worstOfPartNm[p]) >= Math.abs(first.worstOfPartNm[p])) {
                    steps[p] = 0;
                }
            }
            if (Arrays.equals(steps, best.steps)) {
                return best;
            }
            return tried(steps).filter(l -> l.isBetterThan(best, best.worstNm)).orElse(best);
        }

        private Optional<Look> tried(int[] steps) {
            rounds++;
            List<EdgeMove> moved =
                    parts.spans(steps).stream().map(OutlineParts.Span::move).toList();
            try {
                Exposure exposure = Exposure.of(table(moved));
                return Optional.of(look(steps, exposure, exposure.fields(workers, Progress.NONE)));
            } catch (BadInputException e) {
                // Shapes would touch.
                return Optional.empty();
            }
        }

        private static long held(Exposure exposure) {
            return IntStream.range(0, exposure.pieces().units())
                    .filter(u -> exposure.status(u).isHeld())
                    .count();
        }

        private Look look(int[] steps, Exposure exposure, ExposureFields fields) {
            PointEnergy energy = fields.of(true);
            double[] nm = placements(exposure, energy);
            double[] byEnergy = parts.gauges(exposure).energyErrors(energy, workers);
            for (int p = 0; p < byEnergy.length; p++) {
                byEnergy[p] *= 1e3 * exposure.threshold() / slopePerUm;
            }
            return new Look(steps, parts, nm, byEnergy, troubled(nm), held(exposure));
        }

        private double[] placements(Exposure exposure, PointEnergy energy) {
            progress.begin("looking where edges lie", 0);
            return parts.gauges(exposure).placementsNm(energy, ContourSearch.of(exposure.psf()), workers);
        }

        /** Whether the edge lies farther off than allowed at each place; not within half a step of the grid, which no move mends. */
        private boolean[] troubled(double[] placementNm) {
            boolean[] troubled = new boolean[placementNm.length];
            workers.runRanges(troubled.length, 256, (from, to, part) -> {
                for (int p = from; p < to; p++) {
                    troubled[p] = trouble(p, placementNm[p]).isPresent();
                }
            });
            return troubled;
        }

        private Optional<TroubleSpot> trouble(int g, double nm) {
            if (Math.abs(nm) <= 0.5e3 * gridUm) {
                return Optional.empty();
            }
            OutlineParts.Place place = parts.places().get(g);
            if (features[g] == null) {
                features[g] = parts.feature(place);
            }
            return features[g].trouble(parts.xUm(place), parts.yUm(place), nm, allowedNm);
        }

        /** Where parts go next: those that are off, and those that are a step off on a side of which another part moves. */
        private int[] next(Look now) {
            int[] steps = now.steps.clone();
            for (int from = 0; from < steps.length; ) {
                int to = from;
                boolean any = false;
                for (;
                        to < steps.length
                                && parts.part(to).edge() == parts.part(from).edge();
                        to++) {
                    any |= moves[to] || (now.troubled[to] && parts.part(to).held() == OutlineParts.Held.FREE);
                }
                for (int p = from; any && p < to; p++) {
                    if (!moves[p] && (now.troubled[p] || Math.abs(now.offNm[p]) > 1e3 * gridUm)) {
                        moves[p] = true;
                        room[p] = (int) (parts.roomUm(p, 1, mostUm) / gridUm + 1e-6);
                        roomInside[p] = (int) (parts.roomUm(p, -1, mostUm) / gridUm + 1e-6);
                    }
                    if (moves[p]) {
                        steps[p] = step(p, now);
                    }
                }
                from = to;
            }
            return steps;
        }

        /** In a gap the contour may lie far off, or nowhere, where the energy is nearly right: {@link Look#offNm} has that in view. */
        private int step(int p, Look now) {
            double limit = 1e3 * options.psf().direct().rangeUm();
            double off = Math.max(-limit, Math.min(limit, now.offNm[p]));
            double wanted =
                    Math.abs(off) <= 0.5e3 * gridUm ? now.steps[p] : now.steps[p] - gain[p] * off / (1e3 * gridUm);
            return (int) Math.max(-roomInside[p], Math.min(room[p], Math.rint(wanted)));
        }

        /** Halves the way of parts that went too far. */
        private void damp(Look before, Look after) {
            for (int p = 0; p < gain.length; p++) {
                if (after.steps[p] != before.steps[p]
                        && before.offNm[p] * after.offNm[p] < 0
                        && Math.abs(after.offNm[p]) > 0.5 * Math.abs(before.offNm[p])) {
                    gain[p] *= 0.5;
                }
            }
        }

        private EdgeMovement result(Outcome before, Look first, Look best) {
            List<Moved> moved = new ArrayList<>();
            for (OutlineParts.Span span : parts.spans(best.steps)) {
                moved.add(new Moved(
                        span.move(),
                        worst(first.worstOfPartNm, span.first(), span.end()),
                        worst(best.worstOfPartNm, span.first(), span.end())));
            }
            List<Left> left = new ArrayList<>();
            for (int g = 0; g < best.placementNm.length; g++) {
                int part = parts.places().get(g).part();
                trouble(g, best.placementNm[g]).ifPresent(spot -> left.add(new Left(spot, why(part, best))));
            }
            left.sort(Comparator.comparing(Left::spot, TroubleSpot::compare));
            return new EdgeMovement(
                    1e3 * mostUm, rounds, before, first.outcome, best.outcome, List.copyOf(moved), List.copyOf(left));
        }

        private static double worst(double[] nm, int from, int to) {
            double worst = 0;
            for (int p = from; p < to; p++) {
                worst = Math.abs(nm[p]) > Math.abs(worst) ? nm[p] : worst;
            }
            return worst;
        }

        private String why(int p, Look best) {
            OutlineParts.Part part = parts.part(p);
            if (part.held() == OutlineParts.Held.CURVED) {
                return "its outline is a curve of short sides, which do not move";
            }
            if (part.held() == OutlineParts.Held.SEAM) {
                return "its shape abuts another layer";
            }
            int way = best.offNm[p] > 0 ? -1 : 1;
            int steps = moves[p] ? (way > 0 ? room[p] : roomInside[p]) : Integer.MAX_VALUE;
            if (way * best.steps[p] < steps) {
                return "moving it further wins nothing";
            }
            return (steps + 1) * gridUm > mostUm * (1 + 1e-9)
                    ? "its part has moved as far as allowed"
                    : "its part has moved by a quarter of the line or gap beside it, the most that is safe";
        }
    }
}
