package evendose.pieces;

import java.util.Map;

/**
 * A tile, and what is known of the large shapes that it sees a part of.
 *
 * @param frame the tile
 * @param boxes by the number of a shape among those that the tile sees: the box of all of it; missing for shapes that are seen whole
 */
public record TileView(TileFrame frame, Map<Integer, ShapeBox> boxes) {
    /** The whole box of a shape of which {@code seen} is the box of what is seen. */
    ShapeBox boxOf(int shape, ShapeBox seen) {
        return boxes.getOrDefault(shape, seen);
    }
}
