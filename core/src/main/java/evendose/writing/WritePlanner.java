package evendose.writing;

import evendose.files.NumberText;
import evendose.pieces.Pieces;
import evendose.units.Range;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.BitSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.TreeMap;

/**
 * Plans an exposure.
 *
 * <p>The total time of n copies is
 *
 * <pre>t = t_load + n (Q / I + pieces t_piece + fields (t_field + t_move)),</pre>
 *
 * with Q the charge of one copy, pieces counted in each field they reach into. A choice of current and step is forbidden where a
 * dose asks for more points per second than the clock gives, where the beam is wider than allowed or the step wider than half the
 * beam (common practice: a quarter to a half of its diameter), or where the total exceeds the slot. Of the others the quickest is
 * best, of equally quick ones one without cautions, and of those the finest step. A step that does not divide the field, or that puts the
 * dose off by more than 5 % on more than 1 % of the area (see {@link StepFilling}), is a caution.
 */
public final class WritePlanner {
    /** Slack for numbers that meet a limit exactly up to rounding. */
    private static final double ROUNDING = 1e-9;

    private static final double LARGEST_STEP_PER_BEAM = 0.5;

    /** Share of the area that filling with whole steps may put off by more than 5 % without a caution. */
    private static final double MOST_AREA_OFF = 0.01;

    private final DosedPieces pieces;
    private final WriterSettings settings;
    private final List<LevelSum> levels;
    private final double smallestFactor;
    private final double copyChargeUc;
    private final Optional<WritingFields> fields;

    /** What the pieces of one level have in common. */
    private static final class LevelSum {
        private final int level;
        private long pieces;
        private double areaUm2;
        private double dosedAreaUm2;
        private double minFactor = Double.MAX_VALUE;
        private double maxFactor;

        private LevelSum(int level) {
            this.level = level;
        }
    }

    private WritePlanner(DosedPieces pieces, WriterSettings settings) {
        this.pieces = pieces;
        this.settings = settings;
        Map<Integer, LevelSum> sums = new TreeMap<>();
        for (int i = 0; i < pieces.size(); i++) {
            LevelSum sum = sums.computeIfAbsent(pieces.level(i), LevelSum::new);
            double area = pieces.pieces().areaUm2(i);
            sum.pieces++;
            sum.areaUm2 += area;
            sum.dosedAreaUm2 += area * pieces.factor(i);
            sum.minFactor = Math.min(sum.minFactor, pieces.factor(i));
            sum.maxFactor = Math.max(sum.maxFactor, pieces.factor(i));
        }
        this.levels = List.copyOf(sums.values());
        this.smallestFactor = pieces.smallestFactor().orElseThrow();
        this.copyChargeUc = ExposureArithmetic.chargeUc(settings.baseDoseUcPerCm2(), pieces.dosedAreaUm2());
        this.fields = settings.fieldUm().isPresent()
                ? Optional.of(WritingFields.of(pieces, settings.fieldUm().getAsDouble()))
                : Optional.empty();
    }

    /**
     * Plans.
     *
     * @param pieces what is written, at least one piece
     * @param settings the tool and the job
     * @param currentsNa currents to choose from, nA, positive, at least one
     * @param stepsNm steps to choose from, nm, positive, at least one
     * @return the plan for the best choice, with all others
     * @throws IllegalArgumentException if a value is out of range
     */
    public static WritePlan plan(DosedPieces pieces, WriterSettings settings, double[] currentsNa, double[] stepsNm) {
        if (pieces.size() == 0) {
            throw new IllegalArgumentException("there is no piece to write");
        }
        return new WritePlanner(pieces, settings).plan(sorted("current", currentsNa), sorted("step", stepsNm));
    }

    private static double[] sorted(String what, double[] values) {
        for (double v : values) {
            Range.positive(what, v);
        }
        double[] distinct = Arrays.stream(values).sorted().distinct().toArray();
        if (distinct.length == 0) {
            throw new IllegalArgumentException("at least one " + what + " is needed");
        }
        return distinct;
    }

    private WritePlan plan(double[] currentsNa, double[] stepsNm) {
        List<StepFilling> fillings = Arrays.stream(stepsNm)
                .mapToObj(step -> FillingKernel.fill(pieces, step))
                .toList();
        List<PlanChoice> choices = new ArrayList<>();
        for (double current : currentsNa) {
            for (StepFilling filling : fillings) {
                choices.add(choice(current, filling));
            }
        }
        int chosen = 0;
        for (int k = 1; k < choices.size(); k++) {
            if (better(choices.get(k), choices.get(chosen))) {
                chosen = k;
            }
        }
        PlanChoice best = choices.get(chosen);
        List<PlannedLevel> planned = new ArrayList<>();
        for (LevelSum sum : levels) {
            planned.add(level(sum, best));
        }
        return new WritePlan(
                settings,
                pieces.size(),
                shapes(),
                pieces.pieces().boundsUm(),
                settings.copies() * pieces.areaUm2(),
                settings.copies() * copyChargeUc,
                fields,
                choices,
                chosen,
                fillings,
                planned,
                feature(best.stepNm()));
    }

    /** Fewer obstacles, then less time, then fewer cautions; of equals the earlier choice stays, which has the finer step. */
    private static boolean better(PlanChoice a, PlanChoice b) {
        if (a.obstacles().size() != b.obstacles().size()) {
            return a.obstacles().size() < b.obstacles().size();
        }
        if (a.totalS() != b.totalS()) {
            return a.totalS() < b.totalS();
        }
        return a.cautions().size() < b.cautions().size();
    }

    private long shapes() {
        BitSet seen = new BitSet();
        for (int i = 0; i < pieces.size(); i++) {
            seen.set(pieces.shape(i));
        }
        return seen.cardinality();
    }

    private double dose(double factor) {
        return settings.baseDoseUcPerCm2() * factor;
    }

    private boolean breaksClock(double frequencyMhz) {
        return settings.clockMhz().isPresent()
                && frequencyMhz > settings.clockMhz().getAsDouble() * (1 + ROUNDING);
    }

    private double highestCurrentNa(double factor, double stepNm) {
        return settings.clockMhz().isPresent()
                ? ExposureArithmetic.highestCurrentNa(
                        dose(factor), stepNm, settings.clockMhz().getAsDouble())
                : Double.NaN;
    }

    private PlanChoice choice(double currentNa, StepFilling filling) {
        double stepNm = filling.stepNm();
        double frequency = ExposureArithmetic.frequencyMhz(dose(smallestFactor), stepNm, currentNa);
        int broken = 0;
        for (LevelSum sum : levels) {
            broken += breaksClock(ExposureArithmetic.frequencyMhz(dose(sum.minFactor), stepNm, currentNa)) ? 1 : 0;
        }
        int copies = settings.copies();
        double beamOn = ExposureArithmetic.beamOnS(copyChargeUc, currentNa) * copies;
        long parts = fields.map(WritingFields::parts).orElse((long) pieces.size());
        long fieldCount = fields.map(WritingFields::count).orElse(1);
        double total = settings.loadingS()
                + beamOn
                + copies
                        * (WritePlan.settlingS(parts, settings)
                                + fieldCount * (settings.settlePerFieldS() + settings.stageMoveS()));
        OptionalDouble beam = settings.beam() == null
                ? OptionalDouble.empty()
                : settings.beam().diameterNm(currentNa);
        List<String> obstacles = new ArrayList<>();
        List<String> cautions = new ArrayList<>();
        if (broken > 0) {
            obstacles.add(text(
                    "%d of %d levels need up to %.4g MHz, the clock gives %.4g MHz",
                    broken, levels.size(), frequency, settings.clockMhz().getAsDouble()));
        }
        if (settings.beam() != null && beam.isEmpty()) {
            obstacles.add("the beam table does not reach to this current");
        }
        if (beam.isPresent()
                && settings.largestBeamNm().isPresent()
                && beam.getAsDouble() > settings.largestBeamNm().getAsDouble() * (1 + ROUNDING)) {
            obstacles.add(text(
                    "beam of %.3g nm, at most %.3g nm wanted",
                    beam.getAsDouble(), settings.largestBeamNm().getAsDouble()));
        }
        if (beam.isPresent() && stepNm > LARGEST_STEP_PER_BEAM * beam.getAsDouble() * (1 + ROUNDING)) {
            obstacles.add(text("step beyond half the beam of %.3g nm leaves edges rough", beam.getAsDouble()));
        }
        if (settings.slotS().isPresent() && total > settings.slotS().getAsDouble() * (1 + ROUNDING)) {
            obstacles.add(text(
                    "%.4g h exceed the slot of %.4g h",
                    total / 3600, settings.slotS().getAsDouble() / 3600));
        }
        if (settings.fieldUm().isPresent()) {
            double steps = settings.fieldUm().getAsDouble() * 1e3 / stepNm;
            if (Math.abs(steps - Math.rint(steps)) > 1e-6) {
                cautions.add("the step does not divide the field");
            }
        }
        if (filling.areaOver5Percent() > MOST_AREA_OFF) {
            cautions.add(text(
                    "whole steps put the dose off by over 5 %% on %s %% of the area",
                    NumberText.plain(100 * filling.areaOver5Percent(), 2)));
        }
        return new PlanChoice(
                currentNa,
                stepNm,
                beam,
                frequency,
                broken,
                highestCurrentNa(smallestFactor, stepNm),
                beamOn,
                total,
                obstacles,
                cautions);
    }

    private static String text(String format, Object... values) {
        return String.format(Locale.ROOT, format, values);
    }

    private PlannedLevel level(LevelSum sum, PlanChoice choice) {
        double mean = sum.dosedAreaUm2 / sum.areaUm2;
        double step = choice.stepNm();
        double frequency = ExposureArithmetic.frequencyMhz(dose(sum.minFactor), step, choice.currentNa());
        return new PlannedLevel(
                sum.level,
                sum.pieces,
                sum.areaUm2,
                sum.minFactor,
                mean,
                sum.maxFactor,
                dose(mean),
                ExposureArithmetic.dwellNs(dose(mean), step, choice.currentNa()),
                frequency,
                breaksClock(frequency),
                ExposureArithmetic.electrons(dose(mean), step * step * 1e-6),
                highestCurrentNa(sum.minFactor, step));
    }

    /** The shape whose square of its bounding box's smaller side gets the fewest electrons, or the given size. */
    private SmallestFeature feature(double stepNm) {
        if (settings.featureUm().isPresent()) {
            double side = settings.featureUm().getAsDouble();
            return feature(-1, Double.NaN, Double.NaN, side, smallestFactor, stepNm);
        }
        int largest = 0;
        for (int i = 0; i < pieces.size(); i++) {
            largest = Math.max(largest, pieces.shape(i));
        }
        Pieces p = pieces.pieces();
        double[][] box = new double[4][largest + 1];
        double[] area = new double[largest + 1];
        double[] dosed = new double[largest + 1];
        Arrays.fill(box[0], Double.MAX_VALUE);
        Arrays.fill(box[1], Double.MAX_VALUE);
        Arrays.fill(box[2], -Double.MAX_VALUE);
        Arrays.fill(box[3], -Double.MAX_VALUE);
        for (int i = 0; i < pieces.size(); i++) {
            int s = pieces.shape(i);
            box[0][s] = Math.min(box[0][s], p.leftUm(i));
            box[1][s] = Math.min(box[1][s], p.bottomUm(i));
            box[2][s] = Math.max(box[2][s], p.rightUm(i));
            box[3][s] = Math.max(box[3][s], p.topUm(i));
            area[s] += p.areaUm2(i);
            dosed[s] += p.areaUm2(i) * pieces.factor(i);
        }
        int fewest = -1;
        double least = Double.MAX_VALUE;
        for (int s = 0; s <= largest; s++) {
            if (area[s] > 0) {
                double side = Math.min(box[2][s] - box[0][s], box[3][s] - box[1][s]);
                double electrons = side * side * dosed[s] / area[s];
                if (electrons < least * (1 - ROUNDING)) {
                    least = electrons;
                    fewest = s;
                }
            }
        }
        double side = Math.min(box[2][fewest] - box[0][fewest], box[3][fewest] - box[1][fewest]);
        return feature(
                fewest,
                0.5 * (box[0][fewest] + box[2][fewest]),
                0.5 * (box[1][fewest] + box[3][fewest]),
                side,
                dosed[fewest] / area[fewest],
                stepNm);
    }

    private SmallestFeature feature(int shape, double x, double y, double side, double factor, double stepNm) {
        return new SmallestFeature(
                shape,
                x,
                y,
                side,
                factor,
                ExposureArithmetic.electrons(dose(factor), side * side),
                side * 1e3 / stepNm);
    }
}
