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
 * @param widthOffset what is known beforehand of the constant offset of measured widths
 */
public record FitOptions(
        OptionalDouble alphaUm,
        OptionalDouble betaUm,
        OptionalDouble eta,
        boolean thirdTerm,
        boolean ownThreshold,
        WidthOffset widthOffset) {
    /** Everything free, two terms, one threshold, an offset of 0 +- 3 nm. */
    public static final FitOptions USUAL = new FitOptions(
            OptionalDouble.empty(), OptionalDouble.empty(), OptionalDouble.empty(), false, false, WidthOffset.USUAL);

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public FitOptions {
        Range.positive("alpha", alphaUm);
        Range.positive("beta", betaUm);
        Range.positive("eta", eta);
    }

    /**
     * A constant that all measured widths carry, from where the microscope sees an edge or what development adds.
     *
     * @param nm what is expected, nm
     * @param errorNm standard deviation of that, nm; 0 if it is known
     */
    public record WidthOffset(double nm, double errorNm) {
        /** 0 +- 3 nm: common practice of edge finding in scanning electron microscopes. */
        public static final WidthOffset USUAL = new WidthOffset(0, 3);

        /** Checks that values lie in their ranges. {@inheritDoc} */
        public WidthOffset {
            Range.require(Math.abs(nm) < 1000, "the width offset must lie in -1000 to 1000 nm", nm);
            Range.notNegative("the error of the width offset", errorNm);
        }
    }

    /** The same with two terms. */
    FitOptions withoutThirdTerm() {
        return new FitOptions(alphaUm, betaUm, eta, false, ownThreshold, widthOffset);
    }
}
