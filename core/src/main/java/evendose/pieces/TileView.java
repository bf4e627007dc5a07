package evendose.pieces;

import java.util.List;
import java.util.Map;

/**
 * A tile, and what is known of the large shapes that it sees a part of.
 *
 * @param frame the tile
 * @param large by the number of a shape among those that the tile sees: all of it; missing for shapes that are seen whole
 */
public record TileView(TileFrame frame, Map<Integer, WholeShape> large) {
    /** All of a shape of which {@code seen} is the box of what is seen. */
    WholeShape whole(int shape, ShapeBox seen) {
        WholeShape known = large.get(shape);
        return known != null ? known : new WholeShape(seen, List.of(shape));
    }
}
