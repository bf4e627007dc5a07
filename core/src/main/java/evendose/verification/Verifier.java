package evendose.verification;

import evendose.correction.StoredDoses;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;

/**
 * Checks doses against the layout that they are for, independently of how they were found: nothing of the solver is used, and
 * what statistics are drawn from comes from closed forms. Only the search along all edges and the look at every single dose
 * take the engine's energies (error below 5e-5), since those are many.
 */
public final class Verifier {
    /** Most random places on the outline. */
    public static final int MOST_PLACES = 2000;

    private static final int FEWEST_PLACES = 100;
    private static final int MOST_WIDTHS = 48;
    private static final int FEWEST_WIDTHS = 8;

    /** Closed-form integrals to spend on places and on widths: some seconds on two cores. */
    private static final double INTEGRALS = 3e8;

    private static final double INTEGRALS_PER_PLACE = 18;
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
     * @param layout the merged layout; its groups are the layers of {@code exposure}
     * @param dbuUm size of a database unit, um
     * @param gauges where to measure widths; null for automatic places
     * @param sensitivityPercent by how much parameters are off in the sensitivity, %
     */
    public static Verification verify(
            Exposure exposure,
            StoredDoses stored,
            Trapezoids layout,
            double dbuUm,
            GaugeChoice gauges,
            double sensitivityPercent,
            Workers workers,
            Progress progress) {
        double tolerance = exposure.options().rules().reachUm(dbuUm, stored.rounded());
        AreaCheck areas = AreaCheck.of(layout, dbuUm, exposure.pieces(), tolerance, workers, progress);
        OutlineEdges edges = OutlineEdges.of(layout, dbuUm);
        progress.begin("energies", 0);
        PointEnergy fieldAfter = exposure.fields(workers, progress).of(true);
        double slack = 2 * tolerance;
        DoseCheck doses = DoseCheck.of(
                exposure, layout, dbuUm, fieldAfter, levelRatio(exposure, stored), slack, workers, progress);

        PointEnergy before = exposure.exact(false);
        PointEnergy after = exposure.exact(true);
        double cost = exposure.integralsPerPoint();
        int places = limit(INTEGRALS / (INTEGRALS_PER_PLACE * cost), FEWEST_PLACES, MOST_PLACES);
        progress.begin("edge placement", 0);
        EdgeGauges random = EdgeGauges.random(edges, exposure, places, EdgeGauges.Region.ALL, SEED);
        ContourSearch search = ContourSearch.of(exposure.psf());
        double[] placedBefore = random.placementsNm(before, search, workers);
        double[] placedAfter = random.placementsNm(after, search, workers);

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

        progress.begin("searching the outline", 0);
        OutlineScan scan = OutlineScan.of(exposure, edges, fieldAfter, EdgeGauges.Region.ALL, workers);
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
        worst.addAll(farOff(random, placedAfter));
        worst.sort(TroubleSpot::compare);

        double[] energyBefore = random.awayFromCorners(random.energyErrors(before, workers));
        double[] energyAfter = random.awayFromCorners(random.energyErrors(after, workers));
        double[] goodBefore = random.awayFromCorners(placedBefore);
        double[] goodAfter = random.awayFromCorners(placedAfter);
        return new Verification(
                areas,
                doses,
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
                shortened(worst));
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
                spots.add(new TroubleSpot(
                        TroubleSpot.Kind.EDGE_PLACEMENT,
                        places.xUm[g],
                        places.yUm[g],
                        Math.abs(off),
                        String.format(
                                Locale.ROOT,
                                "the developed edge lies %.1f nm %s the drawn one",
                                Math.abs(off),
                                off > 0 ? "outside" : "inside")));
            }
        }
        return spots;
    }

    /** At most {@link #WORST} in all, of no kind so many that a graver or milder one is hidden. */
    private static List<TroubleSpot> shortened(List<TroubleSpot> sorted) {
        Map<TroubleSpot.Kind, Integer> counts = new TreeMap<>();
        List<TroubleSpot> kept = new ArrayList<>();
        for (TroubleSpot spot : sorted) {
            if (counts.merge(spot.kind(), 1, Integer::sum) <= WORST / 5) {
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
