package evendose.report;

import java.util.Locale;

/** Round numbers for axes. */
final class Ticks {
    private Ticks() {}

    /** A step of 1, 2 or 5 times a power of ten that cuts {@code range} into about {@code count} parts. */
    static double step(double range, int count) {
        double raw = range / Math.max(1, count);
        double power = Math.pow(10, Math.floor(Math.log10(raw)));
        double lead = raw / power;
        return power * (lead < 1.5 ? 1 : lead < 3.5 ? 2 : lead < 7.5 ? 5 : 10);
    }

    /** A value on a scale of that step, with as many decimals as the step needs. */
    static String text(double value, double step) {
        int decimals = Math.max(0, (int) -Math.floor(Math.log10(step) + 1e-9));
        double clean = Math.abs(value) < 1e-9 * step ? 0 : value;
        return String.format(Locale.ROOT, "%." + decimals + "f", clean);
    }
}
