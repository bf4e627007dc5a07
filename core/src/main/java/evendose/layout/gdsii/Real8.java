package evendose.layout.gdsii;

/**
 * GDSII's eight-byte real: a sign bit, an exponent of base 16 in excess 64 (seven bits) and a fraction of 56 bits,
 *
 * <pre>value = (-1)^sign  fraction / 2^56  16^(exponent - 64)</pre>
 */
final class Real8 {
    private Real8() {}

    /** The nearest {@code double}: at most 53 of the 56 bits survive. */
    static double decode(long bits) {
        double fraction = (double) (bits & 0x00ff_ffff_ffff_ffffL);
        int exponent = (int) (bits >>> 56) & 0x7f;
        double magnitude = Math.scalb(fraction, 4 * (exponent - 64) - 56);
        return bits < 0 ? -magnitude : magnitude;
    }

    /**
     * The eight bytes of {@code value}, exactly: a {@code double} has 53 bits, and at most three of the 56 are lost to the
     * base of 16.
     *
     * @throws IllegalArgumentException if the value is not finite or beyond about 7.2e75, or not zero and below about 5.4e-79
     */
    static long encode(double value) {
        if (value == 0) {
            return 0;
        }
        // fraction / 2^56 must lie in [1/16, 1).
        int exponent = Math.floorDiv(Math.getExponent(value), 4) + 1;
        if (!Double.isFinite(value) || exponent < -64 || exponent > 63) {
            throw new IllegalArgumentException("GDSII cannot hold the number " + value);
        }
        long fraction = (long) Math.scalb(Math.abs(value), 56 - 4 * exponent);
        return (value < 0 ? Long.MIN_VALUE : 0) | ((long) (exponent + 64) << 56) | fraction;
    }
}
