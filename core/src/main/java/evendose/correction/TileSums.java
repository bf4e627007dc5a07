package evendose.correction;

import evendose.energy.GridPart;
import java.io.Serializable;
import java.util.List;

/**
 * What a tile tells after a step: all that travels.
 *
 * @param contribution what its own units add to the shared grids with their new doses
 * @param residual of its own units with the doses before the step
 * @param minFactor smallest new dose of its own units
 * @param maxFactor largest
 * @serial exclude
 */
public record TileSums(List<GridPart> contribution, Residual residual, double minFactor, double maxFactor)
        implements Serializable {
    /**
     * Residuals of units that can move.
     *
     * @param largest largest
     * @param squares sum of squares
     * @param count number of units
     * @serial exclude
     */
    public record Residual(double largest, double squares, long count) implements Serializable {
        /** No unit. */
        public static final Residual NONE = new Residual(0, 0, 0);

        /**
         * {@return both together}
         *
         * @param other those of other units
         */
        public Residual and(Residual other) {
            return new Residual(Math.max(largest, other.largest), squares + other.squares, count + other.count);
        }

        /** {@return root mean square} */
        public double rms() {
            return count == 0 ? 0 : Math.sqrt(squares / count);
        }
    }
}
