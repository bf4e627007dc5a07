package evendose.verification;

import evendose.parallel.Workers;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;

/**
 * Some wide terms of an energy, interpolated in the squares of a grid where so many places lie that this saves time. Which squares these are follows from
 * the places alone.
 */
final class WidePatches {
    /** Side of a square in ranges of the narrowest term: larger ones have fewer nodes for their area, but more for each point. */
    private static final double SIDE = 1;

    private final int first;
    private final int end;
    private final double sideUm;
    private final Map<Square, SmoothPatch> patches = new HashMap<>();

    /** A square of the grid. */
    private record Square(long column, long row) implements Comparable<Square> {
        @Override
        public int compareTo(Square other) {
            int rows = Long.compare(row, other.row);
            return rows == 0 ? Long.compare(column, other.column) : rows;
        }
    }

    private WidePatches(int first, int end, double sideUm) {
        this.first = first;
        this.end = end;
        this.sideUm = sideUm;
    }

    /**
     * Interpolates.
     *
     * @param terms sums of terms
     * @param first index of the first of these terms, which is the narrowest
     * @param end index after the last
     * @param rangeUm range of the first, um
     * @param xUm x of each place, um
     * @param yUm y of each place, um
     * @param each how many sums each place would take otherwise
     * @param workers threads to compute on
     */
    static WidePatches of(
            ClosedFormEnergy.Terms terms,
            int first,
            int end,
            double rangeUm,
            double[] xUm,
            double[] yUm,
            int each,
            Workers workers) {
        WidePatches all = new WidePatches(first, end, SIDE * rangeUm);
        Map<Square, Integer> places = new TreeMap<>();
        for (int k = 0; k < xUm.length; k++) {
            places.merge(all.square(xUm[k], yUm[k]), each, Integer::sum);
        }
        List<SmoothPatch> dense = new ArrayList<>();
        places.forEach((square, sums) -> {
            SmoothPatch patch = all.patch(square, rangeUm);
            if (sums > patch.nodes()) {
                all.patches.put(square, patch);
                dense.add(patch);
            }
        });
        workers.run(dense.size(), k -> dense.get(k).take((x, y) -> terms.at(first, end, x, y)));
        return all;
    }

    private Square square(double xUm, double yUm) {
        return new Square((long) Math.floor(xUm / sideUm), (long) Math.floor(yUm / sideUm));
    }

    private SmoothPatch patch(Square square, double rangeUm) {
        return new SmoothPatch(
                square.column * sideUm,
                square.row * sideUm,
                (square.column + 1) * sideUm,
                (square.row + 1) * sideUm,
                rangeUm);
    }

    int first() {
        return first;
    }

    int end() {
        return end;
    }

    boolean isEmpty() {
        return patches.isEmpty();
    }

    /** Sum of the terms at a point, um; NaN where they are not interpolated. */
    double at(double xUm, double yUm) {
        SmoothPatch patch = patches.get(square(xUm, yUm));
        return patch == null ? Double.NaN : patch.at(xUm, yUm);
    }
}
