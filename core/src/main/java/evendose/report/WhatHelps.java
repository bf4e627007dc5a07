package evendose.report;

import evendose.calibration.CalibrationFit;
import evendose.calibration.NextReading;
import evendose.verification.CalibratedProcess;
import evendose.verification.ErrorBar;
import java.util.List;
import java.util.Locale;

/** What an interval is made of, and what would narrow it, in words. */
public final class WhatHelps {
    /** Readings that leave more than this of an interval are not worth a test. */
    private static final double NARROWED = 0.99;

    private WhatHelps() {}

    /**
     * A reading to add to the next dose test.
     *
     * @param reading the reading
     * @param halfWidthNm half the width of the interval expected with it, nm
     */
    public record Next(NextReading reading, double halfWidthNm) {
        /** {@return the same in words} */
        public String words() {
            String doses = reading.doses() == 1
                    ? String.format(Locale.ROOT, "at %.0f uC/cm^2", reading.fromUcPerCm2())
                    : String.format(
                            Locale.ROOT,
                            "at %d doses of %.0f to %.0f uC/cm^2",
                            reading.doses(),
                            reading.fromUcPerCm2(),
                            reading.toUcPerCm2());
            return String.format(Locale.ROOT, "%s %s: +- %.2f nm", reading.label(), doses, halfWidthNm);
        }
    }

    /**
     * {@return readings of a dose test that would narrow an interval, the most helpful first; empty where none narrows it by a hundredth}
     * Widths of the intervals are first-order ones, with as many degrees of freedom as now.
     *
     * @param process the calibration the interval comes from
     * @param bar the interval
     * @param most largest number of readings
     */
    public static List<Next> next(CalibratedProcess process, ErrorBar bar, int most) {
        if (!bar.isKnown()) {
            return List.of();
        }
        NextReading.Known known = new NextReading.Known(
                process.values(),
                process.fitted(),
                process.fittedCovariance(),
                process.clearingScatter().orElse(NextReading.Known.USUAL_CLEARING_SCATTER),
                process.widthScatterUm().orElse(NextReading.Known.USUAL_WIDTH_SCATTER_UM));
        double variance = bar.standardErrorNm() * bar.standardErrorNm();
        return NextReading.ranked(known, process.withFitted(bar.slopesNm())).stream()
                .map(reading -> new Next(reading, bar.halfWidthWithoutNm(reading.varianceGone() / variance)))
                .filter(next -> next.halfWidthNm() <= NARROWED * bar.halfWidthNm())
                .limit(most)
                .toList();
    }

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
