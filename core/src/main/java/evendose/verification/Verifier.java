package evendose.verification;

import evendose.correction.Criterion;
import evendose.correction.DrawnPattern;
import evendose.correction.LayerRole;
import evendose.correction.StoredDoses;
import evendose.geometry.Merge;
import evendose.geometry.Trapezoids;
import evendose.layout.Layer;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.TreeMap;

/**
 * Checks doses against the layout that they are for, independently of how they were found. Places on the drawn outline, the energies
 * there, edges, widths and the energy wanted share nothing with the correction but the table and the layout: energies are closed forms
 * ({@link evendose.energy.ExactEnergy}), places come from {@link EdgeGauges}, the wanted energy from {@link WantedEnergy}.
 * Single doses are judged unit by unit, a sample of at least a thousand units by closed forms; which units there are, the
 * cutter says again. Only the search along all edges and the look at the other units take the engine's energies (error below
 * 5e-5), since those are many: they may find more, but nothing rests on them alone.
 */
public final class Verifier {
    /** Random places on the outline, at least; their number grows with the layout. */
    public static final int FEWEST_PLACES = 1000;

    /** Random places on the outline of a layout of few edges that costs little. */
    private static final int MANY_PLACES = 2000;

    /** Places looked at without the doses, where closed forms take long. */
    private static final int FEWEST_BEFORE = 250;

    private static final int MOST_WIDTHS = 48;
    private static final int FEWEST_WIDTHS = 8;

    /** Closed-form integrals to spend on places and on widths: some seconds on two cores. */
    private static final double INTEGRALS = 3e8;

    private static final double INTEGRALS_PER_PLACE = 6;
    private static final double INTEGRALS_PER_WIDTH = 100;
    private static final int PER_CLASS = 3;
    private static final long SEED = 20240607;
    private static final int WORST = 50;

    /** Edge placements beyond this are among the places of concern, nm. */
    private static final double CONCERN_NM = 5;

    private Verifier() {}

    /**
     * Checks.
     *
     * @param exposure the doses, with options
     * @param stored the same as read back
     * @param drawn the layout, with the layers of {@code exposure} in their order; in a layout of pieces levels took the place of datatypes
     * @param allowedNm how far an edge may be off, nm; empty for a tenth of the feature
     * @param gauges where to measure widths; null for automatic places
     * @param sensitivityPercent by how much parameters are off in the sensitivity, %
     * @param workers threads to compute on
     * @param progress hears how far the work is
     * @return what was found
     */
    public static Verification verify(
            Exposure exposure,
            StoredDoses stored,
            DrawnPattern drawn,
            OptionalDouble allowedNm,
            GaugeChoice gauges,
            double sensitivityPercent,
            Workers workers,
            Progress progress) {
        return verify(
                exposure, stored, drawn, allowedNm, gauges, sensitivityPercent, Optional.empty(), workers, progress);
    }

    /**
     * Checks, and says how well a calibration lets widths and edges be known.
     *
     * @param exposure the doses, with options
     * @param stored the same as read back
     * @param drawn as above
     * @param allowedNm how far an edge may be off, nm; empty for a tenth of the feature
     * @param gauges where to measure widths; null for automatic places
     * @param sensitivityPercent by how much parameters are off in the sensitivity, %
     * @param process the calibration, if there is one
     * @param workers threads to compute on
     * @param progress hears how far the work is
     * @return what was found
     */
    public static Verification verify(
            Exposure exposure,
            StoredDoses stored,
            DrawnPattern drawn,
            OptionalDouble allowedNm,
            GaugeChoice gauges,
            double sensitivityPercent,
            Optional<CalibratedProcess> process,
            Workers workers,
            Progress progress) {
        requireSameLayers(exposure.roles(), drawn.roles(), stored.rounded());
        double dbuUm = drawn.unit().um();
        Trapezoids layout = Merge.of(drawn.polygons(), drawn.roles().size(), workers, progress);
        double tolerance = exposure.options().rules().reachUm(dbuUm, stored.rounded());
        AreaCheck areas = AreaCheck.of(layout, dbuUm, exposure.pieces(), tolerance, workers, progress);
        OutlineEdges edges = OutlineEdges.of(layout, dbuUm);
        progress.begin("energies", 0);
        PointEnergy fieldAfter = exposure.fields(workers, progress).of(true);
        double slack = 2 * tolerance;
        PointEnergy before = exposure.exact(false);
        PointEnergy after = exposure.exact(true);
        double cost = exposure.integralsPerPoint();
        double ratio = levelRatio(exposure, stored);
        DoseCheck doses = DoseCheck.of(
                exposure, layout, dbuUm, fieldAfter, after, INTEGRALS / cost, ratio, slack, workers, progress);

        int fewest = FEWEST_PLACES + (int) Math.sqrt(edges.size()) / 4;
        int places = limit(INTEGRALS / (INTEGRALS_PER_PLACE * cost), fewest, Math.max(fewest, MANY_PLACES));
        progress.begin("edge placement", 0);
        EdgeGauges random = EdgeGauges.awayFromCorners(edges, exposure, places, EdgeGauges.Region.ALL, SEED);
        int few = limit(INTEGRALS / (INTEGRALS_PER_PLACE * cost), FEWEST_BEFORE, places);
        EdgeGauges some =
                few < places ? EdgeGauges.awayFromCorners(edges, exposure, few, EdgeGauges.Region.ALL, SEED) : random;
        ContourSearch search = ContourSearch.of(exposure.psf());
        double[] placedBefore = some.placementsNm(before, search, workers);
        double[] placedAfter = random.placementsNm(after, search, workers);
        double[] energyOff = random.energyErrors(after, workers);
        double levels = Math.sqrt(ratio) - 1;
        EnergyBias bias = exposure.options().criterion() == Criterion.EDGE
                ? EnergyBias.onEdges(exposure, random, edges, energyOff, levels, slack)
                : EnergyBias.inAreas(exposure, layout, dbuUm, after, places, levels, slack, workers);

        progress.begin("line widths", 0);
        PointSpreadFunction main =
                PointSpreadFunction.from(List.of(exposure.psf().main()));
        WidthGauges finder = new WidthGauges(edges, exposure, exposure.exact(false, main));
        int most = limit(INTEGRALS / (INTEGRALS_PER_WIDTH * cost), FEWEST_WIDTHS, MOST_WIDTHS);
        List<WidthGauge> widthGauges = gauges == null
                ? finder.automatic(random, widestUm(exposure), PER_CLASS, most)
                : gauges.choose(finder, widestUm(exposure));
        List<LineWidth> widths = new WidthMeasurement(exposure).measure(before, after, widthGauges, workers);
        Sensitivity sensitivity = Sensitivity.of(
                exposure, widthGauges, sensitivityPercent, after, psf -> exposure.exact(true, psf), workers, progress);

        boolean areLevels = stored.rounded()
                || stored.levelRatio() > 1
                || exposure.options().levels().isPresent();
        Optional<Uncertainty> uncertainty = process.map(p -> Uncertainty.of(
                exposure,
                areLevels,
                p,
                widthGauges,
                edges,
                EdgeGauges.awayFromCorners(edges, exposure, FEWEST_BEFORE, EdgeGauges.Region.ALL, SEED),
                slack,
                workers,
                progress));

        progress.begin("searching the outline", 0);
        OutlineScan scan = scan(exposure, edges, fieldAfter, after, INTEGRALS / cost, workers);
        EdgeOutcomes outcomes = EdgeOutcomes.of(random, edges, placedAfter, widestUm(exposure), allowedNm);
        List<TroubleSpot> worst = new ArrayList<>(areas.spots());
        worst.addAll(doses.spots());
        for (StoredDoses.SplitUnit split : stored.splitUnits()) {
            worst.add(new TroubleSpot(
                    TroubleSpot.Kind.WRONG_DOSE,
                    split.xUm(),
                    split.yUm(),
                    Math.abs(split.ratio() - 1),
                    String.format(
                            Locale.ROOT,
                            "%s: the dose is %.4f times that of the same unit's piece before",
                            split.place(),
                            split.ratio())));
        }
        worst.addAll(scan.spots());
        worst.addAll(outcomes.failures());
        worst.addAll(farOff(random, placedAfter));
        worst.sort(TroubleSpot::compare);

        double[] energyBefore = some.awayFromCorners(some.energyErrors(before, workers));
        double[] energyAfter = random.awayFromCorners(energyOff);
        double[] goodBefore = some.awayFromCorners(placedBefore);
        double[] goodAfter = random.awayFromCorners(placedAfter);
        return new Verification(
                verdict(exposure, outcomes, scan, allowedNm),
                areas,
                doses,
                bias.complaint(),
                bias.bias(),
                stored.splitUnits().size(),
                stored.contradictions(),
                exposure.threshold(),
                goodAfter.length,
                random.nearCorners(),
                Spread.of(energyBefore),
                Spread.of(energyAfter),
                Spread.of(goodBefore),
                Spread.of(goodAfter),
                infinite(goodBefore),
                infinite(goodAfter),
                widths,
                scan.edges(),
                sensitivity,
                uncertainty,
                shortened(worst));
    }

    private static void requireSameLayers(List<LayerRole> dosed, List<LayerRole> drawn, boolean byNumber) {
        boolean same = dosed.size() == drawn.size();
        for (int g = 0; same && g < dosed.size(); g++) {
            Layer of = dosed.get(g).layer();
            Layer on = drawn.get(g).layer();
            same = byNumber ? of.number() == on.number() : of.equals(on);
        }
        if (!same) {
            throw new IllegalArgumentException("doses are for " + dosed + ", the layout is taken as " + drawn);
        }
    }

    /** Edges are no promise where layers are to reach depths of their own. */
    static Verdict verdict(Exposure exposure, EdgeOutcomes outcomes, OutlineScan scan, OptionalDouble allowedNm) {
        return exposure.isGreyTone() ? Verdict.ofNoEdges() : Verdict.of(outcomes, scan, allowedNm);
    }

    /** By closed forms if there are few edges; else by the engine, and a sample by closed forms. */
    private static OutlineScan scan(
            Exposure exposure,
            OutlineEdges edges,
            PointEnergy field,
            PointEnergy closedForms,
            double points,
            Workers workers) {
        int exact = limit(points / 2, FEWEST_PLACES, OutlineScan.MOST_EDGES);
        OutlineScan sample = OutlineScan.of(exposure, edges, closedForms, EdgeGauges.Region.ALL, exact, workers);
        if (edges.size() <= exact) {
            return sample;
        }
        OutlineScan all = OutlineScan.of(exposure, edges, field, EdgeGauges.Region.ALL, workers);
        return sample.lost() + sample.closed() > all.lost() + all.closed() ? sample : all;
    }

    /** Largest ratio of neighbouring doses where these were snapped to levels, else 1. */
    private static double levelRatio(Exposure exposure, StoredDoses stored) {
        double largest = stored.levelRatio();
        if (exposure.options().levels().isPresent()) {
            double[] distinct = java.util.Arrays.stream(exposure.corrected())
                    .sorted()
                    .distinct()
                    .toArray();
            for (int k = 1; k < distinct.length; k++) {
                largest = Math.max(largest, distinct[k] / distinct[k - 1]);
            }
        }
        return largest;
    }

    /** A way to choose width gauges, given a finder and the widest shape to measure, um. */
    @FunctionalInterface
    public interface GaugeChoice {
        /**
         * {@return where to measure}
         *
         * @param finder finds lines and gaps
         * @param widestUm widest line or gap looked for, um
         */
        List<WidthGauge> choose(WidthGauges finder, double widestUm);
    }

    /** Shapes wider than two main ranges have edges that know nothing of each other. */
    static double widestUm(Exposure exposure) {
        return 2 * exposure.psf().main().rangeUm();
    }

    static List<TroubleSpot> farOff(EdgeGauges places, double[] placementNm) {
        List<TroubleSpot> spots = new ArrayList<>();
        for (int g = 0; g < places.size(); g++) {
            double off = placementNm[g];
            if (!places.corner[g] && Double.isFinite(off) && Math.abs(off) > CONCERN_NM) {
                spots.add(TroubleSpot.edge(places.xUm[g], places.yUm[g], off));
            }
        }
        return spots;
    }

    /** At most {@link #WORST} in all, of no kind so many that a graver or milder one is hidden. */
    private static List<TroubleSpot> shortened(List<TroubleSpot> sorted) {
        Map<TroubleSpot.Kind, Integer> counts = new TreeMap<>();
        List<TroubleSpot> kept = new ArrayList<>();
        for (TroubleSpot spot : sorted) {
            boolean told = kept.stream()
                    .anyMatch(k -> k.kind() == spot.kind() && k.xUm() == spot.xUm() && k.yUm() == spot.yUm());
            if (!told && counts.merge(spot.kind(), 1, Integer::sum) <= WORST / 5) {
                kept.add(spot);
            }
        }
        return kept.subList(0, Math.min(WORST, kept.size()));
    }

    private static int limit(double wanted, int fewest, int most) {
        return (int) Math.max(fewest, Math.min(most, wanted));
    }

    static int infinite(double[] values) {
        int count = 0;
        for (double v : values) {
            count += Double.isInfinite(v) ? 1 : 0;
        }
        return count;
    }
}
