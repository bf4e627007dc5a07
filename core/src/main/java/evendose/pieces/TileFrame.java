package evendose.pieces;

import java.io.Serializable;

/**
 * What of a layout a tile corrects, and what it looks at around it. Tiles lie side by side; which shapes a tile owns follows from the shape
 * and the tile alone, so no tile has to ask another:
 *
 * <p>A <em>whole</em> shape, whose box is no larger than {@code wholeDbu} either way, is never cut by a tile's border: it belongs to the
 * tile that holds the middle of its box. A larger one is cut along the borders, which are no exposed edges, and what lies in a tile belongs to it. A
 * dose unit that lies across a border is judged as a whole by the tiles on both sides, and each writes its part. Beyond what it owns, a tile
 * cuts the <em>surroundings</em>, for near terms; a shape that leaves them is cut off there.
 *
 * @param left left border, dbu; negative infinity for a tile at the left end of the layout, and likewise the others
 * @param bottom lower border, dbu
 * @param right right border, dbu
 * @param top upper border, dbu
 * @param wholeDbu largest extent of a shape that is not cut, dbu
 * @param rimDbu how far beyond what the tile owns the surroundings reach, dbu
 * @serial exclude
 */
public record TileFrame(double left, double bottom, double right, double top, double wholeDbu, double rimDbu)
        implements Serializable {
    /** Checks that values lie in their ranges. {@inheritDoc} */
    public TileFrame {
        if (!(left < right) || !(bottom < top) || !(wholeDbu >= 0) || !(rimDbu >= 0)) {
            throw new IllegalArgumentException("no tile from (" + left + ", " + bottom + ") to (" + right + ", " + top
                    + ") dbu, whole shapes " + wholeDbu + " dbu, rim " + rimDbu + " dbu");
        }
    }

    /** {@return the tile that is all of a layout} */
    public static TileFrame everything() {
        double end = Double.POSITIVE_INFINITY;
        return new TileFrame(-end, -end, end, end, 0, 0);
    }

    /** {@return how far beyond its borders the tile looks, dbu: whole shapes reach out by half their extent} */
    public double margin() {
        return 0.5 * wholeDbu + rimDbu;
    }

    /**
     * {@return whether a shape may have to be cut}
     *
     * @param width width of its box, dbu
     * @param height height of its box, dbu
     */
    public boolean isLarge(double width, double height) {
        return width > wholeDbu || height > wholeDbu;
    }

    /**
     * {@return whether a box lies beyond the surroundings}
     *
     * @param boxLeft left end, dbu
     * @param boxBottom lower end, dbu
     * @param boxRight right end, dbu
     * @param boxTop upper end, dbu
     */
    public boolean isBeyond(double boxLeft, double boxBottom, double boxRight, double boxTop) {
        double m = margin();
        return boxRight <= left - m || boxLeft >= right + m || boxTop <= bottom - m || boxBottom >= top + m;
    }

    /**
     * {@return whether the tile holds a point}
     *
     * @param x x of the point, dbu
     * @param y y of it, dbu
     */
    public boolean holds(double x, double y) {
        return x >= left && x < right && y >= bottom && y < top;
    }
}
