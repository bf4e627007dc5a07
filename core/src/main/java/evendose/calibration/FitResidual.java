package evendose.calibration;

/**
 * A measurement beside what the fit says.
 *
 * @param measurement what was measured
 * @param predicted what the fit says, same unit
 * @param error standard deviation of the measurement that counts: what scatters, and of an interval its width over the root of 12; relative
 *     for a clearing dose, um for a width
 * @param standardised measured minus predicted over it; of an interval its middle minus predicted
 * @param studentised the same over its standard deviation, with the point itself left out of the scatter; for an outlier from the
 *     fit in which worse ones were set aside
 * @param outlier whether so large a value would be met in less than one of a hundred such data sets
 */
public record FitResidual(
        Measurement measurement,
        double predicted,
        double error,
        double standardised,
        double studentised,
        boolean outlier) {}
