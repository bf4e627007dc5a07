package evendose.report;

import static evendose.files.NumberText.percent;
import static evendose.report.ReportText.area;
import static evendose.report.ReportText.format;

import evendose.correction.DoseFacts;
import evendose.correction.DoseTable;
import evendose.correction.LayerDepth;
import evendose.correction.LevelTrial;
import evendose.correction.OutlineError;
import evendose.correction.RunFacts;
import evendose.correction.RunSummary;
import evendose.correction.TileTotals;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.verification.BiasStudy;
import evendose.verification.EdgeMovement;
import evendose.verification.Exposure;
import evendose.verification.Prediction;
import evendose.verification.TroubleSpot;
import evendose.verification.Verdict;
import evendose.verification.WholePrediction;
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
 * {@value evendose.correction.DrawnSample#MOST_POLYGONS} polygons) and the engine's energies; the page says so. The same run
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
            WholePrediction prediction,
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
            WholePrediction prediction,
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
        DoseFacts doses = DoseFacts.of(table);
        HtmlPage page = begin(run.facts(), doses, prediction.found(), verdict);
        Exposure written = Exposure.of(table);
        RunSections done = new RunSections(run.facts(), doses);
        double[] b = table.pieces().boundsUm();
        List<TroubleSpot> worst = prediction.found().worst();
        String explorer = DoseExplorer.html(
                table,
                worst.isEmpty() ? 0.5 * (b[0] + b[2]) : worst.get(0).xUm(),
                worst.isEmpty() ? 0.5 * (b[1] + b[3]) : worst.get(0).yUm());
        done.doses(page, explorer, DoseMap.of(written, RunSections.DOSE_MAP_PIXELS));
        twoBeams.ifPresent(both -> TwoBeamSections.exposures(page, both));
        if (exposure.isGreyTone()) {
            depthPicture.ifPresent(picture -> PredictionSections.depths(page, depths, picture));
        } else {
            PredictionSections predicted = PredictionSections.of(prediction, polygons);
            predicted.widths(page);
            PredictionSections.energies(page, exposure, prediction, workers);
            predicted.edges(page);
            predicted.places(page);
            PredictionSections.sensitivity(page, prediction);
        }
        movement.ifPresent(m -> MoveSection.of(page, m));
        done.bias(page, biases);
        RunSections.levels(page, table.levelCost(), table.levelStudy());
        done.job(page, table.wantedOverUsual());
        done.convergence(page, DoseHistogram.of(table.pieces(), table.factors()), CutPicture.of(written));
        done.repeat(page, arguments);
        return page.finishWith(DoseExplorer.script());
    }

    /**
     * {@return the text of {@code report.html} for a correction in tiles: what is known of a whole alone is missing}
     *
     * @param run what it was about
     * @param totals what is told of all doses
     * @param doses the same, summed up
     * @param prediction what will develop
     * @param verdict what to tell first
     * @param tiles what tiles gave for the page
     * @param depthPicture the picture of predicted depths; empty unless the exposure is a grey-tone one
     * @param levelError what imposed levels add to the criterion, relative: largest, and root mean square; empty without
     * @param levelStudy what numbers of levels would cost; empty unless asked for
     * @param howMany number of tiles
     * @param arguments the command line that repeats the run, without the program's name
     * @param progress hears how far the work is
     */
    public static String inTiles(
            RunFacts run,
            TileTotals totals,
            DoseFacts doses,
            Prediction prediction,
            Verdict verdict,
            TilePictures tiles,
            Optional<Picture> depthPicture,
            Optional<double[]> levelError,
            List<LevelTrial> levelStudy,
            int howMany,
            List<String> arguments,
            Progress progress) {
        DrawingLibraries.require();
        progress.begin("report", 0);
        HtmlPage page = begin(run, doses, prediction, verdict);
        RunSections done = new RunSections(run, doses);
        done.doses(page, "", DoseMap.of(tiles.map(), DoseColours.over(doses.minFactor(), doses.maxFactor())));
        depthPicture.ifPresent(picture -> PredictionSections.depths(page, totals.depths(), picture));
        if (verdict.places() > 0) {
            PredictionSections predicted = new PredictionSections(
                    prediction, format("Corrected in %,d tiles, each of which looked at some of its own.", howMany));
            predicted.widths(page);
            predicted.edges(page);
            predicted.places(page);
        }
        done.bias(page, Optional.empty());
        RunSections.levels(page, doses.levels(), levelError, levelStudy);
        done.job(page, totals.wantedOverUsual());
        done.convergence(page, tiles.histogram(), Optional.empty());
        done.repeat(page, arguments);
        return page.finish();
    }

    /** The page with what stands first. */
    private static HtmlPage begin(RunFacts run, DoseFacts doses, Prediction prediction, Verdict verdict) {
        HtmlPage page = new HtmlPage(
                "evendose correction report",
                String.valueOf(Path.of(run.layout()).getFileName()));
        verdict(page, doses, prediction, verdict);
        return page;
    }

    private static void verdict(HtmlPage page, DoseFacts doses, Prediction p, Verdict verdict) {
        page.verdict(verdict.good() ? "good" : "care", verdict.sentences());
        List<String> figures = new ArrayList<>();
        if (verdict.places() > 0) {
            figures.add(format(
                    "%.1f to %.1f nm",
                    p.placementBefore().rms(), p.placementAfter().rms()));
            figures.add("edge placement, rms, before and after");
        }
        OutlineError outline = doses.outlineError();
        if (outline.points() > 0) {
            figures.add(percent(outline.p95()));
            figures.add("energy along edges off by, for 95 % of them");
        }
        figures.addAll(List.of(
                format("%.3f - %.3f", doses.minFactor(), doses.maxFactor()),
                "dose factors",
                format("%,d", doses.pieces()),
                "pieces",
                area(doses.areaUm2()),
                "exposed area"));
        page.figures(figures.toArray(String[]::new));
    }
}
