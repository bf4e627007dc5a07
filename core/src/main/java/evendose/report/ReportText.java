package evendose.report;

import java.util.Locale;

/** Numbers as the report writes them. */
final class ReportText {
    private ReportText() {}

    /** As {@link String#format} in English; a lone zero has no sign. */
    static String format(String pattern, Object... values) {
        String text = String.format(Locale.ROOT, pattern, values);
        return text.matches("-0\\.0+") ? text.substring(1) : text;
    }

    static String area(double um2) {
        return um2 >= 1e6 ? format("%.4g mm^2", um2 * 1e-6) : format(um2 < 1e4 ? "%,.2f um^2" : "%,.0f um^2", um2);
    }
}
