package evendose.pieces;

import java.io.Serializable;
import java.util.List;

/**
 * A large shape of which a tile sees a part, or several that hang together beyond what it sees.
 *
 * @param box the box of all of it, dbu
 * @param parts numbers of its parts among the shapes that the tile sees, rising
 * @serial exclude
 */
public record WholeShape(ShapeBox box, List<Integer> parts) implements Serializable {
    /**
     * {@return the shape as an equal tile sees it}
     *
     * @param dx where that lies along x from this one, dbu
     * @param dy where it lies along y, dbu
     */
    public WholeShape moved(double dx, double dy) {
        return new WholeShape(box.moved(dx, dy), parts);
    }
}
