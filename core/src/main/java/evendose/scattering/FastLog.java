package evendose.scattering;

/**
 * Natural logarithm of a positive normal double by its exponent and a series in (m - 1)/(m + 1), m the mantissa in
 * [sqrt(1/2), sqrt(2)). Relative error below 1e-9 away from 1, absolute below 1e-10 near it (TransportKernelTest); the same bits on
 * every machine, as only exactly rounded operations are used.
 */
final class FastLog {
    private static final double LN2 = 0.6931471805599453;
    private static final long ONE = 0x3ff0000000000000L;
    private static final long MANTISSA = 0x000fffffffffffffL;
    /** Mantissa bits of sqrt(2). */
    private static final long ROOT = 0x6a09e667f3bcdL;

    private FastLog() {}

    static double log(double x) {
        long bits = Double.doubleToRawLongBits(x);
        long mantissa = bits & MANTISSA;
        // One more power of two where the mantissa is above sqrt(2): keeps the series short and has no branch.
        long up = (ROOT - mantissa) >>> 63;
        double m = Double.longBitsToDouble(mantissa | (ONE - (up << 52)));
        long exponent = (bits >>> 52) - 1023 + up;
        double t = (m - 1) / (m + 1);
        double t2 = t * t;
        double series =
                2 * t * (1 + t2 * (1.0 / 3 + t2 * (1.0 / 5 + t2 * (1.0 / 7 + t2 * (1.0 / 9 + t2 * (1.0 / 11))))));
        return exponent * LN2 + series;
    }
}
