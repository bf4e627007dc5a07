package evendose.cli;

import static evendose.cli.CommandLineTool.row;

import evendose.report.WhatHelps;
import evendose.verification.ErrorBar;
import evendose.verification.Exposure;
import evendose.verification.LineWidth;
import evendose.verification.Sensitivity;
import evendose.verification.Spread;
import evendose.verification.TroubleSpot;
import evendose.verification.Uncertainty;
import evendose.verification.Verification;
import evendose.verification.WidthMeasurement;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.stream.Collectors;

/** What 'verify' prints for a person. */
final class VerificationText {
    private static final int WORST = 12;
    private static final int WIDTHS = 20;
    private static final int NEXT_READINGS = 3;

    private VerificationText() {}

    static void print(PrintWriter out, Verification v, Exposure exposure, Path doses, Path layout) {
        v.verdict().sentences().forEach(out::println);
        out.println();
        row(out, "doses", "%s for %s", doses, layout);
        row(
                out,
                "area",
                "layout %.6g um^2; further than %.2g nm from its outline missing %.4g, in excess %.4g, exposed twice %.4g um^2: %s",
                v.areas().layoutUm2(),
                1e3 * v.areas().toleranceUm(),
                v.areas().missingUm2(),
                v.areas().excessUm2(),
                v.areas().overlapUm2(),
                v.areas().holds() ? "all accounted for" : "WRONG");
        if (v.areas().missingShapes() > 0) {
            row(out, "", "%,d shapes of the layout have no piece", v.areas().missingShapes());
        }
        row(
                out,
                "doses judged",
                "%,d, of these %,d by closed forms; largest change needed %.2f %% (rms %.2f %%), beyond %.1f %%: %,d",
                v.doses().judged(),
                v.doses().exact(),
                100 * v.doses().largest(),
                100 * v.doses().rms(),
                100 * v.doses().tolerance(),
                v.doses().wrong());
        if (v.splitUnits() > 0) {
            row(out, "", "%,d times pieces of one unit have different doses", v.splitUnits());
        }
        v.contradictions().forEach(c -> row(out, "", "%s", c));
        LongRangeText.rows(out, exposure);
        row(
                out,
                "threshold",
                "%.4f of a uniformly exposed plane at factor 1; %,d random places on the outline (and %,d near corners)",
                v.threshold(),
                v.places(),
                v.nearCorners());
        out.println();
        out.printf(Locale.ROOT, "%-34s %10s %10s %10s %10s%n", "", "mean", "rms", "95 %", "largest");
        spread(out, "energy off, %, uncorrected", v.energyBefore(), 100);
        spread(out, "energy off, %, corrected", v.energyAfter(), 100);
        spread(out, "edge placement, nm, uncorrected", v.placementBefore(), 1);
        spread(out, "edge placement, nm, corrected", v.placementAfter(), 1);
        if (v.lostBefore() + v.lostAfter() > 0) {
            out.printf(
                    Locale.ROOT,
                    "Places without a developed edge: %,d uncorrected, %,d corrected%n",
                    v.lostBefore(),
                    v.lostAfter());
        }
        widths(out, v);
        v.uncertainty().ifPresent(u -> uncertainty(out, u, v.widths(), exposure));
        sensitivity(out, v.sensitivity());
        worst(out, v);
        out.println();
        out.println(
                v.holds()
                        ? "The doses fit the layout. Predictions never replace a dose test on your own tool and process."
                        : "The doses do NOT fit the layout; see above.");
        out.flush();
    }

    private static void spread(PrintWriter out, String name, Spread s, double scale) {
        out.printf(
                Locale.ROOT,
                "%-34s %10.3f %10.3f %10.3f %10.3f%n",
                name,
                scale * s.mean(),
                scale * s.rms(),
                scale * s.p95(),
                scale * s.max());
    }

    private static void widths(PrintWriter out, Verification v) {
        if (v.widths().isEmpty()) {
            return;
        }
        out.println();
        out.printf(
                Locale.ROOT,
                "%-8s %10s %10s %8s %10s %11s %10s %9s %9s %15s%n",
                "width at",
                "x um",
                "y um",
                "density",
                "drawn nm",
                "uncorr. nm",
                "corr. nm",
                "contrast",
                "nm per %",
                "dose window %");
        int step = (v.widths().size() + WIDTHS - 1) / WIDTHS;
        for (int i = 0; i < v.widths().size(); i += step) {
            LineWidth w = v.widths().get(i);
            out.printf(
                    Locale.ROOT,
                    "%-8s %10.3f %10.3f %8.2f %10.1f %11.2f %10.2f %9.3f %9.2f %15s%n",
                    CommandLineTool.oneLine(w.gauge().name()),
                    w.gauge().middleXUm(),
                    w.gauge().middleYUm(),
                    w.gauge().density(),
                    1e3 * w.gauge().drawnUm(),
                    1e3 * w.uncorrectedUm(),
                    1e3 * w.correctedUm(),
                    w.contrast(),
                    w.nmPerPercent(),
                    dose('-', w.doseDownPercent(), WidthMeasurement.MOST_DOWN_PERCENT)
                            + ' '
                            + dose('+', w.doseUpPercent(), WidthMeasurement.MOST_UP_PERCENT));
        }
        if (step > 1) {
            out.printf(
                    Locale.ROOT,
                    "%d of %d shown (--json or --out gives all)%n",
                    (v.widths().size() - 1) / step + 1,
                    v.widths().size());
        }
    }

    private static void uncertainty(PrintWriter out, Uncertainty u, List<LineWidth> widths, Exposure exposure) {
        out.println();
        out.printf(
                Locale.ROOT,
                "As the calibration predicts, at %.5g uC/cm^2 where its base dose is %.5g, with 95 %% intervals"
                        + " (standard errors: %s):%n",
                u.writtenUcPerCm2(),
                u.process().baseDoseUcPerCm2(),
                u.process().names().stream()
                        .map(n -> String.format(
                                Locale.ROOT, "%s %.2g %%", n, 100 * u.process().relativeError(n)))
                        .collect(Collectors.joining(", ")));
        if (exposure.baseDoseUcPerCm2().isEmpty()) {
            out.println(
                    "(No base dose is recorded with the doses: the calibration's is taken to be the one written with.)");
        }
        if (!widths.isEmpty()) {
            out.printf(
                    Locale.ROOT,
                    "%-8s %10s %12s %8s   %s%n",
                    "width at",
                    "drawn nm",
                    "predicted nm",
                    "+- nm",
                    "mostly");
        }
        int step = (widths.size() + WIDTHS - 1) / WIDTHS;
        for (int i = 0; i < widths.size(); i += step) {
            ErrorBar bar = u.widths().get(i);
            out.printf(
                    Locale.ROOT,
                    "%-8s %10.1f %12.2f %8s   %s%n",
                    CommandLineTool.oneLine(widths.get(i).gauge().name()),
                    1e3 * widths.get(i).gauge().drawnUm(),
                    bar.valueNm(),
                    bar.isKnown() ? String.format(Locale.ROOT, "%.2f", bar.halfWidthNm()) : "none",
                    bar.dominatedBy());
        }
        u.worstEdge().ifPresent(worst -> {
            out.printf(
                    Locale.ROOT,
                    "Edge placement at %,d places: mean %.2f +- %.2f nm; at one place %.2f nm rms, +- %.2f nm (rms), at worst"
                            + " %.2f +- %.2f nm at (%.3f, %.3f) um, mostly %s%n",
                    u.edges().size(),
                    u.meanPlacement().valueNm(),
                    u.meanPlacement().halfWidthNm(),
                    u.placements().rms(),
                    u.edgeHalfWidths().rms(),
                    worst.placement().valueNm(),
                    worst.placement().halfWidthNm(),
                    worst.xUm(),
                    worst.yUm(),
                    worst.placement().dominatedBy());
        });
        u.worstWidth().ifPresent(i -> {
            ErrorBar bar = u.widths().get(i);
            out.printf(
                    Locale.ROOT,
                    "Least known is %s, +- %.2f nm: %s.%n",
                    CommandLineTool.oneLine(widths.get(i).gauge().name()),
                    bar.halfWidthNm(),
                    String.join("; ", WhatHelps.ranking(bar)));
            out.printf(Locale.ROOT, "What would help most: %s.%n", WhatHelps.most(bar));
            List<WhatHelps.Next> next = WhatHelps.next(u.process(), bar, NEXT_READINGS);
            if (!next.isEmpty()) {
                out.println("One reading more in a dose test:");
                next.forEach(n -> out.println("  " + n.words()));
            }
        });
    }

    private static String dose(char sign, double percent, double most) {
        if (Double.isNaN(percent)) {
            return "none";
        }
        return percent > most - 1e-6
                ? String.format(Locale.ROOT, ">%.0f", most)
                : String.format(Locale.ROOT, "%c%.1f", sign, percent);
    }

    private static void sensitivity(PrintWriter out, Sensitivity s) {
        out.println();
        out.printf(Locale.ROOT, "%-36s %12s %12s %12s%n", "change of widths if", "mean nm", "rms nm", "largest nm");
        for (Sensitivity.Effect e : s.effects()) {
            out.printf(
                    Locale.ROOT,
                    "%-36s %12.2f %12.2f %12.2f%n",
                    e.words(),
                    e.changes().mean(),
                    e.changes().rms(),
                    e.changes().max());
        }
    }

    private static void worst(PrintWriter out, Verification v) {
        if (v.worst().isEmpty()) {
            return;
        }
        out.println();
        out.println("Places of concern, the gravest first:");
        for (TroubleSpot spot : v.worst().subList(0, Math.min(WORST, v.worst().size()))) {
            out.printf(
                    Locale.ROOT,
                    "  (%.3f, %.3f) um  %s: %s%n",
                    spot.xUm(),
                    spot.yUm(),
                    spot.kind().word(),
                    spot.what());
        }
        if (v.worst().size() > WORST) {
            out.printf(
                    Locale.ROOT,
                    "  and %d more (--json or --out lists them)%n",
                    v.worst().size() - WORST);
        }
    }
}
