package evendose.correction;

import evendose.Supported;
import java.io.Serializable;
import java.util.Arrays;
import java.util.Locale;

/**
 * How an iteration went, and how well the doses that are written meet the criterion. A residual is {@code |C / T - 1|}, criterion
 * value C over target T, taken over the units that are free to move: corrected ones that are not held at a bound. Where levels were
 * imposed, the residuals "written" are those with the levels.
 *
 * @param converged whether the residuals of the iteration came down to the tolerance and no unit is held off its target at a bound
 * @param iterations number of dose updates
 * @param uncorrectedMaxResidual largest residual of all corrected units when their factors are 1
 * @param maxResidual largest residual of the doses written; of those held at a bound if no other is left
 * @param rmsResidual root mean square of the same
 * @param heldMaxResidual largest residual of the units held at a bound; 0 if there is none
 * @param history largest residual of the units that could still move, before the first update and after each; units may have been divided
 *     between updates
 * @serial exclude
 */
@Supported
public record Convergence(
        boolean converged,
        int iterations,
        double uncorrectedMaxResidual,
        double maxResidual,
        double rmsResidual,
        double heldMaxResidual,
        double[] history)
        implements Serializable {

    /** Copies the history. {@inheritDoc} */
    public Convergence {
        history = history.clone();
    }

    /** {@return largest residual before the first update and after each, a new array} */
    @Override
    public double[] history() {
        return history.clone();
    }

    /** The same iteration with the residuals of some units as written. */
    Convergence written(double[] uncorrected, double[] criterion, double[] target, DoseStatus[] status) {
        double[] max = new double[2];
        double[] squares = new double[2];
        int[] count = new int[2];
        double before = 0;
        for (int u = 0; u < criterion.length; u++) {
            if (status[u] != DoseStatus.FIXED) {
                int k = status[u].isHeld() ? 1 : 0;
                double off = Math.abs(criterion[u] / target[u] - 1);
                max[k] = Math.max(max[k], off);
                squares[k] += off * off;
                count[k]++;
                before = Math.max(before, Math.abs(uncorrected[u] / target[u] - 1));
            }
        }
        int told = count[0] > 0 ? 0 : 1;
        return new Convergence(
                converged && count[1] == 0,
                iterations,
                before,
                max[told],
                count[told] == 0 ? 0 : Math.sqrt(squares[told] / count[told]),
                max[1],
                history);
    }

    @Override
    public String toString() {
        return String.format(
                Locale.ROOT,
                "Convergence[%s after %d updates, largest residual %.2e]",
                converged ? "converged" : "not converged",
                iterations,
                maxResidual);
    }

    /** What counts for equality, arrays by what they hold. */
    private Object[] values() {
        return new Object[] {
            converged, iterations, uncorrectedMaxResidual, maxResidual, rmsResidual, heldMaxResidual, history
        };
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof Convergence o && Arrays.deepEquals(values(), o.values());
    }

    @Override
    public int hashCode() {
        return Arrays.deepHashCode(values());
    }
}
