package evendose.report;

import evendose.calibration.CalibrationFit;
import evendose.verification.ErrorBar;
import java.util.List;
import java.util.Locale;

/** What an interval is made of, and what would narrow it, in words. */
public final class WhatHelps {
    private WhatHelps() {}

    /**
     * {@return the sources of an interval, the largest first, each with what would be left if it were known exactly}
     *
     * @param bar the interval
     */
    public static List<String> ranking(ErrorBar bar) {
        return bar.sources().stream()
                .map(s -> String.format(
                        Locale.ROOT, "without that of %s +- %.2f nm", s.name(), bar.halfWidthWithoutNm(s)))
                .toList();
    }

    /**
     * {@return what to do about the largest source, a clause; empty if there is no interval}
     *
     * @param bar the interval
     */
    public static String most(ErrorBar bar) {
        return switch (bar.dominatedBy()) {
            case "" -> "";
            case ErrorBar.SHOT_NOISE -> "against shot noise expose at a higher dose, with a resist that asks for it";
            case ErrorBar.ROUNDING ->
                "against rounding let the correction choose the levels (--levels of other commands)";
            default -> CalibrationFit.whatTells(bar.dominatedBy());
        };
    }
}
