package evendose.pieces;

import evendose.Supported;
import java.io.Serializable;

/**
 * What a writer asks of pieces.
 *
 * @param outlineToleranceUm how far the outline of the pieces may lie from the drawn one, um; 0 keeps every drawn vertex and rounds
 *     nothing
 * @param gridUm corners lie on multiples of this, um; 0 for the layout's database unit. Means nothing where the tolerance is 0
 * @param smallestUm extent in x or y below which a piece is thin, um: avoided where the drawn shape allows
 * @serial exclude
 */
@Supported
public record PieceRules(double outlineToleranceUm, double gridUm, double smallestUm) implements Serializable {
    /** Half a nanometre, the database unit, ten nanometres. */
    public static final PieceRules USUAL = new PieceRules(0.0005, 0, 0.01);

    /** What rounding of crossings does to exact pieces, database units. */
    private static final double EXACT = 1.0 / 512;

    private static final double HALF_DIAGONAL = Math.sqrt(0.5);

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public PieceRules {
        requireNotNegative("outline tolerance", outlineToleranceUm);
        requireNotNegative("grid", gridUm);
        requireNotNegative("smallest piece", smallestUm);
    }

    /** {@return cut at every drawn vertex, nothing rounded} */
    public static PieceRules exact() {
        return new PieceRules(0, 0, 0);
    }

    /** {@return whether pieces follow the drawn outline exactly} */
    public boolean isExact() {
        return outlineToleranceUm == 0;
    }

    /**
     * {@return how far pieces may lie from the drawn outline after all, um: the tolerance, or half the diagonal of the grid where
     * that is more; of exact ones 1/512 of a database unit: heights where slanted sides cross are rounded up to 1/1024 by the merge, and such
     * sides then meet beside each other by as much again}
     *
     * @param dbuUm database unit of the layout, um
     * @param rounded whether exact corners were rounded to the database unit
     */
    public double reachUm(double dbuUm, boolean rounded) {
        double grid = isExact() || gridUm == 0 ? dbuUm : Math.max(gridUm, rounded ? dbuUm : 0);
        double diagonal = HALF_DIAGONAL * grid;
        return isExact() && !rounded ? EXACT * dbuUm : Math.max(outlineToleranceUm, diagonal) * (1 + 1e-6);
    }

    private static void requireNotNegative(String what, double value) {
        if (!(value >= 0) || Double.isInfinite(value)) {
            throw new IllegalArgumentException(what + " must be at least 0, got " + value + " um");
        }
    }
}
