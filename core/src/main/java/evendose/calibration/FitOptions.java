package evendose.calibration;

import evendose.units.Range;
import java.util.OptionalDouble;

/**
 * What a fit may move.
 *
 * @param alphaUm range of the direct term if it is known, um; otherwise it is fitted
 * @param betaUm backscatter range if it is known, um; otherwise it is fitted
 * @param eta backscattered over direct energy if it is known; otherwise it is fitted
 * @param thirdTerm whether to fit a third term between the two, range gamma and energy ratio nu
 * @param ownThreshold whether widths have a threshold of their own, a factor tau times the clearing energy; without it both
 *     see the same threshold
 */
public record FitOptions(
        OptionalDouble alphaUm, OptionalDouble betaUm, OptionalDouble eta, boolean thirdTerm, boolean ownThreshold) {
    /** Everything free, two terms, one threshold. */
    public static final FitOptions USUAL =
            new FitOptions(OptionalDouble.empty(), OptionalDouble.empty(), OptionalDouble.empty(), false, false);

    public FitOptions {
        Range.positive("alpha", alphaUm);
        Range.positive("beta", betaUm);
        Range.positive("eta", eta);
    }
}
