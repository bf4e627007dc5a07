package evendose.report;

import static evendose.report.ReportText.area;
import static evendose.report.ReportText.format;
import static evendose.report.ReportText.percent;

import evendose.correction.Convergence;
import evendose.correction.DoseStatus;
import evendose.correction.DoseTable;
import evendose.correction.OutlineError;
import evendose.correction.RunSummary;
import evendose.geometry.Polygons;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.verification.Exposure;
import evendose.verification.OutlineSample;
import evendose.verification.Prediction;
import java.nio.file.Path;
import java.util.List;

/**
 * The page that tells how a correction went: one HTML file that needs nothing else, opens offline and prints on A4. It states
 * the job, what was found, what will develop, where to be careful, and how to repeat the run.
 *
 * <p>Edges and widths come from a sample of the outline (all of it for layouts of up to
 * {@value evendose.verification.OutlineSample#MOST_POLYGONS} polygons) and the engine's energies; the page says so. The same run
 * gives the same page but for its times.
 */
public final class ReportPage {
    private ReportPage() {}

    /**
     * The text of {@code report.html}.
     *
     * @param run the run
     * @param polygons what was corrected, dbu; groups are the table's layers
     * @param dbuUm size of a database unit, um
     * @param arguments the command line that repeats the run, without the program's name
     */
    public static String html(
            RunSummary run,
            Polygons polygons,
            double dbuUm,
            List<String> arguments,
            Workers workers,
            Progress progress) {
        progress.begin("report", 0);
        DoseTable table = run.table();
        Exposure exposure = Exposure.of(table);
        OutlineSample outline = OutlineSample.of(
                polygons, table.roles().size(), dbuUm, Prediction.reachUm(exposure.psf()), workers, Progress.NONE);
        Prediction prediction = Prediction.of(exposure, outline, workers, progress);
        String name = String.valueOf(Path.of(run.layout()).getFileName());
        HtmlPage page = new HtmlPage("evendose correction report", name);
        verdict(page, table, prediction);
        RunSections done = new RunSections(run, exposure);
        PredictionSections predicted = new PredictionSections(exposure, prediction);
        done.job(page);
        done.doses(page);
        predicted.edges(page, polygons.size());
        predicted.widths(page, workers);
        predicted.places(page, table.convergence().converged());
        predicted.sensitivity(page);
        done.repeat(page, arguments);
        return page.finish();
    }

    private static void verdict(HtmlPage page, DoseTable table, Prediction p) {
        Convergence c = table.convergence();
        long held = table.pieces(DoseStatus.AT_MINIMUM) + table.pieces(DoseStatus.AT_MAXIMUM);
        boolean good = c.converged() && held == 0 && p.lostAfter() == 0;
        String text = c.converged()
                ? format(
                        "Converged: largest error of the criterion %s after %d updates, %s before.",
                        percent(c.maxResidual()), c.iterations(), percent(c.uncorrectedMaxResidual()))
                : format(
                        "NOT converged: an error of %s is left after %d updates.",
                        percent(c.maxResidual()), c.iterations());
        OutlineError outline = table.outlineError();
        if (outline.points() > 0) {
            text += format(
                    " Along edges off corners the energy is off by %s (95 %%), %s at most (at %.3f, %.3f um).",
                    percent(outline.p95()),
                    percent(outline.max()),
                    outline.places().get(0).xUm(),
                    outline.places().get(0).yUm());
        }
        page.verdict(
                good ? "good" : "care",
                held > 0 ? text + format(" %,d pieces are held at a bound of the dose factors.", held) : text);
        page.figures(
                format(
                        "%.1f to %.1f nm",
                        p.placementBefore().rms(), p.placementAfter().rms()),
                "edge placement, rms, before and after",
                format("%.3f - %.3f", table.minFactor(), table.maxFactor()),
                "dose factors",
                format("%,d", table.pieces().size()),
                "pieces",
                area(table.areaUm2()),
                "exposed area");
    }
}
