package evendose.calibration;

/**
 * A parameter with its uncertainty.
 *
 * @param name short name
 * @param unit unit, empty for a ratio
 * @param value best value
 * @param standardError standard error; 0 if it was given and not fitted
 * @param low lower end of the 95 % interval (of the logarithm, so it stays positive)
 * @param high upper end of the 95 % interval
 * @param fitted whether it was fitted
 */
public record FittedParameter(
        String name, String unit, double value, double standardError, double low, double high, boolean fitted) {}
