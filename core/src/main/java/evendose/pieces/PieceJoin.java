package evendose.pieces;

import java.util.Arrays;

/**
 * Joins pieces of one dose that make up a larger trapezoid: those that share a whole slanted or upright side, and those that share a
 * whole parallel side while their other sides go on in a straight line.
 */
public final class PieceJoin {
    /** Sides turn by less than this, as a share of their lengths, where they go on straight; rounding of um is smaller. */
    private static final double STRAIGHT = 1e-9;

    private PieceJoin() {}

    /**
     * Joins.
     *
     * @param pieces the pieces
     * @param joinedUnit new number of each unit; new units hold units of one shape, and are numbered shape by shape
     * @param units number of new units
     * @return the pieces with joined ones as one
     */
    public static Pieces of(Pieces pieces, int[] joinedUnit, int units) {
        int[] first = new int[units + 1];
        for (int u = 0; u < pieces.units(); u++) {
            first[joinedUnit[u] + 1] += pieces.unitFirst(u + 1) - pieces.unitFirst(u);
        }
        for (int u = 0; u < units; u++) {
            first[u + 1] += first[u];
        }
        double[][] columns = columns(pieces);
        double[][] six = new double[6][pieces.size()];
        boolean[] standing = new boolean[pieces.size()];
        int[] at = Arrays.copyOf(first, units);
        for (int u = 0; u < pieces.units(); u++) {
            for (int i = pieces.unitFirst(u); i < pieces.unitFirst(u + 1); i++) {
                int to = at[joinedUnit[u]]++;
                for (int c = 0; c < 6; c++) {
                    six[c][to] = columns[c][i];
                }
                standing[to] = pieces.standing(i);
            }
        }
        int[] joinedFirst = new int[units + 1];
        int kept = 0;
        for (int u = 0; u < units; u++) {
            if (first[u + 1] - first[u] == 1) {
                for (int c = 0; c < 6; c++) {
                    six[c][kept] = six[c][first[u]];
                }
                standing[kept] = standing[first[u]];
                kept++;
            } else {
                Group group = new Group(six, standing, first[u], first[u + 1]);
                group.join();
                kept = group.moveTo(kept);
            }
            joinedFirst[u + 1] = kept;
        }
        int[] shapeFirst = new int[pieces.shapes() + 1];
        int[] layerOfShape = new int[pieces.shapes()];
        for (int s = 0; s < pieces.shapes(); s++) {
            layerOfShape[s] = pieces.layerOfShape(s);
            int last = -1;
            for (int u = pieces.shapeFirst(s); u < pieces.shapeFirst(s + 1); u++) {
                last = Math.max(last, joinedUnit[u]);
            }
            shapeFirst[s + 1] = Math.max(shapeFirst[s], last + 1);
        }
        for (int c = 0; c < 6; c++) {
            six[c] = Arrays.copyOf(six[c], kept);
        }
        return new Pieces(six, Arrays.copyOf(standing, kept), joinedFirst, shapeFirst, layerOfShape);
    }

    /** Takes two units. */
    @FunctionalInterface
    public interface UnitPair {
        /**
         * Takes a pair.
         *
         * @param unit a unit
         * @param other another unit of the same shape
         */
        void accept(int unit, int other);
    }

    /**
     * Shows which units have pieces that would become one with the same dose: once for each two such pieces.
     *
     * @param pieces the pieces
     * @param pairs is shown units of the same shape
     */
    public static void pairs(Pieces pieces, UnitPair pairs) {
        double[][] six = columns(pieces);
        boolean[] standing = new boolean[pieces.size()];
        int[] unit = new int[pieces.size()];
        for (int u = 0; u < pieces.units(); u++) {
            for (int i = pieces.unitFirst(u); i < pieces.unitFirst(u + 1); i++) {
                standing[i] = pieces.standing(i);
                unit[i] = u;
            }
        }
        for (int s = 0; s < pieces.shapes(); s++) {
            int from = pieces.shapeFirst(s);
            int to = pieces.shapeFirst(s + 1);
            if (to - from > 1) {
                new Group(six, standing, pieces.unitFirst(from), pieces.unitFirst(to)).pairs((i, next) -> {
                    if (unit[i] != unit[next]) {
                        pairs.accept(unit[i], unit[next]);
                    }
                });
            }
        }
    }

    private static double[][] columns(Pieces pieces) {
        return new double[][] {
            pieces.lowUm(),
            pieces.highUm(),
            pieces.fromLowUm(),
            pieces.toLowUm(),
            pieces.fromHighUm(),
            pieces.toHighUm()
        };
    }

    /** Pieces {@code from} to {@code to - 1} of one dose. */
    private static final class Group {
        private static final int LOW = 0;
        private static final int HIGH = 1;
        private static final int FROM_LOW = 2;
        private static final int TO_LOW = 3;
        private static final int FROM_HIGH = 4;
        private static final int TO_HIGH = 5;

        private final double[][] six;
        private final boolean[] standing;
        private final int from;
        private final boolean[] gone;

        Group(double[][] six, boolean[] standing, int from, int to) {
            this.six = six;
            this.standing = standing;
            this.from = from;
            this.gone = new boolean[to - from];
        }

        void join() {
            while (joinSideBySide() | joinStacked()) {
                // Until nothing is left to join.
            }
        }

        /** Shows every two pieces that would be joined. */
        void pairs(UnitPair pairs) {
            SideIndex byBegin = index(LOW, HIGH, FROM_LOW, FROM_HIGH);
            SideIndex byLow = index(LOW, FROM_LOW, TO_LOW);
            for (int i = from; i < from + gone.length; i++) {
                int beside = byBegin.find(i, LOW, HIGH, TO_LOW, TO_HIGH);
                if (beside >= 0 && beside != i) {
                    pairs.accept(i, beside);
                }
                int above = byLow.find(i, HIGH, FROM_HIGH, TO_HIGH);
                if (above >= 0 && goesOn(i, above)) {
                    pairs.accept(i, above);
                }
            }
        }

        /** What is left, found by the values in columns. */
        private SideIndex index(int... columns) {
            SideIndex index = new SideIndex(six, standing, gone.length, columns);
            for (int i = from; i < from + gone.length; i++) {
                if (!gone[i - from]) {
                    index.put(i);
                }
            }
            return index;
        }

        private boolean joinSideBySide() {
            SideIndex byBegin = index(LOW, HIGH, FROM_LOW, FROM_HIGH);
            boolean joined = false;
            for (int i = from; i < from + gone.length; i++) {
                for (int next = after(byBegin, i); next >= 0; next = after(byBegin, i)) {
                    six[TO_LOW][i] = six[TO_LOW][next];
                    six[TO_HIGH][i] = six[TO_HIGH][next];
                    gone[next - from] = true;
                    joined = true;
                }
            }
            return joined;
        }

        /** The piece that begins where {@code i} ends, or -1. */
        private int after(SideIndex byBegin, int i) {
            int next = gone[i - from] ? -1 : byBegin.find(i, LOW, HIGH, TO_LOW, TO_HIGH);
            return next == i ? -1 : next;
        }

        private boolean joinStacked() {
            SideIndex byLow = index(LOW, FROM_LOW, TO_LOW);
            boolean joined = false;
            for (int i = from; i < from + gone.length; i++) {
                for (int next = above(byLow, i); next >= 0; next = above(byLow, i)) {
                    six[HIGH][i] = six[HIGH][next];
                    six[FROM_HIGH][i] = six[FROM_HIGH][next];
                    six[TO_HIGH][i] = six[TO_HIGH][next];
                    gone[next - from] = true;
                    joined = true;
                }
            }
            return joined;
        }

        /** The piece that goes on straight on top of {@code i}, or -1. */
        private int above(SideIndex byLow, int i) {
            int next = gone[i - from] ? -1 : byLow.find(i, HIGH, FROM_HIGH, TO_HIGH);
            return next >= 0 && goesOn(i, next) ? next : -1;
        }

        /** Whether both sides go on straight from one piece to the next. */
        private boolean goesOn(int i, int next) {
            return goesOn(i, next, FROM_LOW, FROM_HIGH) && goesOn(i, next, TO_LOW, TO_HIGH);
        }

        /** Whether a side goes on straight from one piece to the next. */
        private boolean goesOn(int i, int next, int low, int high) {
            double u0 = six[high][i] - six[low][i];
            double v0 = six[HIGH][i] - six[LOW][i];
            double u1 = six[high][next] - six[low][next];
            double v1 = six[HIGH][next] - six[LOW][next];
            return Math.abs(u0 * v1 - u1 * v0) <= STRAIGHT * Math.sqrt((u0 * u0 + v0 * v0) * (u1 * u1 + v1 * v1));
        }

        /** Rectangles are level, also those that standing pieces make up. */
        private void layRectangle(int i) {
            if (standing[i] && six[FROM_LOW][i] == six[FROM_HIGH][i] && six[TO_LOW][i] == six[TO_HIGH][i]) {
                double left = six[LOW][i];
                double right = six[HIGH][i];
                six[LOW][i] = six[FROM_LOW][i];
                six[HIGH][i] = six[TO_LOW][i];
                six[FROM_LOW][i] = left;
                six[FROM_HIGH][i] = left;
                six[TO_LOW][i] = right;
                six[TO_HIGH][i] = right;
                standing[i] = false;
            }
        }

        /** Moves what is left down to {@code to}; returns the place after it. */
        int moveTo(int to) {
            int kept = to;
            for (int i = from; i < from + gone.length; i++) {
                if (!gone[i - from]) {
                    for (double[] c : six) {
                        c[kept] = c[i];
                    }
                    standing[kept] = standing[i];
                    layRectangle(kept++);
                }
            }
            return kept;
        }
    }
}
