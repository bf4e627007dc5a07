package evendose.energy;

import org.apache.commons.numbers.gamma.Erf;

/**
 * The error function by table: Taylor polynomials of degree 7 about the middles of intervals 1/32 wide.
 *
 * <p>The remainder is below {@code (1/64)^8 max|erf^(8)| / 8! < 2e-16}; with rounding, values are within 4e-16 of the true
 * ones (held by {@code FastErfTest}). Beyond {@link #LIMIT} the result is exactly -1 or 1, wrong by 2.2e-17. Centre values come from
 * Commons Numbers, derivatives from the recurrence of the Hermite polynomials (Abramowitz and Stegun 7.1.19, from memory).
 */
final class FastErf {
    /** Where {@code erf} is taken as saturated. */
    static final double LIMIT = 6;

    private static final int PER_UNIT = 32;
    private static final int COEFFICIENTS = 8;
    private static final double[] TABLE = table();

    private FastErf() {}

    private static double[] table() {
        int intervals = (int) LIMIT * PER_UNIT;
        double[] t = new double[intervals * COEFFICIENTS];
        for (int i = 0; i < intervals; i++) {
            double z = (i + 0.5) / PER_UNIT;
            t[i * COEFFICIENTS] = Erf.value(z);
            double hermiteBefore = 0;
            double hermite = 1;
            double factor = 2 / Math.sqrt(Math.PI) * Math.exp(-z * z);
            for (int n = 1; n < COEFFICIENTS; n++) {
                // The n-th Taylor coefficient is 2/sqrt(pi) e^(-z^2) (-1)^(n-1) H_(n-1)(z) / n!.
                factor /= n;
                t[i * COEFFICIENTS + n] = factor * hermite;
                double next = 2 * z * hermite - 2 * (n - 1) * hermiteBefore;
                hermiteBefore = hermite;
                hermite = next;
                factor = -factor;
            }
        }
        return t;
    }

    /** {@code erf(z)}; NaN is not checked for. */
    static double value(double z) {
        double a = Math.abs(z);
        if (!(a < LIMIT)) {
            return z > 0 ? 1 : -1;
        }
        int i = (int) (a * PER_UNIT);
        double t = a - (i + 0.5) * (1.0 / PER_UNIT);
        int o = i * COEFFICIENTS;
        double[] c = TABLE;
        double high = c[o + 4] + t * (c[o + 5] + t * (c[o + 6] + t * c[o + 7]));
        double t2 = t * t;
        double v = c[o] + (t * c[o + 1] + t2 * ((c[o + 2] + t * c[o + 3]) + t2 * high));
        return z < 0 ? -v : v;
    }

    /** The same by polynomials of degree 4 over the same intervals: absolute error below 2e-10 (held by {@code FastErfTest}). */
    static double rough(double z) {
        double a = Math.abs(z);
        if (!(a < LIMIT)) {
            return z > 0 ? 1 : -1;
        }
        int i = (int) (a * PER_UNIT);
        double t = a - (i + 0.5) * (1.0 / PER_UNIT);
        int o = i * COEFFICIENTS;
        double[] c = TABLE;
        double v = c[o] + t * (c[o + 1] + t * (c[o + 2] + t * (c[o + 3] + t * c[o + 4])));
        return z < 0 ? -v : v;
    }
}
