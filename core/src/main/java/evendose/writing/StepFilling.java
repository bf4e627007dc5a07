package evendose.writing;

import java.util.List;

/**
 * What one step makes of all pieces when each is filled with whole steps: a piece whose size is no whole number of steps gets more
 * or less charge than its dose asks for.
 *
 * <p>A piece {@code h} high across its parallel sides gets {@code m = round(h / step)} rows along them, at least one; row {@code k}
 * gets {@code round(l_k / step)} points, at least one, with {@code l_k} the piece's length at {@code (k + 1/2) / m} of its height.
 * Halves are rounded up. All points dwell as the piece's dose asks for, so its charge is off by
 *
 * <pre>error = points step^2 / area - 1.</pre>
 *
 * <p>Writers may fill in other ways; this is the plainest one. Held by {@code StepFillingTest}.
 *
 * @param stepNm distance of dwell points, nm
 * @param points number of dwell points of one copy
 * @param chargeError charge of all points over what the doses ask for, less 1
 * @param rmsError root mean square of the pieces' dose errors, weighted by area
 * @param areaOver1Percent share of the area whose dose is off by more than 1 %
 * @param areaOver5Percent share of the area whose dose is off by more than 5 %
 * @param thinPieces number of pieces thinner than a step across their parallel sides, or on average along them
 * @param worst the pieces whose dose is off most, worst first, at most {@link #MOST_LISTED}
 */
public record StepFilling(
        double stepNm,
        long points,
        double chargeError,
        double rmsError,
        double areaOver1Percent,
        double areaOver5Percent,
        long thinPieces,
        List<FilledPiece> worst) {
    /** Most pieces listed for a step. */
    public static final int MOST_LISTED = 50;

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public StepFilling {
        worst = List.copyOf(worst);
    }

    /**
     * One piece filled.
     *
     * @param shape number of its merged shape
     * @param xUm x of its middle, um
     * @param yUm y of its middle, um
     * @param widthUm its extent in x, um
     * @param heightUm its extent in y, um
     * @param rows rows of points along its parallel sides
     * @param points points in all rows
     * @param error charge of the points over what the dose asks for, less 1
     */
    public record FilledPiece(
            int shape, double xUm, double yUm, double widthUm, double heightUm, long rows, long points, double error) {}
}
