package evendose.cli;

import evendose.correction.ContrastCurve;
import evendose.correction.CorrectedLayout;
import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DoseTable;
import evendose.correction.DoseTableCsv;
import evendose.correction.DoseTableReader;
import evendose.correction.DrawnPattern;
import evendose.correction.EdgeMoves;
import evendose.correction.LayerDepth;
import evendose.correction.LayerRole;
import evendose.correction.LongRange;
import evendose.correction.RunSummary;
import evendose.correction.TilePlace;
import evendose.correction.TwoBeamCorrection;
import evendose.files.BadInputException;
import evendose.files.OutputFolder;
import evendose.geometry.Polygons;
import evendose.layout.Cell;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.Window;
import evendose.layout.formats.LayoutFormat;
import evendose.parallel.Progress;
import evendose.parallel.StageClock;
import evendose.parallel.Workers;
import evendose.psf.PsfFile;
import evendose.report.CalibrationPictures;
import evendose.report.LevelColours;
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
import java.io.PrintWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.Callable;
import java.util.stream.Collectors;
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

    @Override
    public Integer call() {
        PsfFile psfFile = psf.read();
        Optional<ContrastCurve> contrast = shapes.contrast(correction);
        CorrectionOptions options = bias.addTo(longRange.addTo(correction.build(psfFile), contrast.isPresent()));
        contrast.ifPresent(curve -> shapes.addDepths(curve, options));
        Optional<double[]> window = shapes.window();
        bulk.read(options, notWithTwoBeams(window, options));
        edges.check(options, notWithMovedEdges(window, options));
        tiling.check(tool.site());
        Path folder = run.folder(layoutFile, "-doses");
        try (ProgressLine line = ProgressLine.on(spec.commandLine().getErr(), run.quiet());
                Workers workers = run.workers();
                OutputFolder output = run.open(folder, spec.commandLine().getErr())) {
            StageClock clock = new StageClock(line);

            clock.begin("reading the layout", 0);
            PatternChoice.Chosen chosen = shapes.choose(layoutFile);
            if (window.isEmpty()) {
                shapes.refuseTooMany(chosen, layoutFile);
            }
            List<String> missing = notInTiles(window, contrast, options);
            if (tool.site() != TileSite.HERE) {
                TileChoice.Plan plan = tiling.planElsewhere(chosen.polygons(), missing);
                return correctInTiles(
                        chosen, plan, output.workFolder(), options, psfFile, folder, output, workers, line, clock);
            }
            Optional<UnfinishedRun> unfinished = unfinished(chosen, missing, psfFile, folder, workers);
            if (unfinished.isPresent()) {
                UnfinishedRun begun = unfinished.get();
                Interruption.canBeResumed();
                try {
                    int code = correctInTiles(
                            chosen,
                            begun.plan(),
                            begun.folder(),
                            options,
                            psfFile,
                            folder,
                            output,
                            workers,
                            line,
                            clock);
                    begun.remove();
                    return code;
                } catch (RuntimeException e) {
                    if (!Interruption.begun()) {
                        begun.remove();
                    }
                    throw e;
                }
            }
            OutputNames names = new OutputNames(output);
            PatternChoice.Opened opened = shapes.open(chosen, layoutFile, options);
            DrawnPattern drawn = opened.drawn();
            if (window.isEmpty()) {
                Polygons p = drawn.polygons();
                refuseUnwritable(new Window(p.left(), p.bottom(), p.right(), p.top()));
            }
            // The surroundings of a window belong to what will develop in it.
            OutlineSample outline =
                    OutlineSample.of(drawn, window, Prediction.reachUm(options.psf()), workers, Progress.NONE);
            CorrectionOptions running = options.toBuilder()
                    .threads(workers.threads())
                    .progress(clock)
                    .build();
            Optional<BiasStudy> biases =
                    bias.study(drawn, running, outline, correction.allowedEdgeNm(), workers, clock);
            Optional<EdgeMovement> movement = edges.find(drawn, running, correction.allowedEdgeNm(), workers, clock);
            Optional<TwoBeamCorrection> both = bulk.correct(drawn, running).map(TwoBeamCorrection::joined);
            DoseTable whole = both.map(TwoBeamCorrection::fine)
                    .orElseGet(() ->
                            Corrector.correct(drawn, MoveChoice.chosen(movement, BiasChoice.chosen(biases, running))));
            DoseTable table = window.map(w -> whole.within(w[0], w[1], w[2], w[3]))
                    .orElse(whole)
                    .joined();
            if (table.pieces().size() == 0) {
                throw new BadInputException(layoutFile.toString(), "", "has no shape in the window");
            }

            DoseTableCsv.write(table, names.doses);
            long lost = CorrectedLayout.write(table, names.corrected, format);
            DoseTableCsv.writeLevels(table, names.levels);
            output.write("corrected-levels.lyp", LevelColours.xml(table));
            if (both.isPresent()) {
                DoseTable coarse = both.get().bulk();
                DoseTableCsv.write(coarse, output.file(DosesInput.BULK));
                lost += CorrectedLayout.write(coarse, output.file("bulk." + format.extension()), format);
                DoseTableCsv.writeLevels(coarse, output.file("bulk-levels.csv"));
            }
            List<LayerDepth> depths =
                    contrast.map(curve -> LayerDepth.predict(table, curve)).orElse(List.of());
            if (contrast.isPresent()) {
                output.write("depths.csv", LayerDepth.csv(depths));
                CalibrationPictures.contrast(contrast.orElseThrow(), depths).write(output);
            }
            if (!table.levelStudy().isEmpty()) {
                output.write("level-study.csv", LevelPictures.csv(table.levelStudy()));
                LevelPictures.study(table.levelStudy()).write(output);
            }
            BiasChoice.write(biases, output);
            MoveChoice.write(movement, output);
            Exposure exposure = both.map(Exposure::of).orElseGet(() -> Exposure.of(window.isPresent() ? whole : table));
            Prediction prediction =
                    Prediction.of(exposure, outline, correction.allowedEdgeNm(), !noReport, workers, clock);
            Verdict ofDoses = CorrectionVerdict.of(prediction.verdict(), table, depths);
            Verdict ofFine = movement.map(m -> m.judged(ofDoses)).orElse(ofDoses);
            Optional<TwoBeamRun> twoBeams =
                    both.map(b -> new TwoBeamRun(b, SeamCheck.of(b, workers, clock), bulk.source()));
            Verdict verdict =
                    twoBeams.map(b -> b.seam().judged(ofFine, b.both().bulk())).orElse(ofFine);
            RunSummary summary = summary(table, opened.layout(), psfFile, clock, verdict);
            if (!noReport) {
                List<String> arguments = spec.commandLine().getParseResult().originalArgs();
                output.write(
                        "report.html",
                        ReportPage.html(
                                summary,
                                exposure,
                                prediction,
                                verdict,
                                depths,
                                contrast.map(curve -> CalibrationPictures.contrast(curve, depths)),
                                biases,
                                movement,
                                twoBeams,
                                drawn.size(),
                                arguments,
                                workers,
                                clock));
            }
            String ofRun =
                    summary(table, opened.layout(), psfFile, clock, verdict).toJson();
            String forScripts = twoBeams.map(b -> b.addedTo(ofRun))
                    .or(() -> movement.map(m -> MovedEdgesFiles.addedTo(m, ofRun)))
                    .orElse(ofRun);
            output.write("summary.json", forScripts);
            output.commit();
            line.close();
            shapes.printNotes(spec.commandLine().getErr(), opened, psfFile);
            longRange.printNotes(spec.commandLine().getErr(), exposure, !opened.isWhole());
            bulk.notes()
                    .forEach(note ->
                            spec.commandLine().getErr().println("evendose: note: " + CommandLineTool.oneLine(note)));
            PrintWriter out = spec.commandLine().getOut();
            if (json) {
                out.print(forScripts);
                out.flush();
            } else {
                CorrectionText.print(
                        out,
                        verdict,
                        table,
                        depths,
                        layoutFile,
                        psfFile,
                        lost,
                        clock.secondsByStage(),
                        movement,
                        twoBeams,
                        Written.of(folder, output));
            }
            boolean converged = table.convergence().converged()
                    && both.map(b -> b.bulk().convergence().converged()).orElse(true);
            return (converged ? ExitCode.DONE : ExitCode.LIMIT).number();
        }
    }

    /** What was asked for and is not there in tiles. */
    private List<String> notInTiles(
            Optional<double[]> window, Optional<ContrastCurve> contrast, CorrectionOptions options) {
        List<String> given = new ArrayList<>(TileChoice.missing(options));
        if (window.isPresent()) {
            given.add("--window");
        }
        if (contrast.isPresent()) {
            given.add("--depth");
        }
        if (bias.isGiven() && options.biasUm() == 0) {
            given.add("a bias");
        }
        if (edges.isGiven()) {
            given.add("--move-edges");
        }
        if (bulk.isGiven()) {
            given.add("two beams");
        }
        return given;
    }

    /** A run in tiles, begun or to be gone on with; empty for a correction of the whole. */
    private Optional<UnfinishedRun> unfinished(
            PatternChoice.Chosen chosen, List<String> missing, PsfFile psfFile, Path folder, Workers workers) {
        List<String> what = UnfinishedRun.what(
                layoutFile,
                spec.commandLine().getParseResult().originalArgs(),
                psfFile.psf().toString());
        if (tiling.resumes()) {
            return Optional.of(UnfinishedRun.resume(folder, what));
        }
        return tiling.plan(chosen.polygons(), workers.threads(), missing)
                .map(plan -> UnfinishedRun.begin(folder, run.force(), what, plan));
    }

    private int correctInTiles(
            PatternChoice.Chosen chosen,
            TileChoice.Plan plan,
            Path states,
            CorrectionOptions options,
            PsfFile psfFile,
            Path folder,
            OutputFolder output,
            Workers workers,
            ProgressLine line,
            StageClock clock) {
        Set<Layer> layers = chosen.roles().stream().map(LayerRole::layer).collect(Collectors.toSet());
        refuseUnwritable(chosen.flattener().extent(layers));
        TiledRun tiled = new TiledRun(chosen.flattener(), chosen.roles(), options, plan, tool.site(), workers, clock);
        spec.commandLine().getErr().println("evendose: note: " + plan.why() + tiled.tiles());
        if (tool.site() == TileSite.HERE) {
            TileChoice.requireDisk(tiled.share() * chosen.polygons(), output.workFolder());
        }
        withoutFormer(output);
        output.without("doses.csv");
        output.without("report.html");
        output.without("corrected-levels.lyp");
        Path corrected = output.file("corrected." + format.extension());
        Path levels = output.file("levels.csv");
        TiledRun.Result result = tiled.run(output, states, corrected, levels, format);
        String summary = tiled.summary(result, layoutFile, cells(chosen.layout()), psfFile.source());
        output.write("summary.json", summary);
        output.commit();
        line.close();
        PrintWriter out = spec.commandLine().getOut();
        if (json) {
            out.print(summary);
            out.flush();
        } else {
            tiled.print(out, result, layoutFile, folder);
        }
        boolean converged = result.totals().convergence(result.iteration()).converged();
        return (converged ? ExitCode.DONE : ExitCode.LIMIT).number();
    }

    /** Lets go of what an earlier run left and this one does not write. */
    private void withoutFormer(OutputFolder output) {
        for (LayoutFormat other : LayoutFormat.values()) {
            if (other != format) {
                output.without("corrected." + other.extension());
            }
        }
        OPTIONAL_FILES.forEach(output::without);
        if (Files.isDirectory(output.folder())) {
            for (Path part : DoseTableReader.parts(output.folder())) {
                output.without(String.valueOf(part.getFileName()));
            }
        }
    }

    /** What was asked for and is not there for two beams. */
    private List<String> notWithTwoBeams(Optional<double[]> window, CorrectionOptions options) {
        List<String> given = new ArrayList<>();
        if (window.isPresent()) {
            given.add("--window");
        }
        if (bias.isGiven()) {
            given.add("--bias-nm");
        }
        if (edges.isGiven()) {
            given.add("--move-edges");
        }
        if (!options.longRange().equals(LongRange.NONE)) {
            given.add("fogging or a loading of the development");
        }
        return given;
    }

    /** What was asked for and is not there for moved edges; two beams are refused by themselves. */
    private List<String> notWithMovedEdges(Optional<double[]> window, CorrectionOptions options) {
        List<String> given = new ArrayList<>();
        if (window.isPresent()) {
            given.add("--window");
        }
        if (bias.isGiven()) {
            given.add("--bias-nm, which moves all edges");
        }
        if (options.longRange().loading().isPresent()) {
            given.add("a loading of the development");
        }
        return given;
    }

    /** What the corrected layout cannot hold is known before the work. */
    private void refuseUnwritable(Window extent) {
        long largest = format.largestCoordinate();
        if (extent.right() > largest
                || extent.top() > largest
                || extent.left() < -largest
                || extent.bottom() < -largest) {
            throw new BadInputException(
                    layoutFile.toString(),
                    "",
                    String.format(
                            "reaches from (%d, %d) to (%d, %d) in database units, which %s cannot hold; write --format oasis",
                            extent.left(),
                            extent.bottom(),
                            extent.right(),
                            extent.top(),
                            "corrected." + format.extension()));
        }
    }

    /** Files that some runs write and others do not. */
    private static final List<String> OPTIONAL_FILES = List.of(
            "report.html",
            TilePlace.FILE,
            "bias-study.csv",
            "bias-study.json",
            "bias-study.png",
            "bias-study.svg",
            DosesInput.BULK,
            "bulk.gds",
            "bulk.oas",
            "bulk-levels.csv",
            EdgeMoves.FILE,
            "depths.csv",
            "grey-tone.png",
            "grey-tone.svg",
            "level-study.csv",
            "level-study.png",
            "level-study.svg");

    /** The files of this run; what an earlier one left and this one does not write is removed. */
    private final class OutputNames {
        private final Path doses;
        private final Path corrected;
        private final Path levels;

        OutputNames(OutputFolder output) {
            doses = output.file("doses.csv");
            corrected = output.file("corrected." + format.extension());
            withoutFormer(output);
            levels = output.file("levels.csv");
            if (!noReport) {
                output.file("report.html");
            }
        }
    }

    private RunSummary summary(DoseTable table, Layout layout, PsfFile psfFile, StageClock clock, Verdict verdict) {
        return new RunSummary(
                table,
                layoutFile.toString(),
                cells(layout),
                shapes.window(),
                CommandLineTool.Version.number(),
                psfFile.source(),
                clock.secondsByStage(),
                verdict.facts());
    }

    private List<String> cells(Layout layout) {
        return shapes.cell() == null
                ? layout.topCells().stream().map(Cell::name).toList()
                : List.of(shapes.cell());
    }
}
