package evendose.correction;

import evendose.pieces.Pieces;
import java.io.Serializable;
import java.util.Arrays;
import java.util.BitSet;
import java.util.stream.IntStream;

/**
 * Imposes levels on the doses of a tile, those of its surroundings included, as {@link LevelSolver} does on all: each dose takes the level nearest in ratio,
 * then a third of them at a time moves to the level that leaves the smallest error given what neighbours contribute. Which third a unit belongs to follows
 * from its place, so a unit and its copies in the surroundings of other tiles move together.
 *
 * @serial exclude
 */
public final class TileLevels implements Serializable {
    private static final long serialVersionUID = 1L;

    /** Neighbours do not move together, or they would overshoot. */
    public static final int THIRDS = LevelSolver.GROUPS;

    private final double[] free;
    private final double[] wanted;
    private final double[] target;
    private final boolean[] isFree;
    private final boolean[] outside;
    private final float[] perDose;
    private final float[] weight;
    private final float[] placing;
    private final byte[] third;

    /** Slope of the energy where units are judged, for each um; 0 where no edge judges, and empty unless widths are asked for. */
    private final float[] perUm;

    private DoseLevels levels;
    private int[] level;
    private int[] former;
    private int[] best;

    /** A number for a place, the same in all tiles and in equal ones. */
    @FunctionalInterface
    public interface Marks extends Serializable {
        /**
         * {@return the number}
         *
         * @param xUm x, um
         * @param yUm y, um
         */
        int of(double xUm, double yUm);
    }

    /**
     * What becomes of the doses in a round.
     *
     * @param levels the levels that all doses take the nearest of, or null to stay with those they have
     * @param third which third moves, or -1 for none
     * @param keep whether the doses before the last round that moved any were the best so far
     * @param take whether to go back to the best doses
     * @serial exclude
     */
    public record Move(DoseLevels levels, int third, boolean keep, boolean take) implements Serializable {}

    /**
     * What a tile tells of its own doses on levels, as they were before they moved.
     *
     * @param sums what the doses add after that
     * @param squares weighted sum of squared changes of the criterion, relative to what it was without levels
     * @param most largest change of the criterion, relative to the target
     * @param outline sum of squared changes along the outline, relative to the target
     * @param length length of that outline
     * @param widths what becomes of widths, if they are asked for
     * @param taken which levels the doses have after the round
     * @serial exclude
     */
    public record Told(
            TileSums sums, double squares, double most, double outline, double length, Widths widths, BitSet taken)
            implements Serializable {
        Told with(TileSums told) {
            return new Told(told, squares, most, outline, length, widths, taken);
        }
    }

    /**
     * Widths of what edges judge.
     *
     * @param mostNm largest change, nm
     * @param squares sum of squared changes along the outline
     * @param length length of that outline
     * @serial exclude
     */
    public record Widths(double mostNm, double squares, double length) implements Serializable {
        /** Of nothing. */
        public static final Widths NONE = new Widths(0, 0, 0);

        /**
         * {@return both together}
         *
         * @param other those of other units
         */
        public Widths and(Widths other) {
            return new Widths(Math.max(mostNm, other.mostNm), squares + other.squares, length + other.length);
        }

        /** {@return root mean square, nm} */
        public double rmsNm() {
            return length > 0 ? Math.sqrt(squares / length) : 0;
        }
    }

    /**
     * Begins with doses without levels.
     *
     * @param free the doses
     * @param wanted the criterion values that they give
     * @param groups units that have one dose together, or null
     * @param perUm slope of the energy where units are judged, or empty
     */
    TileLevels(
            double[] free,
            double[] wanted,
            double[] target,
            boolean[] isFree,
            TileUnits units,
            UnitGroups groups,
            float[] perUm,
            Marks marks) {
        int n = free.length;
        Pieces pieces = units.pieces;
        this.free = free;
        this.wanted = wanted;
        this.perUm = perUm;
        this.target = target;
        this.isFree = isFree;
        this.outside = units.outside;
        this.weight = units.judged;
        this.placing = new float[n];
        this.perDose = new float[n];
        this.third = new byte[n];
        double[] direct = new double[n];
        double[] left = new double[n];
        double[] bottom = new double[n];
        for (int u = 0; u < n; u++) {
            double[] box = pieces.unitBoundsUm(u);
            left[u] = box[0];
            bottom[u] = box[1];
            direct[u] = units.direct[u];
            placing[u] = (float) (units.judged[u]
                    + (units.interior[u] ? LevelTrials.INTERIOR_OUTLINE * Math.sqrt(LevelTrials.area(pieces, u)) : 0));
        }
        if (groups != null) {
            direct = groups.toUnits(groups.means(direct));
            left = groups.toUnits(groups.least(left));
            bottom = groups.toUnits(groups.least(bottom));
        }
        for (int u = 0; u < n; u++) {
            perDose[u] = (float) direct[u];
            third[u] = (byte) Math.floorMod(marks.of(left[u], bottom[u]), THIRDS);
        }
    }

    /** The tile's own doses that take levels. */
    LevelHistogram histogram() {
        LevelHistogram histogram = new LevelHistogram();
        for (int u = 0; u < free.length; u++) {
            if (isFree[u] && !outside[u]) {
                histogram.add(free[u], placing[u]);
            }
        }
        return histogram;
    }

    /** How many different doses the tile's own units have, as far as they are no more than so many. */
    double[] different(int most) {
        return IntStream.range(0, free.length)
                .filter(u -> !outside[u])
                .mapToDouble(u -> free[u])
                .distinct()
                .limit(most)
                .toArray();
    }

    private Widths widths(double[] criterion) {
        Widths all = Widths.NONE;
        for (int u = 0; u < perUm.length; u++) {
            if (!outside[u] && perUm[u] > 0) {
                double nm = 2e3 * Math.abs(criterion[u] - wanted[u]) / perUm[u];
                all = all.and(new Widths(nm, weight[u] * nm * nm, weight[u]));
            }
        }
        return all;
    }

    /** Judges doses as they are and moves them; the sums are missing. */
    Told move(Move move, double[] criterion) {
        double squares = 0;
        double most = 0;
        double outline = 0;
        double length = 0;
        for (int u = 0; u < free.length; u++) {
            if (!outside[u]) {
                double off = criterion[u] / wanted[u] - 1;
                squares += placing[u] * off * off;
                double ofTarget = (criterion[u] - wanted[u]) / target[u];
                most = weight[u] > 0 ? Math.max(most, Math.abs(ofTarget)) : most;
                outline += weight[u] * ofTarget * ofTarget;
                length += weight[u];
            }
        }
        if (move.keep) {
            best = former;
        }
        if (move.levels != null) {
            levels = move.levels;
            level = new int[free.length];
            Arrays.setAll(level, u -> levels.nearest(free[u]));
        }
        former = level.clone();
        if (move.take) {
            level = best;
        }
        for (int u = 0; u < free.length; u++) {
            if (isFree[u] && third[u] == move.third) {
                level[u] = levels.closest(levels.factor(level[u]) + (wanted[u] - criterion[u]) / perDose[u]);
            }
        }
        BitSet taken = new BitSet();
        for (int u = 0; u < free.length; u++) {
            if (!outside[u]) {
                taken.set(level[u]);
            }
        }
        return new Told(null, squares, most, outline, length, widths(criterion), taken);
    }

    /** The doses as they are. */
    double[] doses() {
        double[] dose = new double[free.length];
        Arrays.setAll(dose, u -> levels.factor(level[u]));
        return dose;
    }

    /** How a unit does. */
    DoseStatus status(int u, TileUnits units, StatusRule rule, double criterion) {
        DoseStatus ofFree = rule.ofFree(free[u], wanted[u], target[u]);
        if (!isFree[u] || rule.isMet(criterion, target[u])) {
            return units.status(u, rule, free[u], criterion, target[u], isFree[u]);
        }
        return ofFree == DoseStatus.OK ? DoseStatus.COARSE_LEVEL : ofFree;
    }
}
