package evendose.verification;

import java.util.Arrays;

/**
 * How values spread.
 *
 * @param count number of values
 * @param mean mean, with its sign
 * @param rms root mean square
 * @param p95 95th percentile of the magnitudes: the smallest that at least 95 % do not exceed
 * @param max largest magnitude
 */
public record Spread(int count, double mean, double rms, double p95, double max) {
    /**
     * {@return the spread of the finite ones among {@code values}; zeros if there is none}
     *
     * @param values any numbers
     */
    public static Spread of(double[] values) {
        double[] magnitudes = Arrays.stream(values)
                .filter(Double::isFinite)
                .map(Math::abs)
                .sorted()
                .toArray();
        int n = magnitudes.length;
        if (n == 0) {
            return new Spread(0, 0, 0, 0, 0);
        }
        double sum = 0;
        double squares = 0;
        for (double v : values) {
            if (Double.isFinite(v)) {
                sum += v;
                squares += v * v;
            }
        }
        return new Spread(
                n, sum / n, Math.sqrt(squares / n), magnitudes[(int) Math.ceil(0.95 * n) - 1], magnitudes[n - 1]);
    }
}
