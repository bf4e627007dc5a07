package evendose.files;

import java.math.BigDecimal;
import java.math.MathContext;
import java.nio.charset.StandardCharsets;
import java.util.Locale;

/**
 * Writes numbers as text, the same under every locale; into byte arrays fast: those methods return the position after what they
 * wrote, and {@link #LONGEST} bytes must be free.
 */
public final class NumberText {
    /** Most bytes that one number takes. */
    public static final int LONGEST = 32;

    private static final double[] POWERS = {1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9};
    private static final double EXACT = 9.007199254740992e15;

    private NumberText() {}

    /**
     * Writes a decimal integer.
     *
     * @param out where to write
     * @param at index of the first byte to write
     * @param value the number
     * @return the index after the last byte written
     */
    public static int append(byte[] out, int at, long value) {
        if (value < 0) {
            if (value == Long.MIN_VALUE) {
                return append(out, at, "-9223372036854775808");
            }
            out[at] = '-';
            return append(out, at + 1, -value);
        }
        int digits = 1;
        for (long v = value; v >= 10; v /= 10) {
            digits++;
        }
        long v = value;
        for (int k = digits - 1; k >= 0; k--) {
            out[at + k] = (byte) ('0' + v % 10);
            v /= 10;
        }
        return at + digits;
    }

    /**
     * Writes {@code value} so that reading it gives the same {@code double}, as short as a few decimals allow.
     *
     * @param out where to write
     * @param at index of the first byte to write
     * @param value the number
     * @return the index after the last byte written
     */
    public static int appendExact(byte[] out, int at, double value) {
        for (int k = 0; k <= 6; k++) {
            double scaled = Math.rint(value * POWERS[k]);
            // Dividing two exact numbers rounds correctly, as reading the decimal does.
            if (Math.abs(scaled) < EXACT && scaled / POWERS[k] == value) {
                return appendScaled(out, at, (long) scaled, k);
            }
        }
        return append(out, at, Double.toString(value));
    }

    /**
     * Writes {@code value} with nine decimals, or in full where that would lose digits that matter.
     *
     * @param out where to write
     * @param at index of the first byte to write
     * @param value the number
     * @return the index after the last byte written
     */
    public static int appendNineDecimals(byte[] out, int at, double value) {
        double magnitude = Math.abs(value);
        if (magnitude < 1e6 && (magnitude >= 0.1 || magnitude == 0)) {
            return appendScaled(out, at, Math.round(value * 1e9), 9);
        }
        return append(out, at, Double.toString(value));
    }

    private static int appendScaled(byte[] out, int from, long scaled, int decimals) {
        int at = from;
        long v = scaled;
        if (v < 0) {
            out[at++] = '-';
            v = -v;
        }
        long unit = (long) POWERS[decimals];
        at = append(out, at, v / unit);
        if (decimals > 0) {
            out[at++] = '.';
            long fraction = v % unit;
            for (int k = decimals - 1; k >= 0; k--) {
                out[at + k] = (byte) ('0' + fraction % 10);
                fraction /= 10;
            }
            at += decimals;
        }
        return at;
    }

    /**
     * {@return a number rounded to so many digits, without an exponent or needless zeros}
     *
     * @param value the number
     * @param digits significant digits
     */
    public static String plain(double value, int digits) {
        return new BigDecimal(value, new MathContext(digits))
                .stripTrailingZeros()
                .toPlainString();
    }

    /**
     * Writes plain text.
     *
     * @param out where to write
     * @param at index of the first byte to write
     * @param text the text, plain ASCII
     * @return the index after the last byte written
     */
    public static int append(byte[] out, int at, String text) {
        byte[] bytes = text.getBytes(StandardCharsets.US_ASCII);
        System.arraycopy(bytes, 0, out, at, bytes.length);
        return at + bytes.length;
    }

    /**
     * {@return a share in percent with as many digits as one wants to read: 0.012 %, 1.23 %, 45 %}
     *
     * @param share the share, 1 for all
     */
    public static String percent(double share) {
        double value = 100 * share;
        return String.format(Locale.ROOT, value < 0.1 ? "%.3f %%" : value < 10 ? "%.2f %%" : "%.0f %%", value);
    }
}
