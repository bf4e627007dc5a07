package evendose.pieces;

import java.util.List;

/**
 * Whether a cell, the place of one dose unit, is divided further, and where. Asked for each cell of each shape, and again for the parts.
 * Implementations answer the same to the same question and serve many threads at once.
 */
public interface CellRule {
    /** Leaves all cells whole. */
    CellRule NONE = new CellRule() {
        @Override
        public boolean concerns(int shape) {
            return false;
        }

        @Override
        public List<Border> borders(int shape, double leftUm, double bottomUm, double rightUm, double topUm) {
            return List.of();
        }
    };

    /**
     * A border across a cell.
     *
     * @param alongY whether {@code atUm} is a height: the border runs along x
     * @param atUm where it lies, um
     */
    record Border(boolean alongY, double atUm) {}

    /**
     * {@return whether any cell of the shape is divided}
     *
     * @param shape number of the shape
     */
    boolean concerns(int shape);

    /**
     * {@return whether a part has to have enough outline for a dose of its own}
     */
    default boolean needsOutline() {
        return true;
    }

    /**
     * {@return borders that would divide a cell, the best first; none to leave it whole}
     *
     * @param shape number of the shape
     * @param leftUm left end of the cell, um
     * @param bottomUm its lower end, um
     * @param rightUm its right end, um
     * @param topUm its upper end, um
     */
    List<Border> borders(int shape, double leftUm, double bottomUm, double rightUm, double topUm);
}
