package evendose.pieces;

import java.io.Serializable;

/**
 * The box about a shape.
 *
 * @param left left end, dbu
 * @param bottom lower end, dbu
 * @param right right end, dbu
 * @param top upper end, dbu
 * @serial exclude
 */
public record ShapeBox(double left, double bottom, double right, double top) implements Serializable {
    static ShapeBox of(double[] box) {
        return new ShapeBox(box[0], box[1], box[2], box[3]);
    }

    /**
     * {@return the box at another place}
     *
     * @param dx how far along x, dbu
     * @param dy how far along y, dbu
     */
    public ShapeBox moved(double dx, double dy) {
        return new ShapeBox(left + dx, bottom + dy, right + dx, top + dy);
    }

    /** The box about both. */
    ShapeBox and(ShapeBox other) {
        return new ShapeBox(
                Math.min(left, other.left),
                Math.min(bottom, other.bottom),
                Math.max(right, other.right),
                Math.max(top, other.top));
    }
}
