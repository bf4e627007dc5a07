package evendose.correction;

import evendose.Supported;

/**
 * What a set of dose levels costs. Errors are added ones: criterion value C with levels against the value without, relative to
 * the target; means are weighted by the outline or area that each unit is judged by.
 *
 * <p>A width error is twice the shift of the threshold contour, {@code 2 (C - C_free) / |grad E|}, with the gradient of the direct
 * term alone at the unit's samples (closed form); what longer ranges add to the gradient is left out, so widths are off by
 * slightly less. Units without exposed outline have none. {@code LevelWidthTest} holds it against contours of the exact energy.
 *
 * @param rule how the levels were chosen
 * @param levels number of levels made
 * @param snappedMax largest error when every dose goes to the level nearest in ratio
 * @param snappedRms root mean square of it
 * @param max largest error after the levels were chosen again with their neighbours' in view
 * @param rms root mean square of it
 * @param maxWidthNm largest width error after that, nm
 * @param rmsWidthNm root mean square of it, nm
 */
@Supported
public record LevelTrial(
        LevelRule rule,
        int levels,
        double snappedMax,
        double snappedRms,
        double max,
        double rms,
        double maxWidthNm,
        double rmsWidthNm) {
    /** {@return numbers of levels that a study tries, as far as there are that many different doses, a new array} */
    public static int[] studied() {
        return LevelTrials.STUDIED.clone();
    }

    /**
     * {@return this trial, or what another one with a smaller rms error found, told as of this rule}
     *
     * @param other the other
     */
    public LevelTrial orBetter(LevelTrial other) {
        return other.rms < rms
                ? new LevelTrial(
                        rule,
                        other.levels,
                        other.snappedMax,
                        other.snappedRms,
                        other.max,
                        other.rms,
                        other.maxWidthNm,
                        other.rmsWidthNm)
                : this;
    }
}
