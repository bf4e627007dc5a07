package evendose.pieces;

import java.io.Serializable;
import java.util.Arrays;
import java.util.stream.IntStream;

/**
 * Points on the exposed outline where the energy tells how well doses come out: at least two direct ranges along it from corners, and some
 * that stand for sides too short for that. The arrays are live and not to be changed.
 *
 * @param xUm x of each point, um
 * @param yUm y of each point, um
 * @param lengthUm length of outline that each stands for, um; near corners what it counts where units are judged
 * @param unit unit that each belongs to; points of one shape follow each other, shapes in their order
 * @param nearCorner whether each stands for a side near corners
 * @param inCellXUm x where each counts when the cell of its unit is divided, um: within the cell, across whose borders pieces may reach
 * @param inCellYUm y of that, um
 *
 * @serial exclude
 */
public record OutlinePoints(
        double[] xUm,
        double[] yUm,
        float[] lengthUm,
        int[] unit,
        boolean[] nearCorner,
        double[] inCellXUm,
        double[] inCellYUm)
        implements Serializable {
    /**
     * {@return points to be filled in}
     *
     * @param n number of points
     */
    public static OutlinePoints ofSize(int n) {
        return new OutlinePoints(
                new double[n], new double[n], new float[n], new int[n], new boolean[n], new double[n], new double[n]);
    }

    /** {@return those off corners} */
    public OutlinePoints offCorners() {
        return of(IntStream.range(0, size()).filter(k -> !nearCorner[k]).toArray(), 1);
    }

    /**
     * {@return every so many points, such that about {@code most} are left; each stands for the length of those left out as well, so that
     * what lies elsewhere has the same weight beside them as before}
     *
     * @param most number of points that is enough
     */
    public OutlinePoints atMost(int most) {
        int step = (size() + most - 1) / most;
        return step <= 1
                ? this
                : of(IntStream.iterate(0, k -> k < size(), k -> k + step).toArray(), step);
    }

    /**
     * {@return the points of units that are not left out}
     *
     * @param out for each unit whether it is
     */
    public OutlinePoints without(boolean[] out) {
        return of(IntStream.range(0, size()).filter(k -> !out[unit[k]]).toArray(), 1);
    }

    private OutlinePoints of(int[] chosen, int times) {
        int n = chosen.length;
        OutlinePoints some = ofSize(n);
        for (int k = 0; k < n; k++) {
            some.xUm[k] = xUm[chosen[k]];
            some.yUm[k] = yUm[chosen[k]];
            some.lengthUm[k] = times * lengthUm[chosen[k]];
            some.unit[k] = unit[chosen[k]];
            some.nearCorner[k] = nearCorner[chosen[k]];
            some.inCellXUm[k] = inCellXUm[chosen[k]];
            some.inCellYUm[k] = inCellYUm[chosen[k]];
        }
        return some;
    }

    /** The first point of the shape that begins with unit {@code first}, or of a later one. */
    int firstOfShape(int first) {
        int from = 0;
        int to = unit.length;
        while (from < to) {
            int middle = (from + to) >>> 1;
            if (unit[middle] < first) {
                from = middle + 1;
            } else {
                to = middle;
            }
        }
        return from;
    }

    /** {@return number of points} */
    public int size() {
        return xUm.length;
    }

    /** What counts for equality, arrays by what they hold. */
    private Object[] values() {
        return new Object[] {xUm, yUm, lengthUm, unit, nearCorner, inCellXUm, inCellYUm};
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof OutlinePoints o && Arrays.deepEquals(values(), o.values());
    }

    @Override
    public int hashCode() {
        return Arrays.deepHashCode(values());
    }
}
