package evendose.correction;

import evendose.Internal;
import evendose.Supported;
import evendose.energy.TermChoice;
import evendose.pieces.PieceJoin;
import evendose.pieces.Pieces;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.stream.IntStream;

/**
 * The result of a correction: a dose factor for every piece, and how well it meets the criterion.
 *
 * <p>Doses belong to units; pieces of a unit share one. Energies are criterion values relative to a uniformly exposed plane
 * at factor 1: {@code energyUncorrected} with all corrected factors 1, {@code energyCorrected} with the doses of this table.
 */
@Supported
public final class DoseTable {
    private final Pieces pieces;
    private final DrawnPattern pattern;
    private final CorrectionOptions options;
    private final Convergence convergence;
    private final DoseLevels levels;
    private final double[] factor;
    private final int[] level;
    private final double[] energyUncorrected;
    private final double[] energyCorrected;
    private final DoseStatus[] status;
    private final List<TermChoice> evaluators;
    private final Optional<LevelTrial> levelCost;
    private final List<LevelTrial> levelStudy;
    private final Optional<double[]> energyAtWideDose;
    private final float[] judged;
    private final OutlineError outlineError;
    private final Counts counts;
    private final double[] target;

    /**
     * What was cut before neighbours of equal dose were joined.
     *
     * @param units dose units that were corrected
     * @param pieces pieces that they were cut into
     */
    public record Counts(int units, int pieces) {}

    DoseTable(
            Pieces pieces,
            DrawnPattern pattern,
            CorrectionOptions options,
            Convergence convergence,
            DoseLevels levels,
            double[] factor,
            int[] level,
            double[] energyUncorrected,
            double[] energyCorrected,
            DoseStatus[] status,
            List<TermChoice> evaluators,
            Optional<LevelTrial> levelCost,
            List<LevelTrial> levelStudy,
            Optional<double[]> energyAtWideDose,
            float[] judged,
            OutlineError outlineError,
            Counts counts,
            double[] target) {
        this.pieces = pieces;
        this.pattern = pattern;
        this.options = options;
        this.convergence = convergence;
        this.levels = levels;
        this.factor = factor;
        this.level = level;
        this.energyUncorrected = energyUncorrected;
        this.energyCorrected = energyCorrected;
        this.status = status;
        this.evaluators = List.copyOf(evaluators);
        this.levelCost = levelCost;
        this.levelStudy = List.copyOf(levelStudy);
        this.energyAtWideDose = energyAtWideDose;
        this.judged = judged;
        this.outlineError = outlineError;
        this.counts = counts;
        this.target = target;
    }

    /** {@return the pieces; layers are indices into {@link #roles}} */
    public Pieces pieces() {
        return pieces;
    }

    /** {@return what was drawn} */
    public DrawnPattern pattern() {
        return pattern;
    }

    /** {@return numbers of units and pieces before neighbours of equal dose were joined} */
    public Counts counts() {
        return counts;
    }

    /** {@return the layers and what each does, in the order of their indices} */
    public List<LayerRole> roles() {
        return pattern.roles();
    }

    /** {@return the options that led here} */
    public CorrectionOptions options() {
        return options;
    }

    /** {@return how the iteration went} */
    public Convergence convergence() {
        return convergence;
    }

    /** {@return how far the energy along the outline is off, of the whole layout} */
    public OutlineError outlineError() {
        return outlineError;
    }

    /** How each term of the point spread function was computed. */
    @Internal
    List<TermChoice> evaluators() {
        return evaluators;
    }

    /** {@return dose levels, rising} */
    public DoseLevels levels() {
        return levels;
    }

    /** {@return what the limited set of doses costs; empty if doses were free} */
    public Optional<LevelTrial> levelCost() {
        return levelCost;
    }

    /** {@return what other numbers of levels would cost, by rising number; empty unless the options ask for it} */
    public List<LevelTrial> levelStudy() {
        return levelStudy;
    }

    /**
     * {@return criterion values, one a unit, if every corrected unit had as its factor the energy that it should get: the dose
     * right for a wide area} Empty unless some layer has a target of its own.
     */
    Optional<double[]> energyAtWideDose() {
        return energyAtWideDose;
    }

    /**
     * {@return dose factor of unit {@code u}}
     *
     * @param u number of the unit, from 0
     */
    public double factor(int u) {
        return factor[u];
    }

    /** {@return dose factors of all units, a new array} */
    public double[] factors() {
        return factor.clone();
    }

    /**
     * {@return level of unit {@code u}: the one nearest to its factor}
     *
     * @param u number of the unit, from 0
     */
    public int level(int u) {
        return level[u];
    }

    /**
     * {@return criterion value of unit {@code u} when all corrected factors are 1}
     *
     * @param u number of the unit, from 0
     */
    public double energyUncorrected(int u) {
        return energyUncorrected[u];
    }

    /**
     * {@return criterion value of unit {@code u} with the doses of this table}
     *
     * @param u number of the unit, from 0
     */
    public double energyCorrected(int u) {
        return energyCorrected[u];
    }

    /**
     * {@return how well unit {@code u} meets its criterion}
     *
     * @param u number of the unit, from 0
     */
    public DoseStatus status(int u) {
        return status[u];
    }

    /**
     * {@return energy that the criterion asks for in the shapes of layer {@code index}, before any loading of the development}
     *
     * @param index number of the layer, from 0
     */
    public double target(int index) {
        return options.target() * roles().get(index).target();
    }

    /**
     * {@return energy that the criterion asks for in unit {@code u}}
     *
     * @param u number of the unit, from 0
     */
    public double targetOfUnit(int u) {
        return target[u];
    }

    /** {@return a new array of the smallest and largest energy wanted of a unit over the usual one; empty without a loading of the development} */
    public Optional<double[]> wantedOverUsual() {
        if (options.longRange().loading().isEmpty() || target.length == 0) {
            return Optional.empty();
        }
        int[] shape = pieces.shapeOfUnit();
        double[] wanted = IntStream.range(0, target.length)
                .mapToDouble(u -> target[u] / target(pieces.layerOfShape(shape[u])))
                .sorted()
                .toArray();
        return Optional.of(new double[] {wanted[0], wanted[wanted.length - 1]});
    }

    /**
     * {@return the units whose middle lies in a window, um} Errors are those of these units; how the iteration went and what
     * levels cost remain that of the whole.
     *
     * @param x0 left side
     * @param y0 lower side
     * @param x1 right side
     * @param y1 upper side
     */
    public DoseTable within(double x0, double y0, double x1, double y1) {
        boolean[] keep = new boolean[pieces.units()];
        int[] kept = new int[keep.length];
        int n = 0;
        for (int u = 0; u < keep.length; u++) {
            if (holdsMiddle(new double[] {x0, y0, x1, y1}, pieces.unitBoundsUm(u))) {
                keep[u] = true;
                kept[n++] = u;
            }
        }
        Pieces within = pieces.ofUnits(keep);
        int[] units = Arrays.copyOf(kept, n);
        double[] criterion = pick(energyCorrected, units);
        double[] wanted = pick(target, units);
        DoseStatus[] statuses = Arrays.stream(units).mapToObj(u -> status[u]).toArray(DoseStatus[]::new);
        return new DoseTable(
                within,
                pattern,
                options,
                convergence.written(pick(energyUncorrected, units), criterion, wanted, statuses),
                levels,
                Arrays.stream(units).mapToDouble(u -> factor[u]).toArray(),
                Arrays.stream(units).map(u -> level[u]).toArray(),
                pick(energyUncorrected, units),
                criterion,
                statuses,
                evaluators,
                levelCost,
                levelStudy,
                energyAtWideDose.map(e -> pick(e, units)),
                judged(units),
                outlineError,
                new Counts(n, within.size()),
                wanted);
    }

    /** Whether a window holds the middle of a box; both have left, lower, right and upper side. */
    static boolean holdsMiddle(double[] window, double[] box) {
        double x = 0.5 * (box[0] + box[2]);
        double y = 0.5 * (box[1] + box[3]);
        return x >= window[0] && x < window[2] && y >= window[1] && y < window[3];
    }

    private static double[] pick(double[] values, int[] units) {
        return Arrays.stream(units).mapToDouble(u -> values[u]).toArray();
    }

    private float[] judged(int[] units) {
        float[] picked = new float[units.length];
        for (int k = 0; k < units.length; k++) {
            picked[k] = judged[units[k]];
        }
        return picked;
    }

    /**
     * {@return the same doses in fewer, larger pieces: units of a shape that have the same dose, level and status become one, and
     * its pieces are joined where they make up one trapezoid} Criterion values of a joined unit are the means over what judges its parts.
     */
    public DoseTable joined() {
        int[] joinedUnit = new int[pieces.units()];
        int[] first = new int[pieces.units()];
        int n = 0;
        Map<Alike, Integer> known = new HashMap<>();
        for (int s = 0; s < pieces.shapes(); s++) {
            if (pieces.shapeFirst(s + 1) - pieces.shapeFirst(s) == 1) {
                // Most shapes of most layouts.
                joinedUnit[pieces.shapeFirst(s)] = n;
                first[n++] = pieces.shapeFirst(s);
                continue;
            }
            known.clear();
            for (int u = pieces.shapeFirst(s); u < pieces.shapeFirst(s + 1); u++) {
                Integer same = known.putIfAbsent(new Alike(factor[u], level[u], status[u]), n);
                joinedUnit[u] = same == null ? n : same;
                if (same == null) {
                    first[n++] = u;
                }
            }
        }
        int[] units = Arrays.copyOf(first, n);
        JoinedUnits joined = new JoinedUnits(joinedUnit, n, judged);
        return new DoseTable(
                PieceJoin.of(pieces, joinedUnit, n),
                pattern,
                options,
                convergence,
                levels,
                pick(factor, units),
                Arrays.stream(units).map(u -> level[u]).toArray(),
                joined.means(energyUncorrected),
                joined.means(energyCorrected),
                Arrays.stream(units).mapToObj(u -> status[u]).toArray(DoseStatus[]::new),
                evaluators,
                levelCost,
                levelStudy,
                energyAtWideDose.map(joined::means),
                judged(units),
                outlineError,
                counts,
                joined.means(target));
    }

    private record Alike(double factor, int level, DoseStatus status) {}

    /** {@return number of pieces held at a bound, whatever the cause} */
    public long heldPieces() {
        return Arrays.stream(DoseStatus.values())
                .filter(DoseStatus::isHeld)
                .mapToLong(this::pieces)
                .sum();
    }

    /** {@return number of different dose levels that the units have} */
    public long levelsUsed() {
        return Arrays.stream(level).distinct().count();
    }

    /**
     * {@return number of pieces with the given status}
     *
     * @param wanted the status
     */
    public long pieces(DoseStatus wanted) {
        long count = 0;
        for (int u = 0; u < status.length; u++) {
            if (status[u] == wanted) {
                count += pieces.unitFirst(u + 1) - pieces.unitFirst(u);
            }
        }
        return count;
    }

    /** {@return smallest dose factor, or NaN if there is no unit} */
    public double minFactor() {
        double min = Double.POSITIVE_INFINITY;
        for (double f : factor) {
            min = Math.min(min, f);
        }
        return factor.length == 0 ? Double.NaN : min;
    }

    /** {@return largest dose factor, or NaN if there is no unit} */
    public double maxFactor() {
        double max = 0;
        for (double f : factor) {
            max = Math.max(max, f);
        }
        return factor.length == 0 ? Double.NaN : max;
    }

    @Override
    public String toString() {
        return String.format(
                Locale.ROOT,
                "DoseTable[%d pieces, %d units, factors %.4f to %.4f, %s]",
                pieces.size(),
                pieces.units(),
                minFactor(),
                maxFactor(),
                convergence.converged() ? "converged" : "not converged");
    }

    /** {@return total area of all pieces, um^2} */
    public double areaUm2() {
        double area = 0;
        for (int i = 0; i < pieces.size(); i++) {
            area += pieces.areaUm2(i);
        }
        return area;
    }

    /** {@return area times dose factor, summed over all pieces, um^2: the exposure's charge in units of base dose times area} */
    public double dosedAreaUm2() {
        double sum = 0;
        for (int u = 0; u < factor.length; u++) {
            for (int i = pieces.unitFirst(u); i < pieces.unitFirst(u + 1); i++) {
                sum += factor[u] * pieces.areaUm2(i);
            }
        }
        return sum;
    }
}
