package evendose.pieces;

import java.io.Serializable;
import java.util.Arrays;

/**
 * The trapezoids that are written, in um, as parallel arrays without an object per piece.
 *
 * <p>Piece {@code i} has horizontal sides at {@code yBottomUm[i] < yTopUm[i]} and runs from {@code xLeft...} to
 * {@code xRight...} at each of them. Pieces of one dose unit are contiguous: unit {@code u} holds pieces
 * {@code unitFirst[u]} to {@code unitFirst[u + 1] - 1}. Units of one merged shape are contiguous too: shape {@code s} holds units
 * {@code shapeFirst[s]} to {@code shapeFirst[s + 1] - 1}. All pieces of a shape belong to one layer.
 *
 * <p>The arrays are handed out as they are, for speed: treat them as read-only.
 */
public final class Pieces implements Serializable {
    private static final long serialVersionUID = 1L;

    private final double[][] coordinates;
    private final int[] unitFirst;
    private final int[] shapeFirst;
    private final int[] layerOfShape;

    /**
     * Takes the arrays over without copying.
     *
     * @param coordinates the six arrays y bottom, y top, x left bottom, x right bottom, x left top, x right top, um, one
     *     entry a piece
     * @param unitFirst first piece of each unit and the number of pieces at the end
     * @param shapeFirst first unit of each shape and the number of units at the end
     * @param layerOfShape index of each shape's layer in the caller's list
     * @throws IllegalArgumentException if lengths do not fit each other
     */
    public Pieces(double[][] coordinates, int[] unitFirst, int[] shapeFirst, int[] layerOfShape) {
        if (coordinates.length != 6) {
            throw new IllegalArgumentException("six coordinate arrays are needed, got " + coordinates.length);
        }
        for (double[] c : coordinates) {
            if (c.length != coordinates[0].length) {
                throw new IllegalArgumentException("coordinate arrays differ in length");
            }
        }
        if (unitFirst[unitFirst.length - 1] != coordinates[0].length
                || shapeFirst[shapeFirst.length - 1] != unitFirst.length - 1
                || layerOfShape.length != shapeFirst.length - 1) {
            throw new IllegalArgumentException("piece, unit and shape counts do not fit each other");
        }
        this.coordinates = coordinates.clone();
        this.unitFirst = unitFirst;
        this.shapeFirst = shapeFirst;
        this.layerOfShape = layerOfShape;
    }

    /** Number of pieces. */
    public int size() {
        return coordinates[0].length;
    }

    /** Number of dose units. */
    public int units() {
        return unitFirst.length - 1;
    }

    /** Number of merged shapes. */
    public int shapes() {
        return shapeFirst.length - 1;
    }

    public double[] yBottomUm() {
        return coordinates[0];
    }

    public double[] yTopUm() {
        return coordinates[1];
    }

    public double[] xLeftBottomUm() {
        return coordinates[2];
    }

    public double[] xRightBottomUm() {
        return coordinates[3];
    }

    public double[] xLeftTopUm() {
        return coordinates[4];
    }

    public double[] xRightTopUm() {
        return coordinates[5];
    }

    /** First piece of unit {@code u}; {@code u} may equal {@link #units()}. */
    public int unitFirst(int u) {
        return unitFirst[u];
    }

    /** First unit of shape {@code s}; {@code s} may equal {@link #shapes()}. */
    public int shapeFirst(int s) {
        return shapeFirst[s];
    }

    /** Index of the layer of shape {@code s} in the list that the pieces were made with. */
    public int layerOfShape(int s) {
        return layerOfShape[s];
    }

    /** Shape of each unit, a new array. */
    public int[] shapeOfUnit() {
        int[] shape = new int[units()];
        for (int s = 0; s < shapes(); s++) {
            Arrays.fill(shape, shapeFirst[s], shapeFirst[s + 1], s);
        }
        return shape;
    }

    /** Unit of each piece, a new array. */
    public int[] unitOfPiece() {
        int[] unit = new int[size()];
        for (int u = 0; u < units(); u++) {
            Arrays.fill(unit, unitFirst[u], unitFirst[u + 1], u);
        }
        return unit;
    }

    /**
     * The pieces of some units only, in the same order; shapes without such a unit are left out.
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
                        System.arraycopy(coordinates[k], unitFirst[u], c[k], p1, n);
                    }
                    p1 += n;
                    first[++u1] = p1;
                }
            }
            if (u1 > begun) {
                layers[s1] = layerOfShape[s];
                shapes[++s1] = u1;
            }
        }
        return new Pieces(c, first, Arrays.copyOf(shapes, s1 + 1), Arrays.copyOf(layers, s1));
    }

    /** Whether both sides of piece {@code i} are vertical: a rectangle. */
    public boolean isUpright(int i) {
        return coordinates[2][i] == coordinates[4][i] && coordinates[3][i] == coordinates[5][i];
    }

    /** Area of piece {@code i}, um^2. */
    public double areaUm2(int i) {
        double[][] c = coordinates;
        return 0.5 * (c[3][i] - c[2][i] + c[5][i] - c[4][i]) * (c[1][i] - c[0][i]);
    }

    /** Smallest x, smallest y, largest x, largest y of all pieces, um; an empty array if there is no piece. */
    public double[] boundsUm() {
        if (size() == 0) {
            return new double[0];
        }
        double[] b = {Double.MAX_VALUE, Double.MAX_VALUE, -Double.MAX_VALUE, -Double.MAX_VALUE};
        for (int i = 0; i < size(); i++) {
            b[0] = Math.min(b[0], Math.min(coordinates[2][i], coordinates[4][i]));
            b[1] = Math.min(b[1], coordinates[0][i]);
            b[2] = Math.max(b[2], Math.max(coordinates[3][i], coordinates[5][i]));
            b[3] = Math.max(b[3], coordinates[1][i]);
        }
        return b;
    }
}
