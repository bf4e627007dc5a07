package evendose.cli;

import static evendose.cli.CommandLineTool.row;

import evendose.calibration.Calibration;
import evendose.calibration.CalibrationFiles;
import evendose.calibration.CalibrationFit;
import evendose.calibration.DoseTestEffort;
import evendose.calibration.DoseTestPattern;
import evendose.calibration.FitOptions;
import evendose.calibration.FittedParameter;
import evendose.calibration.Measurement;
import evendose.calibration.MeasurementFile;
import evendose.files.NumberText;
import evendose.files.OutputFolder;
import evendose.report.CalibrationPage;
import evendose.report.CalibrationPictures;
import evendose.report.CalibrationPlots;
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
            "  evendose calibrate pattern --alpha-um 0.012 --beta-um 30 --eta 0.6 --clearing-dose-uc-per-cm2 380 \\",
            "    --out my-test",
            "  evendose calibrate fit testdata/demo/tidepool-measured.csv --out my-fit",
            "  evendose correct testdata/layouts/cd-500nm.gds --layer 1/0 --psf my-fit/psf.json \\",
            "    --base-dose-uc-per-cm2 729 --out my-doses"
        })
final class CalibrateCommand implements Runnable {
    private static final double USUAL_SLOT_H = 1;
    private static final double LOADING_H = 0.25;
    private static final double UC_PER_NA_H = 3.6;

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
                "  evendose calibrate pattern --alpha-um 0.012 --beta-um 30 --eta 0.6 --clearing-dose-uc-per-cm2 380 \\",
                "    --current-na 1,2 --slot-h 2 --target-percent 3 --out two-hour-test",
                "",
                "Chooses figures and doses that tell beta and eta as well as wanted with few readings, within the charge that the slot"
                        + " allows. Guess high rather than low for beta: rings are sized by it. The numbers of a built-in set ('evendose psf') are"
                        + " a fair guess.",
                "Writes dose-test.gds with levels.csv (both for 'evendose plan' too), figures.csv, measured.csv, pattern.json and"
                        + " instructions.html. Exits with 4 if the budget does not allow the wanted errors; the best test for it is written then.",
                "Next: read instructions.html, expose, fill in measured.csv, and give that to 'evendose calibrate fit'."
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
                description =
                        "Doses that a ring or disc spans, odd; coarse ladders leave some out (default: ${DEFAULT-VALUE}).")
        private int doses;

        @Option(
                names = "--target-percent",
                paramLabel = "P",
                defaultValue = "3",
                description =
                        "Standard errors wanted of beta and eta, percent; for instance 2 (default: ${DEFAULT-VALUE}).")
        private double targetPercent;

        @Option(
                names = "--current-na",
                paramLabel = "I",
                split = ",",
                defaultValue = "2",
                description = {
                    "Beam current, nA, or several to tell the time at; --slot-h counts with the first (default: ${DEFAULT-VALUE})."
                })
        private double[] currents;

        @Option(
                names = "--minutes-per-reading",
                paramLabel = "T",
                defaultValue = "3",
                description =
                        "Time at the microscope for a clearing dose or a width, min (default: ${DEFAULT-VALUE}, an assumption).")
        private double minutesPerReading;

        @ArgGroup(heading = "%nBudget (one of):%n")
        private Budget budget = new Budget();

        @ArgGroup(exclusive = false, heading = "%nOutput:%n")
        private OutputOptions run = new OutputOptions();

        /** What the test may cost. */
        static final class Budget {
            @Option(
                    names = "--slot-h",
                    paramLabel = "T",
                    description =
                            "Length of the slot, h, of which 15 min go for loading (common practice); for instance"
                                    + " 2 (default: 1).")
            private Double slotH;

            @Option(
                    names = "--budget-uc",
                    paramLabel = "C",
                    description = "Largest charge of the test, uC; for instance 10.")
            private Double budgetUc;
        }

        private double budgetUc() {
            for (double current : currents) {
                if (!(current > 0)) {
                    throw new UsageException("--current-na must be positive, got " + current);
                }
            }
            if (budget.budgetUc != null) {
                return budget.budgetUc;
            }
            double slotH = budget.slotH == null ? USUAL_SLOT_H : budget.slotH;
            if (!(slotH > LOADING_H)) {
                throw new UsageException("--slot-h must exceed the 0.25 h that loading takes, got " + slotH);
            }
            return (slotH - LOADING_H) * UC_PER_NA_H * currents[0];
        }

        @Override
        public Integer call() {
            if (!(minutesPerReading > 0)) {
                throw new UsageException("--minutes-per-reading must be positive, got " + minutesPerReading);
            }
            DoseTestPattern pattern;
            try {
                pattern = DoseTestPattern.design(
                        new DoseTestPattern.Guess(alphaUm, betaUm, eta, clearingDose, stepPercent, doses),
                        budgetUc(),
                        targetPercent);
            } catch (IllegalArgumentException e) {
                throw new UsageException(e.getMessage());
            }
            DoseTestEffort effort = new DoseTestEffort(pattern, currents, minutesPerReading);
            Path folder = run.folder(Path.of("dose-test"), "");
            String version = CommandLineTool.Version.number();
            Written written;
            try (OutputFolder output = run.open(folder, spec.commandLine().getErr())) {
                pattern.writeLayout(output.file("dose-test.gds"));
                output.write("levels.csv", pattern.levelsCsv());
                output.write("figures.csv", pattern.figuresCsv());
                output.write("measured.csv", pattern.measuredCsv());
                output.write("pattern.json", effort.json(version));
                output.write("instructions.html", CalibrationPage.instructions(pattern, effort, version));
                output.commit();
                written = Written.of(folder, output);
            }
            print(spec.commandLine().getOut(), pattern, effort, written);
            return (pattern.targetReached() ? ExitCode.DONE : ExitCode.LIMIT).number();
        }

        private void print(PrintWriter out, DoseTestPattern pattern, DoseTestEffort effort, Written written) {
            double[] size = pattern.sizeUm();
            row(
                    out,
                    "pattern",
                    "%d rows, %.2f x %.2f mm, %d doses",
                    pattern.rows().size(),
                    size[0] / 1e3,
                    size[1] / 1e3,
                    pattern.doses());
            row(
                    out,
                    "charge",
                    "%.3g uC of %s uC allowed: beam on for %s",
                    pattern.chargeUc(),
                    CommandLineTool.plain(pattern.budgetUc()),
                    effort.times());
            row(out, "microscope", "%s", effort.microscope());
            row(out, "to expect", "%s", effort.expectation());
            if (!pattern.targetReached()) {
                row(
                        out,
                        "caution",
                        "%s uC do not allow the wanted %s %%: this is the best test for them; give more charge, or want less",
                        CommandLineTool.plain(pattern.budgetUc()),
                        CommandLineTool.plain(pattern.targetPercent()));
            }
            row(
                    out,
                    "plan it",
                    "evendose plan %s --base-dose-uc-per-cm2 %s --current-na %s --step-nm 5",
                    written.folder().resolve("dose-test.gds"),
                    CommandLineTool.plain(pattern.baseDoseUcPerCm2()),
                    CommandLineTool.plain(currents[0]));
            written.print(out);
            Written.next(
                    out,
                    "read %s; after exposure fill in %s and give it to 'evendose calibrate fit'",
                    written.folder().resolve("instructions.html"),
                    written.folder().resolve("measured.csv"));
            out.flush();
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
                "Examples:",
                "  evendose calibrate fit testdata/demo/tidepool-measured.csv --energy-kev 100 --out fit",
                "  evendose calibrate fit testdata/demo/tidepool-measured.csv --width-offset-nm 4 --width-offset-error-nm 1 \\",
                "    --out fit-with-offset",
                "",
                "Clearing doses are intervals: last_uncleared_uc_per_cm2 is the last dose that did not clear, first_cleared_uc_per_cm2"
                        + " the first that did. One alone will do beside ladder_step_percent.",
                "Writes psf.json (for --psf of other commands), fit.json, residuals.csv, calibration.html, pictures, and their numbers"
                        + " as calibration-plots.csv and calibration-plots.json.",
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

        @Option(
                names = "--width-offset-nm",
                paramLabel = "W",
                defaultValue = "0",
                description =
                        "What all measured widths are off by, as far as you know: where your microscope sees an edge, nm; for"
                                + " instance 4 (default: ${DEFAULT-VALUE}). It is fitted.")
        private double widthOffsetNm;

        @Option(
                names = "--width-offset-error-nm",
                paramLabel = "S",
                defaultValue = "3",
                description =
                        "How well you know it: its standard deviation, nm; 0 keeps the offset as it is (default: ${DEFAULT-VALUE}).")
        private double widthOffsetErrorNm;

        @Option(names = "--energy-kev", paramLabel = "E", description = "Beam energy, for the record.")
        private Double energyKev;

        @Option(
                names = "--stack",
                paramLabel = "TEXT",
                defaultValue = "",
                description = "Resist and substrate, for the record.")
        private String stack;

        @ArgGroup(exclusive = false, heading = "%nOutput:%n")
        private OutputOptions run = new OutputOptions();

        @Override
        public Integer call() {
            FitOptions options;
            try {
                options = new FitOptions(
                        optional(alphaUm),
                        optional(betaUm),
                        optional(eta),
                        thirdTerm,
                        ownThreshold,
                        new FitOptions.WidthOffset(widthOffsetNm, widthOffsetErrorNm));
            } catch (IllegalArgumentException e) {
                throw new UsageException(e.getMessage());
            }
            if (energyKev != null && !(energyKev > 0)) {
                throw new UsageException("--energy-kev must be positive, got " + energyKev);
            }
            Path folder = run.folder(measured, "-fit");
            MeasurementFile file = MeasurementFile.read(measured);
            Calibration calibration;
            Written written;
            try (OutputFolder output = run.open(folder, spec.commandLine().getErr())) {
                calibration = CalibrationFit.fit(measured.toString(), file.measurements(), options)
                        .withCautions(file.notes());
                CalibrationFiles.Provenance provenance = CalibrationFiles.Provenance.of(
                        measured, CommandLineTool.Version.number(), optional(energyKev), stack);
                CalibrationPlots plots = new CalibrationPlots();
                List<Picture> pictures = CalibrationPictures.all(calibration, plots);
                output.write("psf.json", CalibrationFiles.psfJson(calibration, provenance));
                output.write("fit.json", CalibrationFiles.fitJson(calibration, provenance));
                output.write("residuals.csv", CalibrationFiles.residualsCsv(calibration));
                pictures.forEach(picture -> picture.write(output));
                output.write("calibration-plots.csv", plots.csv());
                output.write("calibration-plots.json", plots.json());
                output.write("calibration.html", CalibrationPage.fit(calibration, pictures, provenance));
                output.commit();
                written = Written.of(folder, output);
            }
            print(spec.commandLine().getOut(), calibration, file, written);
            return ExitCode.DONE.number();
        }

        private static OptionalDouble optional(Double value) {
            return value == null ? OptionalDouble.empty() : OptionalDouble.of(value);
        }

        private void print(PrintWriter out, Calibration calibration, MeasurementFile file, Written written) {
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
            for (Calibration.Scatter s : calibration.scatter()) {
                boolean width = s.kind() == Measurement.Kind.WIDTH;
                row(out, "scatter", width ? "widths %.2g nm" : "clearing doses %.2g %%", s.size());
            }
            calibration.cautions().forEach(c -> row(out, "caution", "%s", c));
            written.print(out);
            Written.next(
                    out,
                    "look at %s, then: evendose correct LAYOUT --psf %s --base-dose-uc-per-cm2 %s",
                    written.folder().resolve("calibration.html"),
                    written.folder().resolve("psf.json"),
                    NumberText.plain(base.value(), 4));
            out.flush();
        }
    }
}
