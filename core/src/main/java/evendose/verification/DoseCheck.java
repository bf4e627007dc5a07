package evendose.verification;

import evendose.correction.Criterion;
import evendose.correction.ExposedShapes;
import evendose.energy.SampleBox;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Fracture;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.stream.IntStream;

/**
 * Whether each part of the layout has the dose that it needs. The layout is cut into units anew; for each, the energy is taken
 * where the criterion asks for it, with the doses found at those places, and turned into the change of dose that would mend it:
 *
 * <pre>needed = (T - C) / (w_1 d / 2)    (edge criterion; without the 2 for the area criterion;
 * under a bias another share)</pre>
 *
 * <p>with C the mean energy there, T its target, d the dose factor there and w_1 the direct term's weight. Only the layout says
 * what a unit is: doses may be cut and ordered in any way. Places whose dose is missing, fixed, or held at a bound as its
 * status says are not judged.
 *
 * <p>Outlines of pieces may stray from the drawn one within the tolerance they were cut with, which beside a narrow direct range is
 * worth more than a wrong dose (half a nanometre beside 6.6 nm: 8 %). So units with slanted sides, and others that seem wrong, are
 * judged as if what is exposed with their dose were what their own cut of the layout says ({@link StrayedOutline}): areas are judged by
 * {@link AreaCheck}, edges by where they come out.
 *
 * <p>Energies come from closed forms for a sample of the units, spread evenly, and from the engine for all others: the sample
 * does not depend on the engine, the rest finds a single wrong dose among many.
 *
 * @param judged number of units (or shapes, if each has one dose) judged
 * @param exact number of those judged by closed forms
 * @param wrong number of those whose dose is off by more than the tolerance
 * @param largest largest needed change among those judged, relative
 * @param rms root mean square of the needed changes
 * @param tolerance needed change up to which a dose passes
 * @param spots the wrong ones, worst first, at most some
 */
public record DoseCheck(
        int judged, int exact, int wrong, double largest, double rms, double tolerance, List<TroubleSpot> spots) {
    /** Needed change up to which a dose passes; half a step between dose levels comes on top, and under a bias what rounding does. */
    public static final double TOLERANCE = 0.05;

    private static final int SPOTS = 50;

    /** Units judged by closed forms, whatever it takes. */
    private static final int FEWEST_EXACT = 1000;

    /** Units per part of parallel work. */
    private static final int PART = 1 << 10;

    private static final int EXACT_PART = 1 << 6;

    /**
     * Checks.
     *
     * @param exposed what the layout asks to be exposed
     * @param dbuUm size of a database unit, um
     * @param energy energy with the doses, for many points
     * @param closedForms the same from closed forms
     * @param points how many points closed forms may be asked for; at least {@value #FEWEST_EXACT} units are in any case
     * @param levelRatio ratio of neighbouring dose levels if doses were snapped to such, else 1: half a step is allowed for
     * @param slackUm how far corners of pieces may be off, um
     */
    static DoseCheck of(
            Exposure exposure,
            ExposedShapes exposed,
            double dbuUm,
            PointEnergy energy,
            PointEnergy closedForms,
            double points,
            double levelRatio,
            double slackUm,
            Workers workers,
            Progress progress) {
        Fracture.Result cut = Fracture.of(exposed.shapes(), dbuUm, exposed.fracture(), workers, progress);
        progress.begin("checking doses", 0);
        Samples samples = cut.samples();
        int units = cut.pieces().units();
        boolean[] exact = chosen(units, points * units / Math.max(1, samples.size()));
        double[] at = new double[samples.size()];
        workers.runRanges(units, PART, (from, to, part) -> {
            for (int u = from; u < to; u++) {
                for (int j = samples.first(u); !exact[u] && j < samples.first(u + 1); j++) {
                    at[j] = energy.at(samples.xUm(j), samples.yUm(j));
                }
            }
        });
        int[] asked = IntStream.range(0, units)
                .filter(u -> exact[u])
                .flatMap(u -> IntStream.range(samples.first(u), samples.first(u + 1)))
                .toArray();
        PointEnergy near = closedForms.about(
                Arrays.stream(asked).mapToDouble(samples::xUm).toArray(),
                Arrays.stream(asked).mapToDouble(samples::yUm).toArray(),
                1,
                workers);
        workers.runRanges(units, EXACT_PART, (from, to, part) -> {
            for (int u = from; u < to; u++) {
                if (exact[u]) {
                    PointEnergy about = about(samples, u, near);
                    for (int j = samples.first(u); j < samples.first(u + 1); j++) {
                        at[j] = about.at(samples.xUm(j), samples.yUm(j));
                    }
                }
            }
        });
        double[] dose = doses(exposure, cut.pieces(), slackUm, workers);
        double tolerance = TOLERANCE + exposed.doseSlack() + Math.sqrt(levelRatio) - 1;
        double[] needed = needed(exposure, cut, exposed.directShare(), at, dose);
        leaveOutStrayedOutlines(exposure, cut, exposed.directShare(), tolerance, needed, workers);
        if (exposure.options().oneDosePerShape()) {
            for (int s = 0; s < cut.pieces().shapes(); s++) {
                joinUnits(cut.pieces(), s, cut.judged(), needed);
            }
        }
        return judge(cut.pieces(), exact, dose, needed, tolerance);
    }

    /** The energy in the box of a unit's samples. */
    private static PointEnergy about(Samples samples, int unit, PointEnergy energy) {
        SampleBox box = new SampleBox();
        box.around(samples, unit);
        return energy.inBox(
                box.leftUm(),
                box.bottomUm(),
                box.rightUm(),
                box.topUm(),
                samples.first(unit + 1) - samples.first(unit));
    }

    private static boolean[] chosen(int units, double wanted) {
        boolean[] chosen = new boolean[units];
        for (int u : EvenSample.of(units, (int) Math.min(units, Math.max(FEWEST_EXACT, wanted)), 19)) {
            chosen[u] = true;
        }
        return chosen;
    }

    /** Dose factor at each unit of the layout's own cut; NaN where it is missing or not to be judged. */
    private static double[] doses(Exposure exposure, Pieces own, double slack, Workers workers) {
        PieceLookup lookup = new PieceLookup(exposure.pieces());
        int[] unitOfPiece = exposure.pieces().unitOfPiece();
        double[] dose = new double[own.units()];
        workers.runRanges(own.units(), PART, (from, to, part) -> {
            for (int u = from; u < to; u++) {
                int i = largest(own, u);
                int piece = lookup.at(own.middleXUm(i), own.middleYUm(i), slack);
                int unit = piece < 0 ? -1 : unitOfPiece[piece];
                dose[u] = unit < 0 || !exposure.isJudged(unit) ? Double.NaN : exposure.factor(unit);
            }
        });
        return dose;
    }

    private static int largest(Pieces p, int unit) {
        int largest = p.unitFirst(unit);
        for (int i = largest; i < p.unitFirst(unit + 1); i++) {
            largest = p.areaUm2(i) > p.areaUm2(largest) ? i : largest;
        }
        return largest;
    }

    /** Change of dose that would mend each unit, relative; NaN where none is judged. */
    private static double[] needed(
            Exposure exposure, Fracture.Result cut, double directShare, double[] energy, double[] dose) {
        Pieces p = cut.pieces();
        Samples samples = cut.samples();
        double direct = exposure.psf().direct().weight();
        double share = direct * (exposure.options().criterion() == Criterion.EDGE ? directShare : 1);
        double[] needed = new double[p.units()];
        for (int s = 0; s < p.shapes(); s++) {
            for (int u = p.shapeFirst(s); u < p.shapeFirst(s + 1); u++) {
                int place = largest(p, u);
                double target = exposure.wanted(p.layerOfShape(s), p.middleXUm(place), p.middleYUm(place));
                double sum = 0;
                for (int j = samples.first(u); j < samples.first(u + 1); j++) {
                    sum += samples.weight(j) * energy[j];
                }
                // Deep inside, the direct term is w_1 d; the half-plane rule counts half of it, or what an edge sees.
                sum -= samples.interior(u) ? (1 - directShare) * direct * dose[u] : 0;
                needed[u] = exposure.isCorrected(p.layerOfShape(s)) ? (target - sum) / (share * dose[u]) : Double.NaN;
            }
        }
        return needed;
    }

    /** Takes out of the changes what is no matter of dose, where it can matter. */
    private static void leaveOutStrayedOutlines(
            Exposure exposure,
            Fracture.Result cut,
            double directShare,
            double tolerance,
            double[] needed,
            Workers workers) {
        int[] units = IntStream.range(0, needed.length)
                .filter(u ->
                        Math.abs(needed[u]) > tolerance || Double.isFinite(needed[u]) && isSlanted(cut.pieces(), u))
                .toArray();
        if (units.length == 0) {
            return;
        }
        StrayedOutline strayed = new StrayedOutline(exposure, cut);
        double share = exposure.options().criterion() == Criterion.EDGE ? directShare : 1;
        workers.runRanges(units.length, EXACT_PART, (from, to, part) -> {
            for (int k = from; k < to; k++) {
                needed[units[k]] += strayed.directShareOf(units[k]) / share;
            }
        });
    }

    private static boolean isSlanted(Pieces p, int unit) {
        return IntStream.range(p.unitFirst(unit), p.unitFirst(unit + 1)).anyMatch(i -> !p.isRectangle(i));
    }

    private static DoseCheck judge(Pieces p, boolean[] exact, double[] dose, double[] needed, double tolerance) {
        List<TroubleSpot> spots = new ArrayList<>();
        for (int u = 0; u < needed.length; u++) {
            if (Math.abs(needed[u]) > tolerance) {
                int i = largest(p, u);
                spots.add(new TroubleSpot(
                        TroubleSpot.Kind.WRONG_DOSE,
                        p.middleXUm(i),
                        p.middleYUm(i),
                        Math.abs(needed[u]),
                        String.format(
                                Locale.ROOT,
                                "dose factor %.4f should be about %.0f %% %s",
                                dose[u],
                                100 * Math.abs(needed[u]),
                                needed[u] > 0 ? "higher" : "lower")));
            }
        }
        spots.sort(Comparator.comparingDouble(TroubleSpot::size).reversed());
        int exactly = 0;
        for (int u = 0; u < needed.length; u++) {
            exactly += exact[u] && Double.isFinite(needed[u]) ? 1 : 0;
        }
        Spread spread = Spread.of(needed);
        return new DoseCheck(
                spread.count(),
                exactly,
                spots.size(),
                spread.max(),
                spread.rms(),
                tolerance,
                List.copyOf(spots.subList(0, Math.min(SPOTS, spots.size()))));
    }

    /** A shape of one dose is judged as a whole, by the outline or area of its units; its first unit stands for it. */
    private static void joinUnits(Pieces p, int shape, float[] judged, double[] needed) {
        int from = p.shapeFirst(shape);
        int to = p.shapeFirst(shape + 1);
        double sum = 0;
        double weight = 0;
        for (int u = from; u < to; u++) {
            if (judged[u] > 0) {
                sum += judged[u] * needed[u];
                weight += judged[u];
            }
        }
        Arrays.fill(needed, from, to, Double.NaN);
        needed[from] = weight > 0 ? sum / weight : Double.NaN;
    }
}
