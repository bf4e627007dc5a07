package evendose.report;

import static evendose.files.NumberText.percent;
import static evendose.report.ReportText.area;
import static evendose.report.ReportText.format;

import evendose.correction.DoseTable;
import evendose.correction.LayerDepth;
import evendose.correction.OutlineError;
import evendose.correction.RunSummary;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.verification.BiasStudy;
import evendose.verification.EdgeMovement;
import evendose.verification.Exposure;
import evendose.verification.Prediction;
import evendose.verification.TroubleSpot;
import evendose.verification.Verdict;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

/**
 * The page that tells how a correction went: one HTML file that needs nothing else, opens offline and prints on A4. It answers in
 * the order in which a reader asks: what comes out as drawn, which doses that takes, how wide lines become (or how deep layers), where to
 * look closer, what calibration matters; then the job, how the iteration went, and how to repeat the run.
 *
 * <p>Edges and widths come from a sample of the outline (all of it for layouts of up to
 * {@value evendose.verification.OutlineSample#MOST_POLYGONS} polygons) and the engine's energies; the page says so. The same run
 * gives the same page but for its times.
 */
public final class ReportPage {
    private ReportPage() {}

    /**
     * {@return the text of {@code report.html} for one beam}
     *
     * @param run the run, with the doses that are written
     * @param exposure all that is exposed: where doses are those of a window, its surroundings too
     * @param prediction what will develop
     * @param verdict what to tell first
     * @param depths predicted depths; empty unless the exposure is a grey-tone one
     * @param depthPicture the picture of these
     * @param biases what other biases would do; empty if they were not tried
     * @param polygons how many polygons the layout has
     * @param arguments the command line that repeats the run, without the program's name
     * @param workers threads to compute on
     * @param progress hears how far the work is
     */
    public static String html(
            RunSummary run,
            Exposure exposure,
            Prediction prediction,
            Verdict verdict,
            List<LayerDepth> depths,
            Optional<Picture> depthPicture,
            Optional<BiasStudy> biases,
            long polygons,
            List<String> arguments,
            Workers workers,
            Progress progress) {
        return html(
                run,
                exposure,
                prediction,
                verdict,
                depths,
                depthPicture,
                biases,
                Optional.empty(),
                Optional.empty(),
                polygons,
                arguments,
                workers,
                progress);
    }

    /**
     * {@return the text of {@code report.html}}
     *
     * @param run the run, with the doses that are written; of two beams those of the fine one
     * @param exposure all that is exposed: where doses are those of a window, its surroundings too
     * @param prediction what will develop
     * @param verdict what to tell first
     * @param depths predicted depths; empty unless the exposure is a grey-tone one
     * @param depthPicture the picture of these
     * @param biases what other biases would do; empty if they were not tried
     * @param movement which parts of the outline moved; empty if none could
     * @param twoBeams what the coarse beam exposes and how both meet; empty for one beam
     * @param polygons how many polygons the layout has
     * @param arguments the command line that repeats the run, without the program's name
     * @param workers threads to compute on
     * @param progress hears how far the work is
     */
    public static String html(
            RunSummary run,
            Exposure exposure,
            Prediction prediction,
            Verdict verdict,
            List<LayerDepth> depths,
            Optional<Picture> depthPicture,
            Optional<BiasStudy> biases,
            Optional<EdgeMovement> movement,
            Optional<TwoBeamRun> twoBeams,
            long polygons,
            List<String> arguments,
            Workers workers,
            Progress progress) {
        DrawingLibraries.require();
        progress.begin("report", 0);
        DoseTable table = run.table();
        String name = String.valueOf(Path.of(run.layout()).getFileName());
        HtmlPage page = new HtmlPage("evendose correction report", name);
        verdict(page, table, prediction, verdict);
        RunSections done = new RunSections(run, Exposure.of(table));
        PredictionSections predicted = new PredictionSections(exposure, prediction);
        double[] b = table.pieces().boundsUm();
        TroubleSpot worst =
                prediction.worst().isEmpty() ? null : prediction.worst().get(0);
        done.doses(
                page,
                worst == null ? 0.5 * (b[0] + b[2]) : worst.xUm(),
                worst == null ? 0.5 * (b[1] + b[3]) : worst.yUm());
        twoBeams.ifPresent(both -> TwoBeamSections.exposures(page, both));
        if (exposure.isGreyTone()) {
            depthPicture.ifPresent(picture -> PredictionSections.depths(page, depths, picture));
        } else {
            predicted.widths(page, workers);
            predicted.edges(page, polygons);
            predicted.places(page);
            predicted.sensitivity(page);
        }
        movement.ifPresent(m -> MoveSection.of(page, m));
        done.bias(page, biases);
        done.levels(page);
        done.job(page);
        done.convergence(page);
        done.repeat(page, arguments);
        return page.finishWith(DoseExplorer.script());
    }

    private static void verdict(HtmlPage page, DoseTable table, Prediction p, Verdict verdict) {
        page.verdict(verdict.good() ? "good" : "care", verdict.sentences());
        List<String> figures = new ArrayList<>();
        if (verdict.places() > 0) {
            figures.add(format(
                    "%.1f to %.1f nm",
                    p.placementBefore().rms(), p.placementAfter().rms()));
            figures.add("edge placement, rms, before and after");
        }
        OutlineError outline = table.outlineError();
        if (outline.points() > 0) {
            figures.add(percent(outline.p95()));
            figures.add("energy along edges off by, for 95 % of them");
        }
        figures.addAll(List.of(
                format("%.3f - %.3f", table.minFactor(), table.maxFactor()),
                "dose factors",
                format("%,d", table.pieces().size()),
                "pieces",
                area(table.areaUm2()),
                "exposed area"));
        page.figures(figures.toArray(String[]::new));
    }
}
