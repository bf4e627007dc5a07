package evendose.geometry;

import java.io.Serializable;
import java.util.Arrays;
import java.util.function.IntPredicate;
import java.util.function.IntUnaryOperator;

/**
 * Disjoint trapezoids with horizontal parallel sides: the merged area of a set of polygons, cut only where it must be.
 *
 * <p>Coordinates are dbu as {@code double}: where a slanted edge is cut, its x is not rounded to the grid, so areas are kept.
 * Trapezoid {@code i} spans {@code yBottom(i) < yTop(i)}; its sides run from ({@code xLeftBottom}, {@code yBottom}) to
 * ({@code xLeftTop}, {@code yTop}) and likewise on the right. One horizontal side may have length zero (a triangle).
 *
 * <p>A <em>shape</em> is a set of trapezoids of one group that hang together through sides of positive length. The
 * trapezoids of shape {@code s} are numbers {@code first(s)} to {@code first(s + 1) - 1}; shapes are numbered by their lowest
 * trapezoid (then the leftmost), trapezoids within a shape likewise by bottom, then left.
 *
 * <p>A part of a side is <em>exposed</em> if it lies on the outline of the union of all groups. Left and right sides are
 * exposed as a whole or not at all; horizontal sides may be exposed in parts. Parts shorter than 1/64 dbu are left out.
 *
 * <p>Filled by {@link Merge}. Exposed horizontal parts of trapezoid {@code i} are numbers {@code exposedFirst(i)} to
 * {@code exposedFirst(i + 1) - 1}: those of the bottom, then those of the top, each from left to right.
 *
 * @serial exclude
 */
public final class Trapezoids implements Serializable {
    private static final long serialVersionUID = 1L;

    static final Trapezoids EMPTY = new Trapezoids(
            new double[0],
            new double[0],
            new double[0],
            new double[0],
            new double[0],
            new double[0],
            new char[0],
            new byte[0],
            new int[1],
            new double[0],
            new double[0],
            new boolean[0],
            new int[1]);

    final double[] yBottom;
    final double[] yTop;
    final double[] xLeftBottom;
    final double[] xRightBottom;
    final double[] xLeftTop;
    final double[] xRightTop;
    final char[] group;
    /** Bit 0: left side exposed; bit 1: right side exposed. */
    final byte[] sides;
    /** First exposed horizontal part of each trapezoid, and the total at the end. */
    final int[] exposedFirst;

    final double[] exposedFrom;
    final double[] exposedTo;
    final boolean[] exposedOnTop;
    /** First trapezoid of each shape, and the total at the end. */
    final int[] shapeFirst;

    Trapezoids(
            double[] yBottom,
            double[] yTop,
            double[] xLeftBottom,
            double[] xRightBottom,
            double[] xLeftTop,
            double[] xRightTop,
            char[] group,
            byte[] sides,
            int[] exposedFirst,
            double[] exposedFrom,
            double[] exposedTo,
            boolean[] exposedOnTop,
            int[] shapeFirst) {
        this.yBottom = yBottom;
        this.yTop = yTop;
        this.xLeftBottom = xLeftBottom;
        this.xRightBottom = xRightBottom;
        this.xLeftTop = xLeftTop;
        this.xRightTop = xRightTop;
        this.group = group;
        this.sides = sides;
        this.exposedFirst = exposedFirst;
        this.exposedFrom = exposedFrom;
        this.exposedTo = exposedTo;
        this.exposedOnTop = exposedOnTop;
        this.shapeFirst = shapeFirst;
    }

    /** {@return number of trapezoids} */
    public int size() {
        return yBottom.length;
    }

    /** {@return number of shapes} */
    public int shapes() {
        return shapeFirst.length - 1;
    }

    /**
     * {@return first trapezoid of shape {@code s}; {@code s} may equal {@link #shapes()}}
     *
     * @param s number of the shape, from 0
     */
    public int first(int s) {
        return shapeFirst[s];
    }

    /**
     * {@return y of the lower side of trapezoid {@code i}, dbu}
     *
     * @param i number of the trapezoid, from 0
     */
    public double yBottom(int i) {
        return yBottom[i];
    }

    /**
     * {@return y of the upper side of trapezoid {@code i}, dbu}
     *
     * @param i number of the trapezoid, from 0
     */
    public double yTop(int i) {
        return yTop[i];
    }

    /**
     * {@return left end of the lower side of trapezoid {@code i}, dbu}
     *
     * @param i number of the trapezoid, from 0
     */
    public double xLeftBottom(int i) {
        return xLeftBottom[i];
    }

    /**
     * {@return right end of the lower side of trapezoid {@code i}, dbu}
     *
     * @param i number of the trapezoid, from 0
     */
    public double xRightBottom(int i) {
        return xRightBottom[i];
    }

    /**
     * {@return left end of the upper side of trapezoid {@code i}, dbu}
     *
     * @param i number of the trapezoid, from 0
     */
    public double xLeftTop(int i) {
        return xLeftTop[i];
    }

    /**
     * {@return right end of the upper side of trapezoid {@code i}, dbu}
     *
     * @param i number of the trapezoid, from 0
     */
    public double xRightTop(int i) {
        return xRightTop[i];
    }

    /**
     * {@return group that owns trapezoid {@code i}}
     *
     * @param i number of the trapezoid, from 0
     */
    public int group(int i) {
        return group[i];
    }

    /**
     * {@return whether the left side of trapezoid {@code i} is part of the outline}
     *
     * @param i number of the trapezoid, from 0
     */
    public boolean leftExposed(int i) {
        return (sides[i] & 1) != 0;
    }

    /**
     * {@return whether the right side of trapezoid {@code i} is part of the outline}
     *
     * @param i number of the trapezoid, from 0
     */
    public boolean rightExposed(int i) {
        return (sides[i] & 2) != 0;
    }

    /**
     * {@return how many sides the trapezoids of shape {@code s} have at most: two slanted ones each, and exposed horizontal parts}
     *
     * @param s number of the shape, from 0
     */
    public int mostSides(int s) {
        int from = first(s);
        int to = first(s + 1);
        return 2 * (to - from) + exposedFirst(to) - exposedFirst(from);
    }

    /**
     * {@return first exposed horizontal part of trapezoid {@code i}; {@code i} may equal {@link #size()}}
     *
     * @param i number of the trapezoid, from 0
     */
    public int exposedFirst(int i) {
        return exposedFirst[i];
    }

    /**
     * {@return left end of exposed horizontal part {@code e}, dbu}
     *
     * @param e number of the part
     */
    public double exposedFrom(int e) {
        return exposedFrom[e];
    }

    /**
     * {@return right end of exposed horizontal part {@code e}, dbu}
     *
     * @param e number of the part
     */
    public double exposedTo(int e) {
        return exposedTo[e];
    }

    /**
     * {@return whether exposed horizontal part {@code e} lies on its trapezoid's top (else on its bottom)}
     *
     * @param e number of the part
     */
    public boolean exposedOnTop(int e) {
        return exposedOnTop[e];
    }

    /**
     * {@return area of trapezoid {@code i}, dbu^2}
     *
     * @param i number of the trapezoid, from 0
     */
    public double area(int i) {
        return 0.5 * (xRightBottom[i] - xLeftBottom[i] + xRightTop[i] - xLeftTop[i]) * (yTop[i] - yBottom[i]);
    }

    /**
     * {@return left, lower, right and upper end of shape {@code s}, dbu, a new array}
     *
     * @param s number of the shape, from 0
     */
    public double[] box(int s) {
        double[] box = {Double.MAX_VALUE, Double.MAX_VALUE, -Double.MAX_VALUE, -Double.MAX_VALUE};
        for (int i = shapeFirst[s]; i < shapeFirst[s + 1]; i++) {
            box[0] = Math.min(box[0], Math.min(xLeftBottom[i], xLeftTop[i]));
            box[1] = Math.min(box[1], yBottom[i]);
            box[2] = Math.max(box[2], Math.max(xRightBottom[i], xRightTop[i]));
            box[3] = Math.max(box[3], yTop[i]);
        }
        return box;
    }

    /**
     * {@return ranges of shapes for parallel work, a new array: the first shape of each, so that ranges hold about so many trapezoids, and the number of shapes at
     * the end}
     *
     * @param trapezoids trapezoids in a range, at least about
     */
    public int[] shapeRanges(int trapezoids) {
        int[] starts = new int[shapes() + 1];
        int ranges = 0;
        int begun = 0;
        for (int s = 0; s < shapes(); s++) {
            if (s == 0 || first(s) - begun >= trapezoids) {
                starts[ranges++] = s;
                begun = first(s);
            }
        }
        starts[ranges] = shapes();
        return Arrays.copyOf(starts, ranges + 1);
    }

    /** {@return total area, dbu^2, with compensated summation} */
    public double area() {
        double sum = 0;
        double lost = 0;
        for (int i = 0; i < size(); i++) {
            double term = area(i) - lost;
            double next = sum + term;
            lost = (next - sum) - term;
            sum = next;
        }
        return sum;
    }

    /**
     * {@return x of the middle of trapezoid {@code i}, dbu}
     *
     * @param i number of the trapezoid, from 0
     */
    public double middleX(int i) {
        return 0.25 * (xLeftBottom[i] + xRightBottom[i] + xRightTop[i] + xLeftTop[i]);
    }

    /**
     * {@return y of the middle of trapezoid {@code i}, dbu}
     *
     * @param i number of the trapezoid, from 0
     */
    public double middleY(int i) {
        return 0.5 * (yBottom[i] + yTop[i]);
    }

    /** {@return largest magnitude of a coordinate, dbu; 0 if there is none} */
    public double largestCoordinate() {
        double largest = 0;
        for (double[] values : new double[][] {yBottom, yTop, xLeftBottom, xRightBottom, xLeftTop, xRightTop}) {
            for (double v : values) {
                largest = Math.max(largest, Math.abs(v));
            }
        }
        return largest;
    }

    /**
     * Adds all trapezoids to polygons on another grid, rounded to it; groups that come out negative are left out.
     *
     * @param sink takes them
     * @param group group that each group becomes
     * @param scale units of the other grid in a dbu
     */
    public void addTo(Polygons sink, IntUnaryOperator group, double scale) {
        for (int i = 0; i < size(); i++) {
            int g = group.applyAsInt(this.group[i]);
            if (g >= 0) {
                addTo(sink, i, g, scale);
            }
        }
    }

    /** Adds the trapezoids of shape {@code s} alone, in their group, rounded to another grid. */
    void addTo(Polygons sink, int s, double scale) {
        for (int i = first(s); i < first(s + 1); i++) {
            addTo(sink, i, group[i], scale);
        }
    }

    private void addTo(Polygons sink, int i, int g, double scale) {
        long yb = Math.round(yBottom[i] * scale);
        long yt = Math.round(yTop[i] * scale);
        long[] xy = {
            Math.round(xLeftBottom[i] * scale), yb,
            Math.round(xRightBottom[i] * scale), yb,
            Math.round(xRightTop[i] * scale), yt,
            Math.round(xLeftTop[i] * scale), yt
        };
        sink.addPolygon(g, xy, 4);
    }

    /** The same in another unit. */
    Trapezoids scaled(double factor) {
        return new Trapezoids(
                scaled(yBottom, factor),
                scaled(yTop, factor),
                scaled(xLeftBottom, factor),
                scaled(xRightBottom, factor),
                scaled(xLeftTop, factor),
                scaled(xRightTop, factor),
                group,
                sides,
                exposedFirst,
                scaled(exposedFrom, factor),
                scaled(exposedTo, factor),
                exposedOnTop,
                shapeFirst);
    }

    private static double[] scaled(double[] values, double factor) {
        return Arrays.stream(values).map(v -> v * factor).toArray();
    }

    /**
     * {@return the shapes of some groups only, in the same order} Sides that they share with shapes left out stay unexposed.
     *
     * @param keep tells of each group whether it stays
     */
    public Trapezoids ofGroups(IntPredicate keep) {
        int[] kept = new int[size()];
        int n = 0;
        int[] shapes = new int[shapes() + 1];
        int s1 = 0;
        for (int s = 0; s < shapes(); s++) {
            if (keep.test(group[shapeFirst[s]])) {
                for (int i = shapeFirst[s]; i < shapeFirst[s + 1]; i++) {
                    kept[n++] = i;
                }
                shapes[++s1] = n;
            }
        }
        int[] of = Arrays.copyOf(kept, n);
        char[] groups = new char[n];
        byte[] exposed = new byte[n];
        int[] parts = new int[n + 1];
        for (int k = 0; k < n; k++) {
            groups[k] = group[of[k]];
            exposed[k] = sides[of[k]];
            parts[k + 1] = parts[k] + exposedFirst[of[k] + 1] - exposedFirst[of[k]];
        }
        double[] from = new double[parts[n]];
        double[] to = new double[parts[n]];
        boolean[] onTop = new boolean[parts[n]];
        for (int k = 0; k < n; k++) {
            int first = exposedFirst[of[k]];
            int count = parts[k + 1] - parts[k];
            System.arraycopy(exposedFrom, first, from, parts[k], count);
            System.arraycopy(exposedTo, first, to, parts[k], count);
            System.arraycopy(exposedOnTop, first, onTop, parts[k], count);
        }
        return new Trapezoids(
                pick(yBottom, of),
                pick(yTop, of),
                pick(xLeftBottom, of),
                pick(xRightBottom, of),
                pick(xLeftTop, of),
                pick(xRightTop, of),
                groups,
                exposed,
                parts,
                from,
                to,
                onTop,
                Arrays.copyOf(shapes, s1 + 1));
    }

    private static double[] pick(double[] values, int[] of) {
        return Arrays.stream(of).mapToDouble(i -> values[i]).toArray();
    }

    @Override
    public String toString() {
        return "Trapezoids[" + size() + " in " + shapes() + " shapes, " + exposedFrom.length
                + " exposed horizontal parts]";
    }
}
