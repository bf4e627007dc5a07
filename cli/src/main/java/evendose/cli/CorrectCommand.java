package evendose.cli;

import evendose.correction.ContrastCurve;
import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DoseFacts;
import evendose.correction.DoseTable;
import evendose.correction.DrawnPattern;
import evendose.correction.LayerDepth;
import evendose.correction.LevelTrial;
import evendose.correction.RunSummary;
import evendose.correction.TwoBeamCorrection;
import evendose.files.BadInputException;
import evendose.files.OutputFolder;
import evendose.geometry.Polygons;
import evendose.layout.Cell;
import evendose.layout.Layout;
import evendose.layout.Measured;
import evendose.layout.Window;
import evendose.layout.formats.LayoutFormat;
import evendose.parallel.StageClock;
import evendose.parallel.Workers;
import evendose.psf.PsfFile;
import evendose.report.CalibrationPictures;
import evendose.report.LevelPictures;
import evendose.report.MovedEdgesFiles;
import evendose.report.ReportPage;
import evendose.report.TwoBeamRun;
import evendose.verification.BiasStudy;
import evendose.verification.CorrectionVerdict;
import evendose.verification.EdgeMovement;
import evendose.verification.Exposure;
import evendose.verification.OutlineSample;
import evendose.verification.Prediction;
import evendose.verification.SeamCheck;
import evendose.verification.Verdict;
import evendose.verification.WholePrediction;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.Callable;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.ParentCommand;
import picocli.CommandLine.Spec;

/** Corrects a layout. */
@Command(
        name = "correct",
        sortOptions = false,
        mixinStandardHelpOptions = true,
        header = "Find a dose for every piece of a layout so that all of it develops at the drawn size.",
        footer = {
            "",
            "Example:",
            "  evendose correct testdata/layouts/cd-500nm.gds --layer 1/0 --psf si-50kv \\",
            "    --base-dose-uc-per-cm2 450 --out cd-doses",
            "",
            "Writes doses.csv (a row a piece), corrected.gds or corrected.oas (dose level as datatype) with levels.csv and"
                    + " corrected-levels.lyp (colours for a layout viewer), summary.json, and report.html, a page that shows what was done"
                    + " and what will develop. --level-study adds level-study.csv, --depth adds depths.csv, --bias-nm auto"
                    + " bias-study.csv and .json, all with a picture; --move-edges adds moved-edges.csv.",
            "With --rim-um and --bulk-psf, doses.csv and corrected.gds are those of the fine beam, bulk-doses.csv and bulk.gds (with"
                    + " bulk-levels.csv) those of the coarse one; summary.json and report.html judge both together.",
            "Next: look at report.html, check the doses with 'evendose verify', plan the writing with 'evendose plan'.",
            "Computed doses never replace a dose test on your own tool and process."
        })
final class CorrectCommand implements Callable<Integer> {
    @Spec
    private CommandSpec spec;

    @ParentCommand
    private CommandLineTool tool;

    @Parameters(
            index = "0",
            paramLabel = "LAYOUT",
            description = "GDSII or OASIS file or CSV table of shapes, also gzipped.")
    private Path layoutFile;

    @Option(
            names = "--format",
            paramLabel = "gdsii|oasis",
            description = "Format of the corrected layout: gdsii (default) gives corrected.gds, oasis corrected.oas.")
    private LayoutFormat format = LayoutFormat.GDSII;

    @ArgGroup(exclusive = false, heading = "%nShapes:%n")
    private LayerChoice shapes = new LayerChoice();

    @ArgGroup(exclusive = false, heading = "%nPoint spread function:%n")
    private PsfChoice psf = new PsfChoice();

    @ArgGroup(exclusive = false, heading = "%nCorrection:%n")
    private CorrectionChoice correction = new CorrectionChoice();

    @ArgGroup(exclusive = false, heading = "%nEffects of long range:%n")
    private LongRangeChoice longRange = new LongRangeChoice();

    @ArgGroup(exclusive = false, heading = "%nBias:%n")
    private BiasChoice bias = new BiasChoice();

    @ArgGroup(exclusive = false, heading = "%nMoved edges:%n")
    private MoveChoice edges = new MoveChoice();

    @ArgGroup(exclusive = false, heading = "%nTwo beams:%n")
    private BulkChoice bulk = new BulkChoice();

    @ArgGroup(exclusive = false, heading = "%nLarge layouts:%n")
    private TileChoice tiling = new TileChoice();

    @Option(names = "--no-report", description = "Do not write report.html.")
    private boolean noReport;

    @Option(names = "--json", description = "Print what summary.json holds instead of text for a person.")
    private boolean json;

    @ArgGroup(exclusive = false, heading = "%nRun:%n")
    private RunOptions run = new RunOptions();

    /** What was asked for. */
    private record Wish(
            PsfFile psfFile,
            CorrectionOptions options,
            Optional<ContrastCurve> contrast,
            Optional<double[]> window,
            Path folder) {}

    /** What a run works with. */
    private record Bench(OutputFolder output, Workers workers, ProgressLine line, StageClock clock) {}

    @Override
    public Integer call() {
        Wish wish = wish();
        try (ProgressLine line = ProgressLine.on(spec.commandLine().getErr(), run.quiet());
                Workers workers = run.workers();
                OutputFolder output = run.open(wish.folder, spec.commandLine().getErr())) {
            Bench bench = new Bench(output, workers, line, new StageClock(line));
            bench.clock.begin("reading the layout", 0);
            PatternChoice.Chosen chosen = shapes.inWindow(shapes.choose(layoutFile), wish.options);
            Measured all = chosen.measured();
            shapes.refuseTooMany(all, layoutFile);
            double units = TileChoice.units(all, chosen.layout().unit(), wish.options);
            List<String> missing = together(wish.window, wish.options).notInTiles();
            if (tool.site() != TileSite.HERE) {
                TileChoice.Plan plan = tiling.planElsewhere(units, missing);
                return correctInTiles(chosen, units, plan, output.workFolder(), wish, bench);
            }
            Optional<UnfinishedRun> tiled = unfinished(units, missing, wish, workers);
            return tiled.isPresent()
                    ? correctInTiles(chosen, units, tiled.get(), wish, bench)
                    : correctWhole(chosen, wish, bench);
        }
    }

    /** Reads what the options name, and refuses what does not go together. */
    private Wish wish() {
        PsfFile psfFile = psf.read();
        Optional<ContrastCurve> contrast = shapes.contrast(correction);
        CorrectionOptions options = bias.addTo(longRange.addTo(correction.build(psfFile), contrast.isPresent()));
        contrast.ifPresent(curve -> shapes.addDepths(curve, options));
        Optional<double[]> window = shapes.window();
        GivenTogether together = together(window, options);
        bulk.read(options, together.notWithTwoBeams());
        edges.check(options, together.notWithMovedEdges());
        tiling.check(tool.site());
        return new Wish(psfFile, options, contrast, window, run.folder(layoutFile, "-doses"));
    }

    private GivenTogether together(Optional<double[]> window, CorrectionOptions options) {
        return new GivenTogether(
                window.isPresent(), bias.isGiven(), bias.isAuto(), edges.isGiven(), bulk.isGiven(), options);
    }

    private int correctWhole(PatternChoice.Chosen chosen, Wish wish, Bench bench) {
        CorrectedFiles files = new CorrectedFiles(bench.output, format);
        files.beginWhole(!noReport);
        Found found = find(shapes.open(chosen, layoutFile, wish.options), files, wish, bench);
        long lost = files.write(found.table, found.both.map(TwoBeamCorrection::bulk));
        Judged judged = judge(found, wish, bench);
        writeStudies(found, judged, wish, bench.output);
        if (!noReport) {
            files.writeReport(report(found, judged, wish, bench));
        }
        String ofRun = summary(found, judged, wish, bench).toJson();
        String summary = judged.twoBeams
                .map(b -> b.addedTo(ofRun))
                .or(() -> found.movement.map(m -> MovedEdgesFiles.addedTo(m, ofRun)))
                .orElse(ofRun);
        bench.output.write("summary.json", summary);
        bench.output.commit();
        bench.line.close();
        tell(found, judged, lost, summary, wish, bench);
        boolean converged = found.table.convergence().converged()
                && found.both.map(b -> b.bulk().convergence().converged()).orElse(true);
        return (converged ? ExitCode.DONE : ExitCode.LIMIT).number();
    }

    /**
     * What a correction of the whole found.
     *
     * @param outline where edges are predicted
     * @param whole doses of a window and its surroundings, or of the layout
     * @param units those that are written, of each unit by itself
     * @param table those that are written
     */
    private record Found(
            PatternChoice.Opened opened,
            OutlineSample outline,
            Optional<BiasStudy> biases,
            Optional<EdgeMovement> movement,
            Optional<TwoBeamCorrection> both,
            DoseTable whole,
            DoseTable units,
            DoseTable table) {}

    private Found find(PatternChoice.Opened opened, CorrectedFiles files, Wish wish, Bench bench) {
        DrawnPattern drawn = opened.drawn();
        if (wish.window.isEmpty()) {
            Polygons p = drawn.polygons();
            files.refuseUnwritable(new Window(p.left(), p.bottom(), p.right(), p.top()), layoutFile);
        }
        // The surroundings of a window belong to what will develop in it.
        OutlineSample outline = OutlineSample.of(
                drawn, wish.window, Prediction.reachUm(wish.options.psf()), bench.workers, bench.clock);
        CorrectionOptions running = wish.options.toBuilder()
                .threads(bench.workers.threads())
                .progress(bench.clock)
                .build();
        Optional<BiasStudy> biases =
                bias.study(drawn, running, outline, correction.allowedEdgeNm(), bench.workers, bench.clock);
        Optional<EdgeMovement> movement =
                edges.find(drawn, running, correction.allowedEdgeNm(), bench.workers, bench.clock);
        Optional<TwoBeamCorrection> both = bulk.correct(drawn, running).map(TwoBeamCorrection::joined);
        DoseTable whole = both.map(TwoBeamCorrection::fine)
                .orElseGet(() ->
                        Corrector.correct(drawn, MoveChoice.chosen(movement, BiasChoice.chosen(biases, running))));
        DoseTable units =
                wish.window.map(w -> whole.within(w[0], w[1], w[2], w[3])).orElse(whole);
        DoseTable table = units.joined();
        if (table.pieces().size() == 0) {
            throw new BadInputException(layoutFile.toString(), "", "has no shape in the window");
        }
        return new Found(opened, outline, biases, movement, both, whole, units, table);
    }

    /** What is to be expected of the doses. */
    private record Judged(
            List<LayerDepth> depths,
            Exposure exposure,
            WholePrediction prediction,
            Verdict verdict,
            Optional<TwoBeamRun> twoBeams) {}

    private Judged judge(Found found, Wish wish, Bench bench) {
        List<LayerDepth> depths = wish.contrast
                .map(curve -> LayerDepth.predict(found.units, curve))
                .orElse(List.of());
        Exposure exposure = found.both
                .map(Exposure::of)
                .orElseGet(() -> Exposure.of(wish.window.isPresent() ? found.whole : found.table));
        WholePrediction prediction = WholePrediction.of(
                exposure, found.outline, correction.allowedEdgeNm(), !noReport, bench.workers, bench.clock);
        Verdict ofDoses = CorrectionVerdict.of(prediction.found().verdict(), DoseFacts.of(found.table), depths);
        Verdict ofFine = found.movement.map(m -> m.judged(ofDoses)).orElse(ofDoses);
        Optional<TwoBeamRun> twoBeams =
                found.both.map(b -> new TwoBeamRun(b, SeamCheck.of(b, bench.workers, bench.clock), bulk.source()));
        Verdict verdict =
                twoBeams.map(b -> b.seam().judged(ofFine, b.both().bulk())).orElse(ofFine);
        return new Judged(depths, exposure, prediction, verdict, twoBeams);
    }

    private static void writeStudies(Found found, Judged judged, Wish wish, OutputFolder output) {
        writeDepths(judged.depths, wish, output);
        writeLevelStudy(found.table.levelStudy(), output);
        BiasChoice.write(found.biases, output);
        MoveChoice.write(found.movement, output);
    }

    private static void writeDepths(List<LayerDepth> depths, Wish wish, OutputFolder output) {
        wish.contrast.ifPresent(curve -> {
            output.write("depths.csv", LayerDepth.csv(depths));
            CalibrationPictures.contrast(curve, depths).write(output);
        });
    }

    private static void writeLevelStudy(List<LevelTrial> study, OutputFolder output) {
        if (!study.isEmpty()) {
            output.write("level-study.csv", LevelPictures.csv(study));
            LevelPictures.study(study).write(output);
        }
    }

    private RunSummary summary(Found found, Judged judged, Wish wish, Bench bench) {
        return new RunSummary(
                found.table,
                layoutFile.toString(),
                cells(found.opened.layout()),
                shapes.window(),
                CommandLineTool.Version.number(),
                wish.psfFile.source(),
                bench.clock.secondsByStage(),
                judged.verdict.facts());
    }

    private String report(Found found, Judged judged, Wish wish, Bench bench) {
        return ReportPage.html(
                summary(found, judged, wish, bench),
                judged.exposure,
                judged.prediction,
                judged.verdict,
                judged.depths,
                wish.contrast.map(curve -> CalibrationPictures.contrast(curve, judged.depths)),
                found.biases,
                found.movement,
                judged.twoBeams,
                found.opened.drawn().size(),
                spec.commandLine().getParseResult().originalArgs(),
                bench.workers,
                bench.clock);
    }

    private void tell(Found found, Judged judged, long lost, String summary, Wish wish, Bench bench) {
        PrintWriter err = spec.commandLine().getErr();
        shapes.printNotes(err, found.opened, wish.psfFile);
        longRange.printNotes(err, wish.options, judged.exposure.loadingDensities(), !found.opened.isWhole());
        bulk.notes().forEach(note -> err.println("evendose: note: " + CommandLineTool.oneLine(note)));
        PrintWriter out = spec.commandLine().getOut();
        if (json) {
            out.print(summary);
            out.flush();
        } else {
            CorrectionText.print(
                    out,
                    judged.verdict,
                    found.table,
                    judged.depths,
                    layoutFile,
                    wish.psfFile,
                    lost,
                    bench.clock.secondsByStage(),
                    found.movement,
                    judged.twoBeams,
                    Written.of(wish.folder, bench.output));
        }
    }

    /** A run in tiles, begun or to be gone on with; empty for a correction of the whole. */
    private Optional<UnfinishedRun> unfinished(double units, List<String> missing, Wish wish, Workers workers) {
        List<String> what = UnfinishedRun.what(
                layoutFile,
                spec.commandLine().getParseResult().originalArgs(),
                wish.psfFile.psf().toString());
        if (tiling.resumes()) {
            return Optional.of(UnfinishedRun.resume(wish.folder, what));
        }
        return tiling.plan(units, workers.threads(), missing)
                .map(plan -> UnfinishedRun.begin(wish.folder, run.force(), what, plan));
    }

    /** Here a run in tiles that is interrupted leaves what it has done. */
    private int correctInTiles(PatternChoice.Chosen chosen, double units, UnfinishedRun begun, Wish wish, Bench bench) {
        Interruption.canBeResumed();
        try {
            int code = correctInTiles(chosen, units, begun.plan(), begun.folder(), wish, bench);
            begun.remove();
            return code;
        } catch (RuntimeException e) {
            if (!Interruption.begun()) {
                begun.remove();
            }
            throw e;
        } catch (OutOfMemoryError e) {
            begun.remove();
            throw TileChoice.tooLarge(begun.plan(), e);
        }
    }

    private int correctInTiles(
            PatternChoice.Chosen chosen, double units, TileChoice.Plan plan, Path states, Wish wish, Bench bench) {
        OutputFolder output = bench.output;
        CorrectedFiles files = new CorrectedFiles(output, format);
        if (wish.window.isEmpty()) {
            files.refuseUnwritable(chosen.measured().extent(), layoutFile);
        }
        TiledRun tiled = new TiledRun(
                chosen.flattener(),
                chosen.roles(),
                wish.options,
                wish.window,
                plan,
                tool.site(),
                bench.workers,
                bench.clock);
        double different = tiled.share() * units;
        spec.commandLine()
                .getErr()
                .println("evendose: note: " + plan.why() + tiled.tiles() + TileChoice.time(different));
        if (tool.site() == TileSite.HERE) {
            TileChoice.requireDisk(different, output.workFolder());
        }
        files.beginTiles(!noReport);
        TiledRun.Result result = tiled.run(
                output,
                states,
                files.corrected(),
                files.levels(),
                format,
                correction.allowedEdgeNm(),
                !noReport,
                wish.contrast);
        writeDepths(result.totals().depths(), wish, output);
        writeLevelStudy(result.levelStudy(), output);
        List<String> cells = cells(chosen.layout());
        if (!noReport) {
            files.writeReport(tiled.report(
                    result,
                    layoutFile,
                    cells,
                    wish.psfFile.source(),
                    wish.contrast.map(curve ->
                            CalibrationPictures.contrast(curve, result.totals().depths())),
                    spec.commandLine().getParseResult().originalArgs()));
        }
        String summary = tiled.summary(result, layoutFile, cells, wish.psfFile.source());
        output.write("summary.json", summary);
        output.commit();
        bench.line.close();
        longRange.printNotes(
                spec.commandLine().getErr(), wish.options, result.totals().loadingDensities(), !shapes.isWhole(chosen));
        PrintWriter out = spec.commandLine().getOut();
        if (json) {
            out.print(summary);
            out.flush();
        } else {
            tiled.print(out, result, layoutFile, wish.folder, !noReport);
        }
        boolean converged = result.doses().convergence().converged();
        return (converged ? ExitCode.DONE : ExitCode.LIMIT).number();
    }

    private List<String> cells(Layout layout) {
        return shapes.cell() == null
                ? layout.topCells().stream().map(Cell::name).toList()
                : List.of(shapes.cell());
    }
}
