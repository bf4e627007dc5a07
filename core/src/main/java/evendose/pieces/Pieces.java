package evendose.pieces;

import evendose.Supported;
import java.io.Serializable;
import java.util.Arrays;

/**
 * The trapezoids that are written, in um, as parallel arrays without an object per piece.
 *
 * <p>A <em>level</em> piece has its two parallel sides along x, a <em>standing</em> one along y; rectangles are level. Both are
 * stored alike, in the piece's own frame: its parallel sides lie at {@code lowUm[i] < highUm[i]}, the low one runs from
 * {@code fromLowUm[i]} to {@code toLowUm[i]}, the high one from {@code fromHighUm[i]} to {@code toHighUm[i]}.
 *
 * <table>
 * <caption>What the frame is</caption>
 * <tr><th></th><th>low, high</th><th>from, to</th></tr>
 * <tr><td>level</td><td>y of bottom and top side</td><td>x, to the right</td></tr>
 * <tr><td>standing</td><td>x of left and right side</td><td>y, upwards</td></tr>
 * </table>
 *
 * <p>So a standing piece is a level one with x and y exchanged, and what is computed of a level piece serves for both.
 *
 * <p>Pieces of one dose unit are contiguous: unit {@code u} holds pieces
 * {@code unitFirst[u]} to {@code unitFirst[u + 1] - 1}. Units of one merged shape are contiguous too: shape {@code s} holds units
 * {@code shapeFirst[s]} to {@code shapeFirst[s + 1] - 1}. All pieces of a shape belong to one layer.
 *
 * <p>The arrays are handed out as they are, for speed: treat them as read-only.
 *
 * @serial exclude
 */
@Supported
public final class Pieces implements Serializable {
    private static final long serialVersionUID = 2L;

    /** Lengths that differ by less, relatively, are the same but for rounding. */
    private static final double SAME_LENGTH = 1e-12;

    private static final int LOW = 0;
    private static final int HIGH = 1;
    private static final int FROM_LOW = 2;
    private static final int TO_LOW = 3;
    private static final int FROM_HIGH = 4;
    private static final int TO_HIGH = 5;

    private final double[][] six;
    private final boolean[] standing;
    private final int[] unitFirst;
    private final int[] shapeFirst;
    private final int[] layerOfShape;

    /**
     * Takes the arrays over without copying.
     *
     * @param six the arrays low, high, from low, to low, from high, to high, um, one entry a piece
     * @param standing whether the parallel sides of each piece lie along y; false for every rectangle
     * @param unitFirst first piece of each unit and the number of pieces at the end
     * @param shapeFirst first unit of each shape and the number of units at the end
     * @param layerOfShape index of each shape's layer in the caller's list
     * @throws IllegalArgumentException if lengths do not fit each other or a rectangle stands
     */
    public Pieces(double[][] six, boolean[] standing, int[] unitFirst, int[] shapeFirst, int[] layerOfShape) {
        if (six.length != 6) {
            throw new IllegalArgumentException("six coordinate arrays are needed, got " + six.length);
        }
        for (double[] c : six) {
            if (c.length != standing.length) {
                throw new IllegalArgumentException("coordinate arrays differ in length");
            }
        }
        if (unitFirst[unitFirst.length - 1] != standing.length
                || shapeFirst[shapeFirst.length - 1] != unitFirst.length - 1
                || layerOfShape.length != shapeFirst.length - 1) {
            throw new IllegalArgumentException("piece, unit and shape counts do not fit each other");
        }
        this.six = six.clone();
        // Where all pieces are rectangles, memory and files hold their sides once.
        if (Arrays.equals(six[FROM_LOW], six[FROM_HIGH]) && Arrays.equals(six[TO_LOW], six[TO_HIGH])) {
            this.six[FROM_HIGH] = six[FROM_LOW];
            this.six[TO_HIGH] = six[TO_LOW];
        }
        this.standing = standing;
        this.unitFirst = unitFirst;
        this.shapeFirst = shapeFirst;
        this.layerOfShape = layerOfShape;
        for (int i = 0; i < standing.length; i++) {
            if (standing[i] && isRectangle(i)) {
                throw new IllegalArgumentException("piece " + i + " is a rectangle and must be level");
            }
        }
    }

    /**
     * As the other constructor, for pieces that are all level.
     *
     * @param six for each piece the positions of its parallel sides and where they begin and end, um
     * @param unitFirst first piece of each unit, and the number of pieces at the end
     * @param shapeFirst first unit of each shape, and the number of units at the end
     * @param layerOfShape index of the layer of each shape
     */
    public Pieces(double[][] six, int[] unitFirst, int[] shapeFirst, int[] layerOfShape) {
        this(six, new boolean[unitFirst[unitFirst.length - 1]], unitFirst, shapeFirst, layerOfShape);
    }

    /** Copies pieces into arrays like those of the constructor. */
    void copyInto(int first, int count, double[][] six, boolean[] stands, int at) {
        for (int c = 0; c < 6; c++) {
            System.arraycopy(this.six[c], first, six[c], at, count);
        }
        System.arraycopy(standing, first, stands, at, count);
    }

    /** {@return number of pieces} */
    public int size() {
        return standing.length;
    }

    /** {@return number of dose units} */
    public int units() {
        return unitFirst.length - 1;
    }

    /** {@return number of merged shapes} */
    public int shapes() {
        return shapeFirst.length - 1;
    }

    /** {@return positions of the low parallel sides: y of level pieces, x of standing ones; live, not to be changed} */
    public double[] lowUm() {
        return six[LOW];
    }

    /** {@return positions of the high parallel sides; live, not to be changed} */
    public double[] highUm() {
        return six[HIGH];
    }

    /** {@return where the low sides begin: x of level pieces, y of standing ones; live, not to be changed} */
    public double[] fromLowUm() {
        return six[FROM_LOW];
    }

    /** {@return where the low sides end; live, not to be changed} */
    public double[] toLowUm() {
        return six[TO_LOW];
    }

    /** {@return where the high sides begin; live, not to be changed} */
    public double[] fromHighUm() {
        return six[FROM_HIGH];
    }

    /** {@return where the high sides end; live, not to be changed} */
    public double[] toHighUm() {
        return six[TO_HIGH];
    }

    /**
     * {@return whether the parallel sides of piece {@code i} lie along y}
     *
     * @param i number of the piece, from 0
     */
    public boolean standing(int i) {
        return standing[i];
    }

    /** {@return whether no piece stands} */
    public boolean areLevel() {
        for (boolean stands : standing) {
            if (stands) {
                return false;
            }
        }
        return true;
    }

    /**
     * {@return left end of the box about piece {@code i}, um}
     *
     * @param i number of the piece, from 0
     */
    public double leftUm(int i) {
        return standing[i] ? six[LOW][i] : smallest(i);
    }

    /**
     * {@return right end of the box about piece {@code i}, um}
     *
     * @param i number of the piece, from 0
     */
    public double rightUm(int i) {
        return standing[i] ? six[HIGH][i] : largest(i);
    }

    /**
     * {@return lower end of the box about piece {@code i}, um}
     *
     * @param i number of the piece, from 0
     */
    public double bottomUm(int i) {
        return standing[i] ? smallest(i) : six[LOW][i];
    }

    /**
     * {@return upper end of the box about piece {@code i}, um}
     *
     * @param i number of the piece, from 0
     */
    public double topUm(int i) {
        return standing[i] ? largest(i) : six[HIGH][i];
    }

    private double smallest(int i) {
        return Math.min(six[FROM_LOW][i], six[FROM_HIGH][i]);
    }

    private double largest(int i) {
        return Math.max(six[TO_LOW][i], six[TO_HIGH][i]);
    }

    /**
     * {@return x of a corner of piece {@code i}, um} Corners go anticlockwise from the lowest one, the left of two; a triangle
     * repeats the corner that stands for its side without length, so {@link Trapezoid#ofCorners} finds the same piece again.
     *
     * @param i number of the piece, from 0
     * @param k number of the corner, 0 to 3
     */
    public double cornerXUm(int i, int k) {
        int c = inFrame(i, k);
        return standing[i] ? position(i, c) : along(i, c);
    }

    /**
     * {@return y of a corner of piece {@code i}, um; see {@link #cornerXUm}}
     *
     * @param i number of the piece, from 0
     * @param k number of the corner, 0 to 3, anticlockwise
     */
    public double cornerYUm(int i, int k) {
        int c = inFrame(i, k);
        return standing[i] ? along(i, c) : position(i, c);
    }

    /** The place of a corner in the order of the frame: from and to of the low side, to and from of the high one. */
    private int inFrame(int i, int k) {
        if (!standing[i]) {
            return k;
        }
        // Exchanging x and y turns the order round; the lowest corner is where a side begins.
        return six[FROM_LOW][i] <= six[FROM_HIGH][i] ? -k & 3 : 3 - k;
    }

    private double position(int i, int c) {
        return c < 2 ? six[LOW][i] : six[HIGH][i];
    }

    private double along(int i, int c) {
        return six[c < 2 ? FROM_LOW + c : FROM_HIGH + 3 - c][i];
    }

    /**
     * {@return x of the middle of piece {@code i}, which lies in it, um}
     *
     * @param i number of the piece, from 0
     */
    public double middleXUm(int i) {
        return standing[i] ? middlePosition(i) : middleAlong(i);
    }

    /**
     * {@return y of the middle of piece {@code i}, um}
     *
     * @param i number of the piece, from 0
     */
    public double middleYUm(int i) {
        return standing[i] ? middleAlong(i) : middlePosition(i);
    }

    private double middlePosition(int i) {
        return 0.5 * (six[LOW][i] + six[HIGH][i]);
    }

    private double middleAlong(int i) {
        return 0.25 * (six[FROM_LOW][i] + six[TO_LOW][i] + six[FROM_HIGH][i] + six[TO_HIGH][i]);
    }

    /**
     * {@return first piece of unit {@code u}; {@code u} may equal {@link #units()}}
     *
     * @param u number of the unit, from 0
     */
    public int unitFirst(int u) {
        return unitFirst[u];
    }

    /**
     * {@return first unit of shape {@code s}; {@code s} may equal {@link #shapes()}}
     *
     * @param s number of the shape, from 0
     */
    public int shapeFirst(int s) {
        return shapeFirst[s];
    }

    /**
     * {@return index of the layer of shape {@code s} in the list that the pieces were made with}
     *
     * @param s number of the shape, from 0
     */
    public int layerOfShape(int s) {
        return layerOfShape[s];
    }

    /** {@return shape of each unit, a new array} */
    public int[] shapeOfUnit() {
        int[] shape = new int[units()];
        for (int s = 0; s < shapes(); s++) {
            Arrays.fill(shape, shapeFirst[s], shapeFirst[s + 1], s);
        }
        return shape;
    }

    /** {@return unit of each piece, a new array} */
    public int[] unitOfPiece() {
        int[] unit = new int[size()];
        for (int u = 0; u < units(); u++) {
            Arrays.fill(unit, unitFirst[u], unitFirst[u + 1], u);
        }
        return unit;
    }

    /**
     * {@return the pieces of some units only, in the same order; shapes without such a unit are left out}
     *
     * @param keep for each unit whether it stays
     */
    public Pieces ofUnits(boolean[] keep) {
        int newUnits = 0;
        int newPieces = 0;
        for (int u = 0; u < units(); u++) {
            if (keep[u]) {
                newUnits++;
                newPieces += unitFirst[u + 1] - unitFirst[u];
            }
        }
        double[][] c = new double[6][newPieces];
        boolean[] stands = new boolean[newPieces];
        int[] first = new int[newUnits + 1];
        int[] shapes = new int[shapes() + 1];
        int[] layers = new int[shapes()];
        int s1 = 0;
        int u1 = 0;
        int p1 = 0;
        for (int s = 0; s < shapes(); s++) {
            int begun = u1;
            for (int u = shapeFirst[s]; u < shapeFirst[s + 1]; u++) {
                if (keep[u]) {
                    int n = unitFirst[u + 1] - unitFirst[u];
                    for (int k = 0; k < 6; k++) {
                        System.arraycopy(six[k], unitFirst[u], c[k], p1, n);
                    }
                    System.arraycopy(standing, unitFirst[u], stands, p1, n);
                    p1 += n;
                    first[++u1] = p1;
                }
            }
            if (u1 > begun) {
                layers[s1] = layerOfShape[s];
                shapes[++s1] = u1;
            }
        }
        return new Pieces(c, stands, first, Arrays.copyOf(shapes, s1 + 1), Arrays.copyOf(layers, s1));
    }

    /**
     * {@return these pieces and, after them, others; they may overlap}
     *
     * @param others the others
     */
    public Pieces and(Pieces others) {
        int n = size() + others.size();
        double[][] c = new double[6][n];
        boolean[] stands = new boolean[n];
        copyInto(0, size(), c, stands, 0);
        others.copyInto(0, others.size(), c, stands, size());
        int[] layers = Arrays.copyOf(layerOfShape, shapes() + others.shapes());
        System.arraycopy(others.layerOfShape, 0, layers, shapes(), others.shapes());
        return new Pieces(
                c, stands, chained(unitFirst, others.unitFirst), chained(shapeFirst, others.shapeFirst), layers);
    }

    /** Starts of two lists of which the second follows the first. */
    static int[] chained(int[] first, int[] second) {
        int last = first.length - 1;
        int[] both = Arrays.copyOf(first, last + second.length);
        for (int k = 0; k < second.length; k++) {
            both[last + k] = first[last] + second[k];
        }
        return both;
    }

    /**
     * {@return the same pieces on other layers}
     *
     * @param layers index of each shape's layer in the caller's list; taken over without copying
     */
    public Pieces onLayers(int[] layers) {
        return new Pieces(six, standing, unitFirst, shapeFirst, layers);
    }

    /**
     * {@return whether piece {@code i} is a rectangle}
     *
     * @param i number of the piece, from 0
     */
    public boolean isRectangle(int i) {
        return six[FROM_LOW][i] == six[FROM_HIGH][i] && six[TO_LOW][i] == six[TO_HIGH][i];
    }

    /**
     * {@return area of piece {@code i}, um^2}
     *
     * @param i number of the piece, from 0
     */
    public double areaUm2(int i) {
        return 0.5
                * (six[TO_LOW][i] - six[FROM_LOW][i] + six[TO_HIGH][i] - six[FROM_HIGH][i])
                * (six[HIGH][i] - six[LOW][i]);
    }

    /**
     * {@return number of pieces whose extent in x or y is below {@code smallestUm}}
     *
     * @param smallestUm extent, um
     */
    public int thinner(double smallestUm) {
        double limit = smallestUm * (1 - SAME_LENGTH);
        int count = 0;
        for (int i = 0; i < size(); i++) {
            count += six[HIGH][i] - six[LOW][i] < limit - SAME_LENGTH * Math.abs(six[HIGH][i])
                            || largest(i) - smallest(i) < limit - SAME_LENGTH * Math.abs(largest(i))
                    ? 1
                    : 0;
        }
        return count;
    }

    /** {@return smallest x, smallest y, largest x, largest y of all pieces, um; a new array, empty if there is no piece} */
    public double[] boundsUm() {
        return boundsUm(0, size());
    }

    /**
     * {@return smallest x, smallest y, largest x, largest y of the pieces of unit {@code u}, um; a new array, empty if it has none}
     *
     * @param u number of the unit, from 0
     */
    public double[] unitBoundsUm(int u) {
        return boundsUm(unitFirst[u], unitFirst[u + 1]);
    }

    private double[] boundsUm(int first, int end) {
        if (first == end) {
            return new double[0];
        }
        double[] b = {Double.MAX_VALUE, Double.MAX_VALUE, -Double.MAX_VALUE, -Double.MAX_VALUE};
        for (int i = first; i < end; i++) {
            b[0] = Math.min(b[0], leftUm(i));
            b[1] = Math.min(b[1], bottomUm(i));
            b[2] = Math.max(b[2], rightUm(i));
            b[3] = Math.max(b[3], topUm(i));
        }
        return b;
    }

    @Override
    public String toString() {
        return "Pieces[" + size() + " pieces in " + units() + " units of " + shapes() + " shapes]";
    }
}
