package evendose.cli;

import static evendose.cli.CommandLineTool.plain;
import static evendose.cli.CommandLineTool.row;

import evendose.correction.ComplementExposure;
import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DoseTable;
import evendose.correction.DrawnPattern;
import evendose.correction.EqualisingSpot;
import evendose.files.NumberText;
import evendose.files.OutputFolder;
import evendose.parallel.Progress;
import evendose.parallel.StageClock;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import evendose.psf.PsfFile;
import evendose.report.EqualisationFile;
import evendose.verification.BackgroundComparison;
import evendose.verification.EdgeQuality;
import evendose.verification.Exposure;
import evendose.verification.OutlineSample;
import evendose.verification.Prediction;
import evendose.verification.Spread;
import evendose.writing.ExposureArithmetic;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.concurrent.Callable;
import java.util.function.DoubleFunction;
import java.util.function.Function;
import java.util.function.ToDoubleFunction;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Equalises the background by a second exposure. */
@Command(
        name = "equalise",
        sortOptions = false,
        mixinStandardHelpOptions = true,
        header =
                "Equalise the background by exposing the complement of a pattern with a wide spot, where doses cannot vary.",
        footer = {
            "",
            "Example:",
            "  evendose equalise testdata/layouts/cd-500nm.gds --layer 1/0 --psf si-50kv \\",
            "    --base-dose-uc-per-cm2 450 --out cd-equalised",
            "",
            "Writes equalise.gds (the pattern on its layers; its complement, up to the frame, on the next) and equalise.json: spot and"
                    + " doses, and what edges are expected to do, beside one dose alone and beside a dose for every piece.",
            "The method is that of Owen and Rissman (1983). For a double Gaussian the spot is the published one, for more terms the one"
                    + " that leaves least of the pattern in the background.",
            "Computed doses never replace a dose test on your own tool and process."
        })
final class EqualiseCommand implements Callable<Integer> {
    /** How far edges may be off in the dose window unless the user says, in direct ranges. */
    private static final double ALLOWED_RANGES = 0.5;

    @Spec
    private CommandSpec spec;

    @Parameters(
            index = "0",
            paramLabel = "LAYOUT",
            description = "GDSII or OASIS file or CSV table of shapes, also gzipped.")
    private Path layoutFile;

    @ArgGroup(exclusive = false, heading = "%nShapes:%n")
    private PatternChoice shapes = new PatternChoice();

    @ArgGroup(exclusive = false, heading = "%nPoint spread function:%n")
    private PsfChoice psf = new PsfChoice();

    @Option(
            names = "--base-dose-uc-per-cm2",
            paramLabel = "Q",
            description = "Dose at factor 1, uC/cm^2, as for 'correct'; gives absolute doses and charges.")
    private Double baseDose;

    @Option(
            names = "--frame-um",
            paramLabel = "F",
            description =
                    "How far the complement reaches beyond the pattern, um (default: three of the longest range).")
    private Double frameUm;

    @Option(
            names = "--spot-range-um",
            paramLabel = "D",
            description =
                    "Range (1/e radius) by which the spot for the complement is wider than the focused one, um, if your machine"
                            + " cannot reach the one that is found; ranges add in squares.")
    private Double spotRangeUm;

    @Option(
            names = AllowedEdge.NAME,
            paramLabel = "D",
            description = "How far edges may be off in the dose window, nm (default: half of the direct range).")
    private Double allowedEdgeNm;

    @Option(names = "--json", description = "Print what equalise.json holds instead of text for a person.")
    private boolean json;

    @ArgGroup(exclusive = false, heading = "%nRun:%n")
    private RunOptions run = new RunOptions();

    @Override
    public Integer call() {
        PsfFile psfFile = psf.read();
        CorrectionOptions.Builder builder = CorrectionOptions.builder(psfFile.psf());
        CommandLineTool.ifGiven(positive("--base-dose-uc-per-cm2", baseDose), builder::baseDoseUcPerCm2);
        positive("--frame-um", frameUm);
        positive("--spot-range-um", spotRangeUm);
        EqualisingSpot spot = spot(psfFile.psf());
        double allowedNm = AllowedEdge.nm(allowedEdgeNm)
                .orElse(1e3 * ALLOWED_RANGES * psfFile.psf().direct().rangeUm());
        Path folder = run.folder(layoutFile, "-equalised");
        PrintWriter err = spec.commandLine().getErr();
        try (ProgressLine line = ProgressLine.on(err, run.quiet());
                Workers workers = run.workers();
                OutputFolder output = run.open(folder, err)) {
            StageClock clock = new StageClock(line);
            Path layoutOut = output.file("equalise.gds");
            output.file("equalise.json");
            clock.begin("reading the layout", 0);
            CorrectionOptions options =
                    builder.threads(workers.threads()).progress(clock).build();
            PatternChoice.Opened opened = shapes.open(layoutFile, options);
            DrawnPattern drawn = opened.drawn();
            ComplementExposure complement = complement(drawn, options, spot, workers);
            DoseTable table = Corrector.correct(drawn, options);
            OutlineSample outline = OutlineSample.of(
                    drawn, Optional.empty(), Prediction.reachUm(options.psf()), workers, Progress.NONE);
            BackgroundComparison comparison =
                    BackgroundComparison.of(Exposure.of(table), complement, outline, 1e-3 * allowedNm, workers, clock);
            EqualisationFile found = new EqualisationFile(complement, table, comparison, allowedNm);
            complement.write(layoutOut);
            String forScripts = found.json(layoutFile.toString(), CommandLineTool.Version.number(), psfFile.source());
            output.write("equalise.json", forScripts);
            output.commit();
            line.close();
            shapes.printNotes(err, opened, psfFile);
            warnOfNarrowFrame(err, options.psf());
            PrintWriter out = spec.commandLine().getOut();
            if (json) {
                out.print(forScripts);
            } else {
                print(out, found);
                Written.of(folder, output).print(out);
            }
            out.flush();
            return (table.convergence().converged() ? ExitCode.DONE : ExitCode.LIMIT).number();
        }
    }

    private static Double positive(String option, Double value) {
        if (value != null && !(value > 0 && Double.isFinite(value))) {
            throw new UsageException(option + " must be positive, got " + value);
        }
        return value;
    }

    /** A frame that the spot fits into may still leave the pattern's edge without its background. */
    private void warnOfNarrowFrame(PrintWriter err, PointSpreadFunction psf) {
        if (frameUm != null && frameUm < psf.longestUm()) {
            err.println("evendose: note: "
                    + CommandLineTool.oneLine(String.format(
                            Locale.ROOT,
                            "the frame of %s um is narrower than the longest range of the point spread function, %s um: the background is"
                                    + " uneven near the pattern's edge; three ranges are enough",
                            plain3(frameUm),
                            plain3(psf.longestUm()))));
        }
    }

    private EqualisingSpot spot(PointSpreadFunction psf) {
        try {
            return spotRangeUm == null ? EqualisingSpot.of(psf) : EqualisingSpot.of(psf, spotRangeUm);
        } catch (IllegalArgumentException e) {
            throw new UsageException(e.getMessage());
        }
    }

    private ComplementExposure complement(
            DrawnPattern drawn, CorrectionOptions options, EqualisingSpot spot, Workers workers) {
        double frame = frameUm != null ? frameUm : ComplementExposure.usualFrameUm(options.psf());
        try {
            return ComplementExposure.of(drawn, options, spot, frame, workers);
        } catch (IllegalArgumentException e) {
            throw new UsageException("--frame-um, --spot-range-um: " + e.getMessage());
        }
    }

    private static void print(PrintWriter out, EqualisationFile found) {
        ComplementExposure c = found.complement();
        EqualisingSpot spot = c.spot();
        double[] frame = c.frameUm();
        row(out, "pattern", "%s um^2 at %s", plain(c.patternAreaUm2()), dose(found, c.patternFactor()));
        row(
                out,
                "complement",
                "%s um^2 in %,d pieces on layer %s at %s, %.3f times that of the pattern",
                plain(c.complementAreaUm2()),
                c.complement().size(),
                c.complementLayer(),
                dose(found, c.complementFactor()),
                spot.dose());
        row(
                out,
                "frame",
                "from (%s, %s) to (%s, %s) um",
                plain(frame[0]),
                plain(frame[1]),
                plain(frame[2]),
                plain(frame[3]));
        row(
                out,
                "spot",
                "%s um wide at half height (range %s um), %s",
                plain3(spot.fwhmUm()),
                plain3(spot.rangeUm()),
                switch (spot.origin()) {
                    case PUBLISHED -> "by the published formula";
                    case FITTED ->
                        String.format(
                                Locale.ROOT,
                                "fitted to all terms; the formula for two gives a range of %s um",
                                plain3(EqualisingSpot.publishedUm(
                                        found.table().options().psf())));
                    case GIVEN -> "as given";
                });
        row(
                out,
                "background",
                "off by up to %.2f %% of the energy in a large pad; %.1f %% without the complement",
                100 * spot.unevenness(),
                50 * spot.dose());
        out.println();
        BackgroundComparison b = found.comparison();
        columns(out, "", "one dose", "dose a piece", "equalised");
        line(out, b, "edge energy off, rms, %", q -> percent(q.energyError().rms()));
        line(out, b, "  95 % of places, %", q -> percent(q.energyError().p95()));
        line(out, b, "  worst, %", q -> percent(q.energyError().max()));
        line(out, b, "edge off, rms, nm", q -> nm(q, Spread::rms));
        line(out, b, "  95 % of places, nm", q -> nm(q, Spread::p95));
        line(out, b, "  worst, nm", q -> nm(q, Spread::max));
        line(out, b, "places without an edge", q -> String.valueOf(q.lost()));
        line(out, b, "slope of the energy, % per nm", q -> percent(q.slopePerUm() * 1e-3));
        String window = "dose window for " + plain(found.allowedNm()) + " nm, +- %";
        line(out, b, window, q -> q.doseWindow() > 0 ? percent(q.doseWindow()) : "none");
        OptionalDouble base = found.table().options().baseDoseUcPerCm2();
        DoubleFunction<String> charge =
                area -> plain(base.isPresent() ? ExposureArithmetic.chargeUc(base.getAsDouble(), area) : area);
        columns(
                out,
                base.isPresent() ? "charge, uC" : "area times dose factor, um^2",
                charge.apply(found.singleDosedAreaUm2()),
                charge.apply(found.table().dosedAreaUm2()),
                charge.apply(found.dosedAreaUm2()));
        out.println();
        row(out, "places", "%,d on the outline, off corners", b.places());
        if (!found.table().convergence().converged()) {
            row(
                    out,
                    "note",
                    "not converged: some of the doses a piece that this is compared with miss the tolerance; 'evendose correct'"
                            + " tells which");
        }
    }

    private static void line(
            PrintWriter out, BackgroundComparison b, String name, Function<EdgeQuality, String> value) {
        columns(out, name, value.apply(b.single()), value.apply(b.corrected()), value.apply(b.equalised()));
    }

    private static void columns(PrintWriter out, String name, String single, String corrected, String equalised) {
        out.printf("%-32s %14s %14s %14s%n", name, single, corrected, equalised);
    }

    private static String percent(double share) {
        return String.format(Locale.ROOT, "%.2f", 100 * share);
    }

    /** A number of the places that have an edge. */
    private static String nm(EdgeQuality quality, ToDoubleFunction<Spread> number) {
        Spread placed = quality.placementNm();
        return placed.count() == 0 ? "-" : String.format(Locale.ROOT, "%.2f", number.applyAsDouble(placed));
    }

    private static String plain3(double value) {
        return NumberText.plain(value, 3);
    }

    private static String dose(EqualisationFile found, double factor) {
        OptionalDouble base = found.table().options().baseDoseUcPerCm2();
        return String.format(Locale.ROOT, "dose factor %.4f", factor)
                + (base.isPresent() ? " (" + plain(factor * base.getAsDouble()) + " uC/cm^2)" : "");
    }
}
