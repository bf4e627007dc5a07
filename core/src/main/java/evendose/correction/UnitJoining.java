package evendose.correction;

import evendose.geometry.Connected;
import evendose.pieces.OutlinePoints;
import evendose.pieces.PieceJoin;
import evendose.pieces.Pieces;
import java.util.Arrays;
import java.util.Comparator;
import java.util.stream.IntStream;

/**
 * Gives neighbours one dose where that saves pieces: as many as can be while the outline is foretold to stay within the goal. What hangs
 * together without a border that pieces have to end at is divided into bands of doses, as few as there can be of a given width, and what still
 * hangs together in a band is one unit with one dose, the mean of its parts.
 */
final class UnitJoining {
    /** Share of the goal that 95 % of the outline have to be foretold to keep within. */
    private static final double KEPT = 0.8;

    /** Doses that differ by more times the goal do not become one, whatever the rest of the outline allows. */
    private static final double WIDEST = 2;

    private static final int HALVINGS = 10;

    private final double[] dose;
    private final float[] judged;

    /** Units with pieces that would become one. */
    private int[] one = new int[64];

    private int[] other = new int[64];
    private int pairs;

    /** For each unit the first of those that it hangs together with. */
    private final int[] together;

    /** Units that another could be joined to, by what they hang together with and then by dose. */
    private final int[] sorted;

    /**
     * Looks at which units could become one.
     *
     * @param dose dose of each unit
     * @param isFree for each unit whether its dose may change
     * @param judged outline that judges each unit
     */
    UnitJoining(Pieces pieces, double[] dose, boolean[] isFree, float[] judged) {
        this.dose = dose;
        this.judged = judged;
        boolean[] hasNeighbour = new boolean[dose.length];
        PieceJoin.pairs(pieces, (a, b) -> {
            if (isFree[a] && isFree[b]) {
                add(a, b);
                hasNeighbour[a] = true;
                hasNeighbour[b] = true;
            }
        });
        this.together = connected(IntStream.range(0, pairs).toArray());
        this.sorted = IntStream.range(0, dose.length)
                .filter(u -> hasNeighbour[u])
                .boxed()
                .sorted(Comparator.<Integer>comparingInt(u -> together[u])
                        .thenComparingDouble(u -> dose[u])
                        .thenComparingInt(u -> u))
                .mapToInt(u -> u)
                .toArray();
    }

    private void add(int a, int b) {
        if (pairs == one.length) {
            one = Arrays.copyOf(one, 2 * pairs);
            other = Arrays.copyOf(other, 2 * pairs);
        }
        one[pairs] = a;
        other[pairs++] = b;
    }

    /** For each unit the first of those that it is connected with by the given pairs. */
    private int[] connected(int[] by) {
        int[] first = IntStream.range(0, dose.length).toArray();
        for (int k : by) {
            Connected.join(first, one[k], other[k]);
        }
        for (int u = 0; u < first.length; u++) {
            first[u] = Connected.root(first, u);
        }
        return first;
    }

    /**
     * Joins as much as the goal allows.
     *
     * @param points points of the outline
     * @param off by how much the energy at each is off, relative to its target; NaN for those that do not count
     * @param perDose by how much the energy along a unit's outline rises with its own dose, relative to its target
     * @param goal what 95 % of the outline is to be within
     */
    JoinedUnits within(OutlinePoints points, double[] off, double[] perDose, double goal) {
        JoinedUnits widest = inBands(WIDEST * goal);
        if (foretold(widest, points, off, perDose) <= KEPT * goal) {
            return widest;
        }
        double low = 0;
        double high = WIDEST * goal;
        for (int k = 0; k < HALVINGS; k++) {
            double middle = 0.5 * (low + high);
            if (foretold(inBands(middle), points, off, perDose) <= KEPT * goal) {
                low = middle;
            } else {
                high = middle;
            }
        }
        return inBands(low);
    }

    /** What there is once all that hangs together in bands of a relative width is one. */
    JoinedUnits inBands(double width) {
        int[] band = new int[dose.length];
        int bands = 0;
        for (int k = 0; k < sorted.length; bands++) {
            int least = sorted[k];
            for (;
                    k < sorted.length
                            && together[sorted[k]] == together[least]
                            && dose[sorted[k]] <= dose[least] * (1 + width);
                    k++) {
                band[sorted[k]] = bands;
            }
        }
        int[] first = connected(IntStream.range(0, pairs)
                .filter(k -> band[one[k]] == band[other[k]])
                .toArray());
        int[] number = new int[dose.length];
        int count = 0;
        for (int u = 0; u < number.length; u++) {
            number[u] = first[u] == u ? count++ : number[first[u]];
        }
        return new JoinedUnits(number, count, judged);
    }

    /** What 95 % of the outline are foretold to keep within: the background stays, since doses are given and taken side by side. */
    private double foretold(JoinedUnits joined, OutlinePoints points, double[] off, double[] perDose) {
        double[] then = joined.meansOfUnits(dose);
        double[] offThen = new double[off.length];
        for (int p = 0; p < off.length; p++) {
            int u = points.unit()[p];
            offThen[p] = off[p] + perDose[u] * (then[u] - dose[u]);
        }
        return OutlineError.of(points, offThen).p95();
    }
}
