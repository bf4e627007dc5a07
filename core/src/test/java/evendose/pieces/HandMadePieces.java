package evendose.pieces;

import java.util.Arrays;

/** Pieces that tests give one by one, each a unit of its own. */
public final class HandMadePieces {
    private HandMadePieces() {}

    /** Rectangles {x0, y0, x1, y1}, each a shape of its own on layer 0. */
    public static Pieces rectangles(double[]... boxes) {
        int[] each = new int[boxes.length];
        Arrays.fill(each, 1);
        return rectangles(each, boxes);
    }

    /** Rectangles {x0, y0, x1, y1}, the first {@code unitsOfShape[0]} of them in one shape and so on, all on layer 0. */
    public static Pieces rectangles(int[] unitsOfShape, double[]... boxes) {
        return of(
                unitsOfShape,
                Arrays.stream(boxes)
                        .map(b -> new Trapezoid(false, b[1], b[3], b[0], b[2], b[0], b[2]))
                        .toArray(Trapezoid[]::new));
    }

    /** The given pieces, the first {@code unitsOfShape[0]} of them in one shape and so on, all on layer 0. */
    public static Pieces of(int[] unitsOfShape, Trapezoid... pieces) {
        int n = pieces.length;
        double[][] six = new double[6][n];
        boolean[] standing = new boolean[n];
        int[] unitFirst = new int[n + 1];
        for (int i = 0; i < n; i++) {
            Trapezoid t = pieces[i];
            double[] values = {t.low(), t.high(), t.fromLow(), t.toLow(), t.fromHigh(), t.toHigh()};
            for (int k = 0; k < 6; k++) {
                six[k][i] = values[k];
            }
            standing[i] = t.standing();
            unitFirst[i + 1] = i + 1;
        }
        int[] shapeFirst = new int[unitsOfShape.length + 1];
        for (int s = 0; s < unitsOfShape.length; s++) {
            shapeFirst[s + 1] = shapeFirst[s] + unitsOfShape[s];
        }
        return new Pieces(six, standing, unitFirst, shapeFirst, new int[unitsOfShape.length]);
    }
}
