package evendose.correction;

/**
 * How doses do, and why they do not better.
 *
 * @param minFactor smallest factor allowed
 * @param maxFactor largest factor allowed
 * @param allowed largest relative error of the criterion that is none
 * @param ownShare energy that a wide line or area adds to its own criterion value for each unit of its factor: no shape adds
 *     more, so what exceeds the target without it comes from others, and a factor with which it would do is too small only for
 *     shapes below the beam
 */
record StatusRule(double minFactor, double maxFactor, double allowed, double ownShare) {
    /** Factors this near a bound stand at it: the solver works with logarithms. */
    private static final double AT_BOUND = 1e-9;

    /** The rule of some options, after doses were moved by {@code joining}, relative, at most. */
    static StatusRule of(CorrectionOptions options, double joining) {
        return new StatusRule(
                options.minFactor(),
                options.maxFactor(),
                options.tolerance() + joining,
                options.criterion().ownShare(options.psf()));
    }

    /** Whether a criterion value is near enough. */
    boolean isMet(double criterion, double target) {
        return Math.abs(criterion / target - 1) <= allowed;
    }

    /** How a free dose does. */
    DoseStatus ofFree(double factor, double criterion, double target) {
        double off = criterion / target - 1;
        if (isMet(criterion, target)) {
            return DoseStatus.OK;
        }
        if (factor <= minFactor * (1 + AT_BOUND)) {
            return off > 0 && criterion - ownShare * factor > target ? DoseStatus.BACKGROUND : DoseStatus.AT_MINIMUM;
        }
        if (factor >= maxFactor * (1 - AT_BOUND)) {
            return off < 0 && ownShare * factor > target ? DoseStatus.BELOW_BEAM : DoseStatus.AT_MAXIMUM;
        }
        return DoseStatus.UNCONVERGED;
    }
}
