package evendose.cli;

import static evendose.cli.CommandLineTool.row;

import evendose.calibration.Calibration;
import evendose.calibration.CalibrationFiles;
import evendose.calibration.CalibrationFit;
import evendose.calibration.DoseTestPattern;
import evendose.calibration.FitOptions;
import evendose.calibration.FittedParameter;
import evendose.calibration.MeasurementFile;
import evendose.files.OutputFolder;
import evendose.report.CalibrationPage;
import evendose.report.CalibrationPictures;
import evendose.report.Picture;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.List;
import java.util.OptionalDouble;
import java.util.concurrent.Callable;
import picocli.CommandLine;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Makes a dose test and fits what was measured on it. */
@Command(
        name = "calibrate",
        mixinStandardHelpOptions = true,
        synopsisSubcommandLabel = "pattern|fit",
        header = "Make a dose test, and fit a point spread function and base dose to what was measured on it.",
        subcommands = {CalibrateCommand.Pattern.class, CalibrateCommand.Fit.class},
        footer = {
            "",
            "Example:",
            "  evendose calibrate pattern --alpha-um 0.012 --beta-um 30 --eta 0.6 --clearing-dose-uc-per-cm2 380 --out test",
            "  evendose calibrate fit test/measured.csv --out fit",
            "  evendose correct chip.gds --layer 1/0 --psf fit/psf.json --base-dose-uc-per-cm2 750"
        })
final class CalibrateCommand implements Runnable {
    @Spec
    private CommandSpec spec;

    @Override
    public void run() {
        throw new CommandLine.ParameterException(spec.commandLine(), "name what to do: 'pattern' or 'fit'");
    }

    /** Writes a dose test. */
    @Command(
            name = "pattern",
            sortOptions = false,
            mixinStandardHelpOptions = true,
            header = "Write a dose-test layout, its doses, a table to fill in and a page that says what to do.",
            footer = {
                "",
                "Example:",
                "  evendose calibrate pattern --psf si-100kv --clearing-dose-uc-per-cm2 380 --out test",
                "",
                "Guess high rather than low for beta: rings are sized by it. The numbers of a built-in set are a fair guess.",
                "Writes dose-test.gds, doses.csv, figures.csv, measured.csv and instructions.html."
            })
    static final class Pattern implements Callable<Integer> {
        @Spec
        private CommandSpec spec;

        @Option(names = "--alpha-um", paramLabel = "A", required = true, description = "Guess of the direct range, um.")
        private double alphaUm;

        @Option(
                names = "--beta-um",
                paramLabel = "B",
                required = true,
                description = "Guess of the backscatter range, um.")
        private double betaUm;

        @Option(
                names = "--eta",
                paramLabel = "H",
                required = true,
                description = "Guess of backscattered over direct energy.")
        private double eta;

        @Option(
                names = "--clearing-dose-uc-per-cm2",
                paramLabel = "Q",
                required = true,
                description = "Guess of the dose at which a wide area just clears, uC/cm^2 (about half the base dose).")
        private double clearingDose;

        @Option(
                names = "--dose-step-percent",
                paramLabel = "P",
                defaultValue = "5",
                description = "Distance of neighbouring doses, percent (default: ${DEFAULT-VALUE}).")
        private double stepPercent;

        @Option(
                names = "--doses",
                paramLabel = "N",
                defaultValue = "13",
                description = "Doses for each ring and disc, odd (default: ${DEFAULT-VALUE}).")
        private int doses;

        @ArgGroup(exclusive = false, heading = "%nRun:%n")
        private RunOptions run = new RunOptions();

        @Override
        public Integer call() {
            DoseTestPattern pattern;
            try {
                pattern = DoseTestPattern.design(
                        new DoseTestPattern.Guess(alphaUm, betaUm, eta, clearingDose, stepPercent, doses));
            } catch (IllegalArgumentException e) {
                throw new UsageException(e.getMessage());
            }
            Path folder = run.folder(Path.of("dose-test"), "");
            try (OutputFolder output = run.open(folder)) {
                pattern.writeLayout(output.file("dose-test.gds"));
                output.write("doses.csv", pattern.dosesCsv());
                output.write("figures.csv", pattern.figuresCsv());
                output.write("measured.csv", pattern.measuredCsv());
                output.write(
                        "instructions.html", CalibrationPage.instructions(pattern, CommandLineTool.Version.number()));
                output.commit();
            }
            PrintWriter out = spec.commandLine().getOut();
            double[] size = pattern.sizeUm();
            row(
                    out,
                    "pattern",
                    "%d rows, %.2f x %.2f mm, %d doses",
                    pattern.rows().size(),
                    size[0] / 1e3,
                    size[1] / 1e3,
                    pattern.doses());
            row(out, "output", "%s (dose-test.gds, doses.csv, figures.csv, measured.csv)", folder);
            row(out, "next", "read %s", folder.resolve("instructions.html"));
            out.flush();
            return ExitCode.DONE.number();
        }
    }

    /** Fits a measured dose test. */
    @Command(
            name = "fit",
            sortOptions = false,
            mixinStandardHelpOptions = true,
            header = "Fit alpha, beta, eta and the dose to clearing doses, widths or both.",
            footer = {
                "",
                "Example:",
                "  evendose calibrate fit test/measured.csv --energy-kev 100 --out fit",
                "",
                "Writes psf.json (for --psf of other commands), fit.json, residuals.csv, calibration.html and pictures.",
                "A parameter that the data leave open is refused with what to measure; give it if you know it."
            })
    static final class Fit implements Callable<Integer> {
        @Spec
        private CommandSpec spec;

        @Parameters(index = "0", paramLabel = "MEASURED", description = "The filled-in measured.csv.")
        private Path measured;

        @Option(names = "--alpha-um", paramLabel = "A", description = "Keep the direct range at this, um.")
        private Double alphaUm;

        @Option(names = "--beta-um", paramLabel = "B", description = "Keep the backscatter range at this, um.")
        private Double betaUm;

        @Option(names = "--eta", paramLabel = "H", description = "Keep the energy ratio at this.")
        private Double eta;

        @Option(names = "--third-term", description = "Fit a third term between the two.")
        private boolean thirdTerm;

        @Option(
                names = "--own-threshold",
                description = "Let widths have a threshold of their own (tau times the clearing energy).")
        private boolean ownThreshold;

        @Option(names = "--energy-kev", paramLabel = "E", description = "Beam energy, for the record.")
        private Double energyKev;

        @Option(
                names = "--stack",
                paramLabel = "TEXT",
                defaultValue = "",
                description = "Resist and substrate, for the record.")
        private String stack;

        @ArgGroup(exclusive = false, heading = "%nRun:%n")
        private RunOptions run = new RunOptions();

        @Override
        public Integer call() {
            FitOptions options;
            try {
                options = new FitOptions(optional(alphaUm), optional(betaUm), optional(eta), thirdTerm, ownThreshold);
            } catch (IllegalArgumentException e) {
                throw new UsageException(e.getMessage());
            }
            if (energyKev != null && !(energyKev > 0)) {
                throw new UsageException("--energy-kev must be positive, got " + energyKev);
            }
            Path folder = run.folder(measured, "-fit");
            MeasurementFile file = MeasurementFile.read(measured);
            Calibration calibration;
            CalibrationFiles.Provenance provenance;
            try (OutputFolder output = run.open(folder)) {
                calibration = CalibrationFit.fit(measured.toString(), file.measurements(), options);
                provenance = CalibrationFiles.Provenance.of(
                        measured, CommandLineTool.Version.number(), optional(energyKev), stack);
                List<Picture> pictures = CalibrationPictures.all(calibration);
                output.write("psf.json", CalibrationFiles.psfJson(calibration, provenance));
                output.write("fit.json", CalibrationFiles.fitJson(calibration, provenance));
                output.write("residuals.csv", CalibrationFiles.residualsCsv(calibration));
                pictures.forEach(picture -> picture.write(output));
                output.write("calibration.html", CalibrationPage.fit(calibration, pictures, provenance));
                output.commit();
            }
            print(spec.commandLine().getOut(), calibration, file, folder);
            return ExitCode.DONE.number();
        }

        private static OptionalDouble optional(Double value) {
            return value == null ? OptionalDouble.empty() : OptionalDouble.of(value);
        }

        private void print(PrintWriter out, Calibration calibration, MeasurementFile file, Path folder) {
            row(
                    out,
                    "measurements",
                    "%d used, %d rows empty",
                    file.measurements().size(),
                    file.empty());
            for (FittedParameter p : calibration.parameters()) {
                row(
                        out,
                        p.name(),
                        p.fitted() ? "%.5g +- %.2g %s" : "%.5g (given) %3$s",
                        p.value(),
                        p.standardError(),
                        p.unit());
            }
            FittedParameter base = calibration.baseDose();
            row(
                    out,
                    base.name(),
                    "%.5g +- %.2g %s (factor 1: lines and equal spaces)",
                    base.value(),
                    base.standardError(),
                    base.unit());
            row(
                    out,
                    "fit",
                    "chi square %.2f, %d degrees of freedom, standard errors %s",
                    calibration.chiSquare(),
                    calibration.freedom(),
                    calibration.errorsGiven() ? "as given" : "from the scatter");
            calibration.cautions().forEach(c -> row(out, "caution", "%s", c));
            row(out, "output", "%s (psf.json, fit.json, residuals.csv, calibration.html, pictures)", folder);
            out.flush();
        }
    }
}
