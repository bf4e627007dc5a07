package evendose.cli;

import evendose.correction.DrawnPattern;
import evendose.files.BadInputException;
import evendose.files.OutputFolder;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.formats.LayoutFiles;
import evendose.parallel.StageClock;
import evendose.parallel.Workers;
import evendose.report.VerificationFiles;
import evendose.verification.CalibratedProcess;
import evendose.verification.Exposure;
import evendose.verification.Verification;
import evendose.verification.Verifier;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.Callable;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Checks doses against their layout. */
@Command(
        name = "verify",
        sortOptions = false,
        mixinStandardHelpOptions = true,
        header = "Check doses against their layout, and predict edges and widths.",
        footer = {
            "",
            "Example:",
            "  evendose verify cd-doses testdata/layouts/cd-500nm.gds --out cd-check",
            "With 95 % intervals from a calibration:",
            "  evendose calibrate fit testdata/demo/tidepool-measured.csv --out cd-fit",
            "  evendose verify cd-doses testdata/layouts/cd-500nm.gds --uncertainty cd-fit/fit.json --out cd-bars",
            "",
            "Exits 4 when area is missing, pieces overlap, a dose is not the one its layout needs, or an edge, line or gap",
            "does not come out as drawn. \"Develops\" stands for both tones: above the threshold a positive resist clears",
            "and a negative one stays.",
            "With --out it writes verification.json, widths.csv, worst.csv, sensitivity.csv and plots.",
            "Predictions never replace a dose test on your own tool and process."
        })
final class VerifyCommand implements Callable<Integer> {
    @Spec
    private CommandSpec spec;

    @Mixin
    private DosesInput doses;

    @Parameters(index = "1", paramLabel = "LAYOUT", description = "The layout that the doses are for.")
    private Path layoutFile;

    @Option(names = "--cell", paramLabel = "NAME", description = "Cell of the layout (default: as recorded).")
    private String cell;

    @Option(names = AllowedEdge.NAME, paramLabel = "D", description = AllowedEdge.DESCRIPTION)
    private Double allowedEdgeNm;

    @Option(
            names = "--gauges",
            paramLabel = "FILE",
            description = "CSV of places to measure widths: x_um,y_um inside a line, optionally angle_deg and name"
                    + " (default: some for each width and density found).")
    private Path gauges;

    @Option(
            names = "--sensitivity-percent",
            paramLabel = "P",
            defaultValue = "10",
            description = "By how much alpha, beta, eta and base dose are taken to be off (default: ${DEFAULT-VALUE}).")
    private double sensitivityPercent;

    @Option(
            names = "--uncertainty",
            paramLabel = "FIT",
            description =
                    "fit.json of a calibration: give each width, and edges, as the calibration predicts them, with a 95 %%"
                            + " interval, what it comes from, and what measurement would help most.")
    private Path uncertainty;

    @Option(names = "--json", description = "Print the result as JSON.")
    private boolean json;

    @ArgGroup(exclusive = false, heading = "%nRun:%n")
    private RunOptions run = new RunOptions();

    @Override
    public Integer call() {
        PrintWriter out = spec.commandLine().getOut();
        PrintWriter err = spec.commandLine().getErr();
        if (!(sensitivityPercent > 0 && sensitivityPercent < 100)) {
            throw new UsageException("--sensitivity-percent must lie between 0 and 100, got " + sensitivityPercent);
        }
        Optional<CalibratedProcess> process = Optional.ofNullable(uncertainty).map(CalibratedProcess::read);
        try (ProgressLine line = ProgressLine.on(err, run.quiet());
                Workers workers = run.workers();
                OutputFolder output = run.hasOut() ? run.open(run.folder(layoutFile, "-check"), err) : null) {
            if (output != null) {
                output.file(VerificationFiles.JSON);
            }
            StageClock clock = new StageClock(line);
            clock.begin("reading", 0);
            DosesInput.Read read = doses.read();
            if (read.windowed()) {
                throw new BadInputException(
                        doses.file().toString(),
                        "",
                        "holds the doses of a window only, so what its surroundings add is not known; correct without"
                                + " --window to verify");
            }
            Exposure exposure = read.exposure();
            Layout layout = LayoutFiles.read(layoutFile);
            DrawnPattern drawn = drawn(layout, read);
            Verification found = Verifier.verify(
                    exposure,
                    read.stored(),
                    drawn,
                    AllowedEdge.nm(allowedEdgeNm),
                    gauges == null ? null : (finder, widest) -> finder.fromTable(gauges, widest),
                    sensitivityPercent,
                    process,
                    workers,
                    clock);
            if (output != null) {
                clock.begin("writing", 0);
                VerificationFiles.write(found, exposure, read.residualHistory(), output);
                output.commit();
            }
            line.close();
            for (String warning : layout.warnings()) {
                err.println("evendose: note: " + CommandLineTool.oneLine(warning));
            }
            if (json) {
                out.print(VerificationFiles.json(found));
                out.flush();
            } else {
                VerificationText.print(out, found, exposure, doses.file(), layoutFile);
                if (output != null) {
                    Written.of(output.folder(), output).print(out);
                    out.flush();
                }
            }
            return (found.holds() ? ExitCode.DONE : ExitCode.LIMIT).number();
        }
    }

    private DrawnPattern drawn(Layout layout, DosesInput.Read read) {
        // One recorded cell was chosen by the user; several are the layout's top cells, which is the default.
        String wanted = cell != null ? cell : recordedCell(layout, read.cells());
        Flattener flattener =
                wanted == null ? Flattener.of(layout) : Flattener.of(layout).withCell(wanted);
        Set<Layer> present = flattener.counts().keySet();
        boolean byNumber = read.stored().rounded();
        return DrawnPattern.of(
                flattener,
                read.exposure().roles().stream()
                        .map(role -> role.on(present(role.layer(), present, byNumber)))
                        .toList());
    }

    private static String recordedCell(Layout layout, List<String> cells) {
        return cells.size() == 1 && layout.cells().containsKey(cells.get(0)) ? cells.get(0) : null;
    }

    /** In a layout of pieces levels took the datatype's place: there, the layout's only layer of that number is meant. */
    private static Layer present(Layer layer, Set<Layer> present, boolean byNumber) {
        if (present.contains(layer) || !byNumber) {
            return layer;
        }
        List<Layer> same =
                present.stream().filter(l -> l.number() == layer.number()).toList();
        return same.size() == 1 ? same.get(0) : layer;
    }
}
