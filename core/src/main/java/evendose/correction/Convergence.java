package evendose.correction;

/**
 * How an iteration went. A residual is {@code |C / T - 1|}, criterion value C over target T, taken over all
 * corrected units, those held at a bound included.
 *
 * @param converged whether the largest residual came down to the tolerance
 * @param iterations number of dose updates
 * @param uncorrectedMaxResidual largest residual when all factors are 1
 * @param maxResidual largest residual at the end
 * @param rmsResidual root mean square of the residuals at the end
 * @param history largest residual of the units that could still move, before the first update and after each; units may have been divided
 *     between updates
 */
public record Convergence(
        boolean converged,
        int iterations,
        double uncorrectedMaxResidual,
        double maxResidual,
        double rmsResidual,
        double[] history) {}
