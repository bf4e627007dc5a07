package evendose.verification;

import evendose.correction.Criterion;
import evendose.correction.DrawnPattern;
import evendose.correction.EdgeMove;
import evendose.correction.ExposedShapes;
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

    /** Corners of an outline that was moved lie off the grid: rounding them to it comes on top of what pieces stray anyway. */
    private static final double OFF_GRID = 2;

    /** Edge placements beyond this are among the places of concern, nm. */
    private static final double CONCERN_NM = 5;

    private final Exposure exposure;
    private final StoredDoses stored;
    private final Workers workers;
    private final Progress progress;

    // What was drawn, merged, and how far from its outline pieces may lie, um.
    private final double dbuUm;
    private final Trapezoids layout;
    private final OutlineEdges edges;
    private final double toleranceUm;

    // What of it should be exposed.
    private final ExposedShapes exposed;

    private final double integralsPerPoint;

    private Verifier(Exposure exposure, StoredDoses stored, DrawnPattern drawn, Workers workers, Progress progress) {
        this.exposure = exposure;
        this.stored = stored;
        this.workers = workers;
        this.progress = progress;
        dbuUm = drawn.unit().um();
        layout = Merge.of(drawn.polygons(), drawn.roles().size(), workers, progress);
        edges = OutlineEdges.of(layout, dbuUm);
        exposed = ExposedShapes.of(layout, dbuUm, exposure.roles(), exposure.options(), workers, progress);
        double reach = exposure.options().rules().reachUm(dbuUm, stored.rounded());
        boolean onGrid = exposure.options().biasUm() == 0
                && exposure.options().moves().stream().allMatch(EdgeMove::isUpright);
        toleranceUm = onGrid ? reach : OFF_GRID * reach;
        integralsPerPoint = exposure.integralsPerPoint();
    }

    /**
     * Checks doses, areas, edges and widths.
     *
     * @param exposure the doses, with options
     * @param stored the same as read back
     * @param drawn the layout, with the layers of {@code exposure} in their order; in a layout of pieces levels took the place of datatypes
     * @param allowedNm how far an edge may be off, nm; empty for a tenth of the feature
     * @param gauges where to measure widths; null for automatic places
     * @param sensitivityPercent by how much parameters are off in the sensitivity, %
     * @param process the calibration, if there is one: what follows from how well it is known is told then
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
        return new Verifier(exposure, stored, drawn, workers, progress)
                .verification(allowedNm, gauges, sensitivityPercent, process);
    }

    private Verification verification(
            OptionalDouble allowedNm,
            GaugeChoice gauges,
            double sensitivityPercent,
            Optional<CalibratedProcess> process) {
        AreaCheck areas = AreaCheck.of(exposed.shapes(), dbuUm, exposure.pieces(), toleranceUm, workers, progress);

        progress.begin("energies", 0);
        Energies energies = Energies.of(exposure, workers, progress);
        DoseCheck doses = doses(energies);

        progress.begin("edge placement", 0);
        Placements placed = placements(energies);
        EnergyBias bias = bias(energies, placed);

        progress.begin("line widths", 0);
        List<WidthGauge> widthGauges = widthGauges(placed.places, gauges);
        List<LineWidth> widths =
                new WidthMeasurement(exposure).measure(energies.before, energies.after, widthGauges, workers);
        Sensitivity sensitivity = Sensitivity.of(
                exposure,
                widthGauges,
                sensitivityPercent,
                energies.after,
                change -> exposure.exact(true, change),
                workers,
                progress);

        Optional<Uncertainty> uncertainty = process.map(p -> uncertainty(p, widthGauges));

        progress.begin("searching the outline", 0);
        OutlineScan scan = scan(energies);
        EdgeOutcomes outcomes = EdgeOutcomes.of(placed.places, edges, placed.nm, widestUm(exposure), allowedNm);

        double[] counted = placed.places.awayFromCorners(placed.nm);
        return new Verification(
                verdict(exposure, outcomes, scan, allowedNm),
                areas,
                doses,
                bias.complaint(),
                bias.bias(),
                stored.splitUnits().size(),
                stored.contradictions(),
                exposure.threshold(),
                counted.length,
                placed.places.nearCorners(),
                Spread.of(placed.countedEnergyErrorsBefore),
                Spread.of(placed.places.awayFromCorners(placed.energyErrors)),
                Spread.of(placed.countedNmBefore),
                Spread.of(counted),
                infinite(placed.countedNmBefore),
                infinite(counted),
                widths,
                scan.edges(),
                sensitivity,
                uncertainty,
                worst(areas, doses, scan, outcomes, placed));
    }

    /**
     * Energies at points.
     *
     * @param before by closed forms, with factor 1 everywhere
     * @param after by closed forms, with the doses
     * @param field by the engine, with the doses
     */
    private record Energies(PointEnergy before, PointEnergy after, PointEnergy field) {
        static Energies of(Exposure exposure, Workers workers, Progress progress) {
            PointEnergy field = exposure.fields(workers, progress).of(true);
            return new Energies(exposure.exact(false), exposure.exact(true), field);
        }
    }

    private DoseCheck doses(Energies energies) {
        return DoseCheck.of(
                exposure,
                exposed,
                dbuUm,
                energies.field,
                energies.after,
                INTEGRALS / integralsPerPoint,
                levelRatio(),
                slackUm(),
                workers,
                progress);
    }

    private double slackUm() {
        return 2 * toleranceUm;
    }

    /**
     * Random places on the outline, and what is off there.
     *
     * @param places the places
     * @param nm distance from drawn to developed edge, nm
     * @param energyErrors relative errors of the energy
     * @param countedNmBefore the distances with factor 1 everywhere, at some places, without those near corners
     * @param countedEnergyErrorsBefore the same of the energy
     */
    private record Placements(
            EdgeGauges places,
            double[] nm,
            double[] energyErrors,
            double[] countedNmBefore,
            double[] countedEnergyErrorsBefore) {}

    private Placements placements(Energies energies) {
        int count = placeCount();
        EdgeGauges places = places(count);
        int few = limit(INTEGRALS / (INTEGRALS_PER_PLACE * integralsPerPoint), FEWEST_BEFORE, count);
        EdgeGauges some = few < count ? places(few) : places;
        ContourSearch search = ContourSearch.of(exposure.psf());
        PointEnergy after = places.ready(energies.after, workers);
        PointEnergy before = some.ready(energies.before, workers);
        return new Placements(
                places,
                places.placementsNm(after, search, workers),
                places.energyErrors(after, workers),
                some.awayFromCorners(some.placementsNm(before, search, workers)),
                some.awayFromCorners(some.energyErrors(before, workers)));
    }

    private int placeCount() {
        int fewest = FEWEST_PLACES + (int) Math.sqrt(edges.size()) / 4;
        return limit(INTEGRALS / (INTEGRALS_PER_PLACE * integralsPerPoint), fewest, Math.max(fewest, MANY_PLACES));
    }

    private EdgeGauges places(int count) {
        return EdgeGauges.awayFromCorners(edges, exposure, count, EdgeGauges.Region.ALL, SEED);
    }

    private EnergyBias bias(Energies energies, Placements placed) {
        double levels = Math.sqrt(levelRatio()) - 1;
        return exposure.options().criterion() == Criterion.EDGE
                ? EnergyBias.onEdges(exposure, placed.places, edges, placed.energyErrors, levels, slackUm())
                : EnergyBias.inAreas(exposure, layout, dbuUm, energies.after, placeCount(), levels, slackUm(), workers);
    }

    private List<WidthGauge> widthGauges(EdgeGauges places, GaugeChoice gauges) {
        PointSpreadFunction main =
                PointSpreadFunction.from(List.of(exposure.psf().main()));
        WidthGauges finder = new WidthGauges(edges, exposure, exposure.exact(false, psf -> main));
        int most = limit(INTEGRALS / (INTEGRALS_PER_WIDTH * integralsPerPoint), FEWEST_WIDTHS, MOST_WIDTHS);
        return gauges == null
                ? finder.automatic(places, EdgeGauges.Region.ALL, widestUm(exposure), PER_CLASS, most)
                : gauges.choose(finder, widestUm(exposure));
    }

    private Uncertainty uncertainty(CalibratedProcess process, List<WidthGauge> widthGauges) {
        boolean areLevels = stored.rounded()
                || stored.levelRatio() > 1
                || exposure.options().levels().isPresent();
        return Uncertainty.of(
                exposure, areLevels, process, widthGauges, edges, places(FEWEST_BEFORE), slackUm(), workers, progress);
    }

    /** All that is of concern, the gravest first, not too much of it. */
    private List<TroubleSpot> worst(
            AreaCheck areas, DoseCheck doses, OutlineScan scan, EdgeOutcomes outcomes, Placements placed) {
        List<TroubleSpot> worst = new ArrayList<>(areas.spots());
        worst.addAll(doses.spots());
        stored.splitUnits().forEach(split -> worst.add(spot(split)));
        worst.addAll(scan.spots());
        worst.addAll(outcomes.failures());
        worst.addAll(farOff(placed.places, placed.nm));
        worst.sort(TroubleSpot::compare);
        return shortened(worst);
    }

    private static TroubleSpot spot(StoredDoses.SplitUnit split) {
        return new TroubleSpot(
                TroubleSpot.Kind.WRONG_DOSE,
                split.xUm(),
                split.yUm(),
                Math.abs(split.ratio() - 1),
                String.format(
                        Locale.ROOT,
                        "%s: the dose is %.4f times that of the same unit's piece before",
                        split.place(),
                        split.ratio()));
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
    private OutlineScan scan(Energies energies) {
        int exact = limit(INTEGRALS / integralsPerPoint / 2, FEWEST_PLACES, OutlineScan.MOST_EDGES);
        OutlineScan sample = OutlineScan.of(exposure, edges, energies.after, EdgeGauges.Region.ALL, exact, workers);
        if (edges.size() <= exact) {
            return sample;
        }
        OutlineScan all = OutlineScan.of(exposure, edges, energies.field, EdgeGauges.Region.ALL, workers);
        return sample.lost() + sample.closed() > all.lost() + all.closed() ? sample : all;
    }

    /** Largest ratio of neighbouring doses where these were snapped to levels, else 1. */
    private double levelRatio() {
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
