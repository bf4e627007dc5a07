package evendose.cli;

import evendose.correction.ContrastCurve;
import evendose.correction.CorrectedLayout;
import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.Criterion;
import evendose.correction.DoseTable;
import evendose.correction.DoseTableCsv;
import evendose.correction.LayerDepth;
import evendose.correction.LayerRole;
import evendose.correction.LevelRule;
import evendose.correction.RunSummary;
import evendose.files.BadInputException;
import evendose.files.OutputFolder;
import evendose.geometry.Polygons;
import evendose.layout.Cell;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.formats.LayoutFiles;
import evendose.layout.formats.LayoutFormat;
import evendose.parallel.StageClock;
import evendose.parallel.Workers;
import evendose.psf.PsfFile;
import evendose.report.CalibrationPictures;
import evendose.report.LevelPictures;
import evendose.report.ReportPage;
import java.io.IOException;
import java.io.PrintWriter;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.SortedMap;
import java.util.concurrent.Callable;
import java.util.function.Consumer;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
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
            "  evendose correct chip.gds --layer 1/0 --psf si-100kv --base-dose-uc-per-cm2 750 --out chip-doses",
            "",
            "Writes doses.csv (a row a piece), corrected.gds or .oas (dose level as datatype) with levels.csv, summary.json,",
            "and report.html, a page that shows what was done and what will develop.",
            "Computed doses never replace a dose test on your own tool and process."
        })
final class CorrectCommand implements Callable<Integer> {
    /** About what a polygon takes at least, from flattening to writing, bytes. */
    private static final long MEMORY_PER_POLYGON = 100;

    @Spec
    private CommandSpec spec;

    @Parameters(
            index = "0",
            paramLabel = "LAYOUT",
            description = "GDSII or OASIS file or CSV table of shapes, also gzipped.")
    private Path layoutFile;

    @Option(names = "--cell", paramLabel = "NAME", description = "Cell to correct (default: all top cells together).")
    private String cell;

    @Option(
            names = "--layer",
            paramLabel = "L/D",
            description = "Layer/datatype to correct; give it again for more. Needed when the layout has several.")
    private List<String> layers = new ArrayList<>();

    @Option(
            names = "--target",
            paramLabel = "L/D=T",
            description = "Correct a layer towards T times the usual energy (grey tone); 1 is an ordinary layer.")
    private Map<String, Double> targets = new LinkedHashMap<>();

    @Option(
            names = "--fixed-dose",
            paramLabel = "L/D=F",
            description = "Expose a layer with dose factor F as it is: it only adds background to the others.")
    private Map<String, Double> fixedDoses = new LinkedHashMap<>();

    @Option(
            names = "--contrast",
            paramLabel = "CSV",
            description = "Contrast curve of the resist for --depth: columns dose_uc_per_cm2, remaining_nm.")
    private Path contrastFile;

    @Option(
            names = "--depth",
            paramLabel = "L/D=NM",
            description =
                    "Correct a layer so that it develops to this depth, nm (grey tone); needs --contrast and the base"
                            + " dose, and corrects the mean energy.")
    private Map<String, Double> depths = new LinkedHashMap<>();

    @Option(
            names = "--format",
            paramLabel = "gdsii|oasis",
            description = "Format of the corrected layout (default: gdsii, corrected.gds; oasis: corrected.oas).")
    private LayoutFormat format = LayoutFormat.GDSII;

    @Option(
            names = "--max-polygons",
            paramLabel = "N",
            description = "Refuse layouts of more polygons when flattened (default: as many as memory may hold).")
    private long maxPolygons = Runtime.getRuntime().maxMemory() / MEMORY_PER_POLYGON;

    @ArgGroup(exclusive = false, heading = "%nPoint spread function:%n")
    private PsfChoice psf = new PsfChoice();

    @ArgGroup(exclusive = false, heading = "%nCorrection:%n")
    private Correction correction = new Correction();

    @Option(names = "--no-report", description = "Do not write report.html.")
    private boolean noReport;

    @ArgGroup(exclusive = false, heading = "%nRun:%n")
    private RunOptions run = new RunOptions();

    /** Options of the correction itself; what is not given keeps the library's default. */
    static final class Correction {
        @Option(
                names = "--criterion",
                paramLabel = "edge|mean",
                description =
                        "What is made equal: energy on drawn edges (default; dimensions come out right), or mean energy"
                                + " of each piece.")
        private String criterion;

        @Option(
                names = "--reference-density",
                paramLabel = "R",
                description = "Density of the grating that has factor 1 (default: 0.5 for edge, 1 for mean).")
        private Double referenceDensity;

        @Option(
                names = "--base-dose-uc-per-cm2",
                paramLabel = "Q",
                description = "Dose at factor 1, uC/cm^2; fills the column of absolute doses.")
        private Double baseDose;

        @Option(
                names = "--max-piece-um",
                paramLabel = "M",
                description = "Largest extent of a dose unit, um (default: a quarter of the main range).")
        private Double maxPieceUm;

        @Option(
                names = "--tolerance",
                paramLabel = "E",
                description = "Largest relative error of the criterion at which to stop (default: 1e-3).")
        private Double tolerance;

        @Option(names = "--max-iterations", paramLabel = "N", description = "Most dose updates (default: 50).")
        private Integer maxIterations;

        @Option(names = "--min-factor", paramLabel = "F", description = "Smallest dose factor (default: 0.05).")
        private Double minFactor;

        @Option(names = "--max-factor", paramLabel = "F", description = "Largest dose factor (default: 20).")
        private Double maxFactor;

        @Option(names = "--levels", paramLabel = "N", description = "Use only N different doses (default: free doses).")
        private Integer levels;

        @Option(
                names = "--level-spacing",
                paramLabel = "optimal|geometric",
                description = "Where the N doses lie: at the least error (default), or at a constant ratio.")
        private String levelSpacing;

        @Option(
                names = "--level-step-percent",
                paramLabel = "P",
                description = "Use only doses P percent apart, instead of --levels.")
        private Double levelStepPercent;

        @Option(
                names = "--level-study",
                description = "Find out what 1 to 256 levels would cost: level-study.csv and a picture.")
        private boolean levelStudy;

        @Option(names = "--one-dose-per-shape", description = "Give all pieces of a merged shape the same dose.")
        private boolean oneDosePerShape;

        CorrectionOptions build(PsfFile psf) {
            try {
                CorrectionOptions.Builder builder = CorrectionOptions.builder(psf.psf());
                if (criterion != null) {
                    builder.criterion(criterion(criterion));
                }
                set(referenceDensity, builder::referenceDensity);
                set(baseDose, builder::baseDoseUcPerCm2);
                set(maxPieceUm, builder::maxPieceUm);
                set(tolerance, builder::tolerance);
                set(maxIterations, builder::maxIterations);
                set(minFactor, builder::minFactor);
                set(maxFactor, builder::maxFactor);
                set(levelRule(), builder::levels);
                builder.levelStudy(levelStudy);
                return builder.oneDosePerShape(oneDosePerShape).build();
            } catch (IllegalArgumentException e) {
                throw new UsageException(e.getMessage());
            }
        }

        private LevelRule levelRule() {
            if (levelStepPercent != null) {
                if (levels != null || levelSpacing != null) {
                    throw new UsageException("give either --levels or --level-step-percent, not both");
                }
                return LevelRule.step(levelStepPercent);
            }
            if (levels == null) {
                if (levelSpacing != null) {
                    throw new UsageException("--level-spacing goes with --levels");
                }
                return null;
            }
            return switch (levelSpacing == null ? "optimal" : levelSpacing) {
                case "optimal" -> LevelRule.optimal(levels);
                case "geometric" -> LevelRule.geometric(levels);
                default ->
                    throw new UsageException("--level-spacing is optimal or geometric, not '" + levelSpacing + "'");
            };
        }

        private static <T> void set(T value, Consumer<T> setter) {
            if (value != null) {
                setter.accept(value);
            }
        }

        private static Criterion criterion(String word) {
            return switch (word) {
                case "edge" -> Criterion.EDGE;
                case "mean" -> Criterion.MEAN;
                default -> throw new UsageException("--criterion is edge or mean, not '" + word + "'");
            };
        }
    }

    @Override
    public Integer call() {
        PrintWriter out = spec.commandLine().getOut();
        PrintWriter err = spec.commandLine().getErr();
        PsfFile psfFile = psf.read();
        Optional<ContrastCurve> contrast = contrast();
        CorrectionOptions options = correction.build(psfFile);
        contrast.ifPresent(curve -> addDepths(curve, options));
        Path folder = run.folder(layoutFile, "-doses");
        try (ProgressLine line = ProgressLine.on(err, run.quiet());
                Workers workers = run.workers();
                OutputFolder output = OutputFolder.open(folder, run.force())) {
            run.cleanUpOnInterrupt(output);
            StageClock clock = new StageClock(line);
            Path doses = output.file("doses.csv");
            Path corrected = output.file("corrected." + format.extension());
            Path levelTable = output.file("levels.csv");
            Path summaryFile = output.file("summary.json");
            Path reportFile = noReport ? null : output.file("report.html");

            clock.begin("reading the layout", 0);
            Layout layout = LayoutFiles.read(layoutFile);
            Flattener flattener =
                    cell == null ? Flattener.of(layout) : Flattener.of(layout).withCell(cell);
            List<LayerRole> roles = roles(flattener.counts());
            Map<Layer, Integer> groups = new HashMap<>();
            for (int g = 0; g < roles.size(); g++) {
                groups.put(roles.get(g).layer(), g);
            }
            refuseTooMany(flattener.counts(), groups.keySet());
            Polygons polygons = new Polygons();
            flattener.flatten(groups, polygons);
            if (polygons.size() == 0) {
                throw new BadInputException(layoutFile.toString(), "", "has no shape with area on the chosen layers");
            }
            DoseTable table = Corrector.correct(polygons, layout.unit().um(), roles, options, workers, clock);
            DoseTableCsv.write(table, doses, workers, clock);
            long lost = CorrectedLayout.write(table, layout.unit(), corrected, format, clock);
            DoseTableCsv.writeLevels(table, levelTable);
            List<String> cells =
                    cell == null ? layout.topCells().stream().map(Cell::name).toList() : List.of(cell);
            RunSummary summary = new RunSummary(
                    table,
                    layoutFile.toString(),
                    cells,
                    CommandLineTool.Version.number(),
                    psfFile.source(),
                    clock.secondsByStage());
            if (reportFile != null) {
                List<String> arguments = spec.commandLine().getParseResult().originalArgs();
                ReportPage.write(summary, polygons, layout.unit().um(), arguments, reportFile, workers, clock);
            }
            write(summaryFile, summary.toJson());
            List<LayerDepth> layerDepths =
                    contrast.map(curve -> LayerDepth.predict(table, curve)).orElse(List.of());
            if (contrast.isPresent()) {
                output.write("depths.csv", LayerDepth.csv(layerDepths));
                PictureFiles.write(output, List.of(CalibrationPictures.contrast(contrast.orElseThrow(), layerDepths)));
            }
            if (!table.levelStudy().isEmpty()) {
                output.write("level-study.csv", LevelPictures.csv(table.levelStudy()));
                PictureFiles.write(output, List.of(LevelPictures.study(table.levelStudy())));
            }
            output.commit();
            line.close();
            for (String warning : layout.warnings()) {
                err.println("evendose: note: " + CommandLineTool.oneLine(warning));
            }
            if (!psfFile.notice().isEmpty()) {
                err.println("evendose: note: " + psfFile.notice());
            }
            CorrectionText.print(out, table, layerDepths, layoutFile, psfFile, lost, clock.secondsByStage(), folder);
            return (table.convergence().converged() ? ExitCode.DONE : ExitCode.LIMIT).number();
        }
    }

    /** Counts before anything is flattened. */
    private void refuseTooMany(SortedMap<Layer, Long> counts, Set<Layer> chosen) {
        double count = 0;
        for (Layer layer : chosen) {
            count += counts.get(layer);
        }
        if (count > maxPolygons) {
            throw new LimitException(String.format(
                    Locale.ROOT,
                    "%s flattens to %,.0f polygons on the chosen layers, beyond the limit of %,d; choose fewer layers or a"
                            + " smaller cell, or raise --max-polygons and Java's memory (-Xmx)",
                    layoutFile,
                    count,
                    maxPolygons));
        }
    }

    private static void write(Path file, String text) {
        try {
            Files.writeString(file, text, StandardCharsets.UTF_8);
        } catch (IOException e) {
            throw new BadInputException(file.toString(), "", "cannot be written (" + OutputFolder.reason(e) + ")", e);
        }
    }

    /** The contrast curve, if depths are wanted; they are a matter of mean energies. */
    private Optional<ContrastCurve> contrast() {
        if (contrastFile == null && depths.isEmpty()) {
            return Optional.empty();
        }
        if (contrastFile == null || depths.isEmpty()) {
            throw new UsageException("--contrast and --depth go together");
        }
        if (correction.baseDose == null) {
            throw new UsageException("--depth needs --base-dose-uc-per-cm2, the dose that factor 1 stands for");
        }
        if (correction.criterion == null) {
            correction.criterion = "mean";
        } else if (!correction.criterion.equals("mean")) {
            throw new UsageException("--depth goes with --criterion mean");
        }
        return Optional.of(ContrastCurve.read(contrastFile));
    }

    private void addDepths(ContrastCurve curve, CorrectionOptions options) {
        for (Map.Entry<String, Double> entry : depths.entrySet()) {
            try {
                targets.put(entry.getKey(), LayerDepth.target(curve, entry.getValue(), options));
            } catch (IllegalArgumentException e) {
                throw new UsageException("--depth " + entry.getKey() + ": " + e.getMessage());
            }
        }
    }

    /** The chosen layers: corrected ones first, so that they own what overlaps with a layer of fixed dose. */
    private List<LayerRole> roles(SortedMap<Layer, Long> counts) {
        Map<Layer, LayerRole> corrected = new LinkedHashMap<>();
        Map<Layer, LayerRole> fixed = new LinkedHashMap<>();
        try {
            for (String name : layers) {
                Layer layer = Layer.parse(name);
                corrected.put(layer, LayerRole.corrected(layer));
            }
            for (Map.Entry<String, Double> entry : targets.entrySet()) {
                Layer layer = Layer.parse(entry.getKey());
                corrected.put(layer, LayerRole.corrected(layer, entry.getValue()));
            }
            for (Map.Entry<String, Double> entry : fixedDoses.entrySet()) {
                Layer layer = Layer.parse(entry.getKey());
                if (corrected.containsKey(layer)) {
                    throw new UsageException("layer " + layer + " cannot be corrected and have a fixed dose at once");
                }
                fixed.put(layer, LayerRole.fixed(layer, entry.getValue()));
            }
        } catch (IllegalArgumentException e) {
            throw new UsageException(e.getMessage());
        }
        if (corrected.isEmpty()) {
            List<Layer> left =
                    counts.keySet().stream().filter(l -> !fixed.containsKey(l)).toList();
            if (left.isEmpty()) {
                throw new BadInputException(layoutFile.toString(), "", "has no layer with shapes to correct");
            }
            if (left.size() > 1) {
                throw new UsageException(layoutFile + " has several layers; choose with --layer:\n" + listing(counts));
            }
            corrected.put(left.get(0), LayerRole.corrected(left.get(0)));
        }
        List<LayerRole> roles = new ArrayList<>(corrected.values());
        roles.addAll(fixed.values());
        for (LayerRole role : roles) {
            if (!counts.containsKey(role.layer())) {
                throw new BadInputException(
                        layoutFile.toString(),
                        "",
                        "has no shape on layer " + role.layer() + "; it has "
                                + String.join(
                                        ", ",
                                        counts.keySet().stream()
                                                .map(Layer::toString)
                                                .toList()));
            }
        }
        return roles;
    }

    private static String listing(SortedMap<Layer, Long> counts) {
        StringBuilder text = new StringBuilder(String.format("  %-12s %s", "layer", "polygons"));
        counts.forEach((layer, count) -> text.append(String.format(Locale.ROOT, "%n  %-12s %,d", layer, count)));
        return text.toString();
    }
}
