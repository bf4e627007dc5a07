package evendose.scattering;

/**
 * A number with its statistical error.
 *
 * @param value estimate
 * @param standardError its standard error, from the scatter between batches
 */
public record Estimate(double value, double standardError) {
    /** No number. */
    public static final Estimate NONE = new Estimate(Double.NaN, Double.NaN);

    /**
     * Ratio of two sums over batches, with the error that follows from the scatter between batches to first order; NaN if the
     * lower sum is 0.
     */
    static Estimate ofRatio(double[] upper, double[] lower) {
        double a = 0;
        double b = 0;
        for (int i = 0; i < upper.length; i++) {
            a += upper[i];
            b += lower[i];
        }
        double ratio = a / b;
        double squares = 0;
        for (int i = 0; i < upper.length; i++) {
            double d = upper[i] - ratio * lower[i];
            squares += d * d;
        }
        int n = upper.length;
        return new Estimate(ratio, Math.sqrt(squares * n / (n - 1.0)) / b);
    }
}
