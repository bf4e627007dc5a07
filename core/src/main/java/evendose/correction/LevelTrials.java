package evendose.correction;

import evendose.energy.EnergyModel;
import evendose.energy.ExactEnergy;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Fracture;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.stream.IntStream;

/** Tries sets of dose levels on doses that were found without: imposes them and measures what they cost. */
final class LevelTrials {
    /** Numbers of levels that a study tries, as far as there are that many different doses. */
    static final int[] STUDIED = {1, 2, 4, 8, 16, 32, 64, 128, 256};

    private static final int UNITS_PER_PART = 256;

    /** Outline that an interior unit counts for when levels are placed, in square roots of its area. */
    static final double INTERIOR_OUTLINE = 0.5;

    private final double[] free;
    private final double[] wanted;
    private final double[] target;
    private final double[] fixed;
    private final double[] weight;
    private final double[] placing;
    private final double[] gradientPerUm;
    private final LevelSolver solver;

    /** One trial and the state it leads to. */
    record Outcome(LevelTrial trial, DoseLevels levels, LevelSolver.Imposed imposed) {}

    /**
     * @param cut the pieces
     * @param doses the solved doses, one a unit or one a shape
     * @param shared how units share doses, or null if each has its own
     */
    LevelTrials(
            Fracture.Result cut,
            Solver doses,
            DosePerShape shared,
            CorrectionOptions options,
            Workers workers,
            Progress progress) {
        this.free = doses.dose;
        this.wanted = doses.criterion;
        this.target = doses.target();
        this.fixed = doses.fixed();
        Pieces pieces = cut.pieces();
        double[] unitDose = shared == null ? free : shared.toUnits(free);
        PointSpreadFunction direct =
                PointSpreadFunction.from(List.of(options.psf().direct()));
        double share = options.psf().direct().weight();
        EnergyModel model = EnergyModel.build(pieces, cut.samples(), direct, workers, progress);
        double[] ofDirect = new double[pieces.units()];
        model.apply(unitDose, ofDirect);
        double[] perUm = gradients(pieces, cut.samples(), unitDose, direct, workers);
        double[] judged = new double[pieces.units()];
        double[] interior = new double[pieces.units()];
        for (int u = 0; u < judged.length; u++) {
            ofDirect[u] *= share;
            perUm[u] *= share;
            judged[u] = cut.judged()[u];
            interior[u] = cut.samples().interior(u) ? INTERIOR_OUTLINE * Math.sqrt(area(pieces, u)) : 0;
        }
        double[] directOf = shared == null ? ofDirect : shared.means(ofDirect);
        this.gradientPerUm = shared == null ? perUm : shared.means(perUm);
        this.weight = shared == null ? judged : shared.sums(judged);
        this.placing = shared == null ? interior : shared.sums(interior);
        for (int i = 0; i < free.length; i++) {
            placing[i] += weight[i];
        }
        this.solver = new LevelSolver(doses.values(), free, wanted, directOf, placing, fixed, workers);
    }

    static double area(Pieces pieces, int u) {
        double area = 0;
        for (int i = pieces.unitFirst(u); i < pieces.unitFirst(u + 1); i++) {
            area += pieces.areaUm2(i);
        }
        return area;
    }

    /** Mean of the gradient's length over the samples of each unit; 0 for interior ones. */
    static double[] gradients(
            Pieces pieces, Samples samples, double[] dose, PointSpreadFunction direct, Workers workers) {
        ExactEnergy energy = ExactEnergy.ofUnits(pieces, dose, direct);
        double[] gradient = new double[pieces.units()];
        workers.runRanges(pieces.units(), UNITS_PER_PART, (from, to, part) -> {
            for (int u = from; u < to; u++) {
                if (!samples.interior(u)) {
                    for (int j = samples.first(u); j < samples.first(u + 1); j++) {
                        double x = samples.xUm(j);
                        double y = samples.yUm(j);
                        gradient[u] +=
                                samples.weight(j) * Math.hypot(energy.slopeAt(x, y, 1, 0), energy.slopeAt(x, y, 0, 1));
                    }
                }
            }
        });
        return gradient;
    }

    /**
     * Imposes the levels of a rule. Optimal levels are placed for doses, not for what they do to the criterion: where geometric ones
     * happen to leave the smaller rms error there, as one level alone may, these are taken.
     */
    Outcome of(LevelRule rule) {
        Outcome outcome = impose(rule, levels(rule));
        if (rule.spacing() != LevelRule.Spacing.OPTIMAL) {
            return outcome;
        }
        Outcome geometric = impose(rule, levels(LevelRule.geometric(rule.count())));
        return geometric.trial().rms() < outcome.trial().rms() ? geometric : outcome;
    }

    private Outcome impose(LevelRule rule, DoseLevels levels) {
        LevelSolver.Imposed imposed = solver.impose(levels);
        DoseLevels used = used(levels, imposed);
        double[] snapped = errors(imposed.snappedCriterion);
        double[] after = errors(imposed.criterion);
        double maxWidth = 0;
        double squares = 0;
        double sum = 0;
        for (int i = 0; i < free.length; i++) {
            if (gradientPerUm[i] > 0) {
                double widthNm = 2e3 * Math.abs(imposed.criterion[i] - wanted[i]) / gradientPerUm[i];
                maxWidth = Math.max(maxWidth, widthNm);
                squares += weight[i] * widthNm * widthNm;
                sum += weight[i];
            }
        }
        LevelTrial trial = new LevelTrial(
                rule,
                used.size(),
                snapped[0],
                snapped[1],
                after[0],
                after[1],
                maxWidth,
                sum > 0 ? Math.sqrt(squares / sum) : 0);
        return new Outcome(trial, used, imposed);
    }

    /** Drops levels that no dose took, so that numbers have no gaps. */
    private static DoseLevels used(DoseLevels levels, LevelSolver.Imposed imposed) {
        int[] taken = Arrays.stream(imposed.level).sorted().distinct().toArray();
        if (taken.length == levels.size() || taken.length == 0) {
            return levels;
        }
        for (int i = 0; i < imposed.level.length; i++) {
            imposed.level[i] = Arrays.binarySearch(taken, imposed.level[i]);
        }
        return DoseLevels.of(Arrays.stream(taken).mapToDouble(levels::factor).toArray());
    }

    /** Given doses stay exactly what they are: each takes a level of its own out of the number asked for. */
    private DoseLevels levels(LevelRule rule) {
        double[] given = Arrays.stream(fixed)
                .filter(f -> !Double.isNaN(f))
                .sorted()
                .distinct()
                .toArray();
        int[] corrected = IntStream.range(0, free.length)
                .filter(i -> Double.isNaN(fixed[i]))
                .toArray();
        return rule.levelsBeside(
                given,
                Arrays.stream(corrected).mapToDouble(i -> free[i]).toArray(),
                Arrays.stream(corrected).mapToDouble(i -> placing[i]).toArray());
    }

    /** Largest error and root mean square. */
    private double[] errors(double[] criterion) {
        double max = 0;
        double squares = 0;
        double sum = 0;
        for (int i = 0; i < free.length; i++) {
            double off = Math.abs(criterion[i] - wanted[i]) / target[i];
            if (weight[i] > 0) {
                max = Math.max(max, off);
            }
            squares += weight[i] * off * off;
            sum += weight[i];
        }
        return new double[] {max, sum > 0 ? Math.sqrt(squares / sum) : 0};
    }

    /** Tries rising numbers of levels with both spacings. */
    List<LevelTrial> study(Progress progress) {
        long given =
                Arrays.stream(fixed).filter(f -> !Double.isNaN(f)).distinct().count();
        long different = Arrays.stream(free).distinct().count();
        progress.begin("trying dose levels", 2L * STUDIED.length);
        List<LevelTrial> trials = new ArrayList<>();
        for (int count : STUDIED) {
            if (count > given && count <= different) {
                trials.add(of(LevelRule.optimal(count)).trial());
                progress.advance(1);
                trials.add(of(LevelRule.geometric(count)).trial());
                progress.advance(1);
            }
        }
        return trials;
    }
}
