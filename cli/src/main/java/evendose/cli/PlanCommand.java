package evendose.cli;

import static evendose.cli.CommandLineTool.ifGiven;
import static evendose.cli.CommandLineTool.row;

import evendose.correction.DoseTableReader;
import evendose.correction.StoredDoses;
import evendose.files.BadInputException;
import evendose.files.NumberText;
import evendose.files.OutputFolder;
import evendose.report.Picture;
import evendose.report.PlanPage;
import evendose.report.PlanPictures;
import evendose.writing.BeamTable;
import evendose.writing.DosedPieces;
import evendose.writing.PlanChoice;
import evendose.writing.SmallestFeature;
import evendose.writing.StepFilling;
import evendose.writing.TwoBeamPlan;
import evendose.writing.WritePlan;
import evendose.writing.WritePlanFiles;
import evendose.writing.WritePlanner;
import evendose.writing.WriterSettings;
import java.io.PrintWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.concurrent.Callable;
import java.util.stream.Stream;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Plans the writing of a dose table. */
@Command(
        name = "plan",
        sortOptions = false,
        mixinStandardHelpOptions = true,
        header =
                "Find dwell times, rates, fields and the time that a dose table takes to write, and the best current and step.",
        footer = {
            "",
            "Example:",
            "  evendose plan cd-doses --base-dose-uc-per-cm2 450 --current-na 0.5,1,2,5 --step-nm 2,4,8 \\",
            "    --clock-mhz 50 --field-um 500 --slot-h 4 --out cd-plan",
            "",
            "Writes plan.html to read, plan.json and plan-*.csv for scripts, and the pictures.",
            "Exits with 4 if nothing of what was offered keeps to the limits.",
            "Pieces are taken to be filled with rows of points, rounded to whole steps; your writer may fill in another way.",
            "Times do not count what was not given; compare one job of your own tool with them first."
        })
final class PlanCommand implements Callable<Integer> {
    private static final String TABLE = "doses.csv";

    /** What plans of two beams have and others do not. */
    private static final List<String> BULK_TABLES = Stream.of("levels", "choices", "filling", "pieces", "cuts")
            .map(name -> "bulk-plan-" + name + ".csv")
            .toList();

    /** Base doses this near each other are the same one: tables round. */
    private static final double SAME_DOSE = 1e-5;

    @Spec
    private CommandSpec spec;

    @Parameters(
            index = "0",
            paramLabel = "DOSES",
            description = "Folder of a correction, its doses.csv, or its corrected.gds (with levels.csv beside it).")
    private Path doses;

    @Option(
            names = "--base-dose-uc-per-cm2",
            paramLabel = "Q",
            description = "Dose at factor 1, uC/cm^2 (default: that of the table).")
    private Double baseDose;

    @Option(
            names = "--current-na",
            paramLabel = "I",
            required = true,
            split = ",",
            description = "Beam current, nA, or several to choose from.")
    private double[] currents;

    @Option(
            names = "--step-nm",
            paramLabel = "P",
            required = true,
            split = ",",
            description = "Distance of dwell points, nm, or several to choose from.")
    private double[] steps;

    @ArgGroup(exclusive = false, heading = "%nTwo beams (of a correction for both):%n")
    private Bulk bulk = new Bulk();

    @ArgGroup(exclusive = false, heading = "%nTool:%n")
    private Tool tool = new Tool();

    @ArgGroup(exclusive = false, heading = "%nJob:%n")
    private Job job = new Job();

    @Option(names = "--json", description = "Print what plan.json holds instead of text for a person.")
    private boolean json;

    @ArgGroup(exclusive = false, heading = "%nOutput:%n")
    private OutputOptions run = new OutputOptions();

    /** How the coarse beam writes. */
    static final class Bulk {
        @Option(
                names = "--bulk-current-na",
                paramLabel = "I",
                split = ",",
                description = "Current of the coarse beam for the bulk, nA, or several to choose from.")
        private double[] currents;

        @Option(
                names = "--bulk-step-nm",
                paramLabel = "P",
                split = ",",
                description = "Distance of dwell points in the bulk, nm, or several to choose from.")
        private double[] steps;

        @Option(
                names = "--beam-change-min",
                paramLabel = "T",
                description = "Time from one exposure to the other: current, focus, alignment, min (default: 0).")
        private Double changeMin;

        /** The table of the coarse beam, if both are to be planned. */
        private Optional<Path> table(Path fine) {
            Path beside = fine.toAbsolutePath().resolveSibling(DosesInput.BULK);
            if (currents == null && steps == null) {
                if (changeMin != null) {
                    throw new UsageException("--beam-change-min goes with --bulk-current-na and --bulk-step-nm");
                }
                return Optional.empty();
            }
            if (currents == null || steps == null) {
                throw new UsageException("--bulk-current-na and --bulk-step-nm go together");
            }
            if (!Files.exists(beside)) {
                throw new UsageException("--bulk-current-na: there is no " + DosesInput.BULK
                        + " beside the doses; correct with --rim-um and --bulk-psf first");
            }
            return Optional.of(beside);
        }
    }

    /** What the tool can do. */
    static final class Tool {
        @Option(
                names = "--clock-mhz",
                paramLabel = "F",
                description = "Highest rate of points, MHz (default: no limit).")
        private Double clockMhz;

        @Option(
                names = "--field-um",
                paramLabel = "S",
                description = "Side of a writing field, um (default: one field).")
        private Double fieldUm;

        @Option(
                names = "--settle-piece-us",
                paramLabel = "T",
                description = "Time lost at each piece, us (default: 0).")
        private Double settlePieceUs;

        @Option(names = "--settle-field-s", paramLabel = "T", description = "Time lost at each field, s (default: 0).")
        private Double settleFieldS;

        @Option(names = "--stage-move-s", paramLabel = "T", description = "Time of a move to a field, s (default: 0).")
        private Double stageMoveS;

        @Option(
                names = "--loading-min",
                paramLabel = "T",
                description = "Time to load and pump, min (default: 15, common practice).")
        private Double loadingMin;

        @Option(
                names = "--beam-table",
                paramLabel = "CSV",
                description =
                        "Beam diameters: columns current_na, beam_nm. Steps beyond half the beam are refused then.")
        private Path beamTable;

        @Option(names = "--max-beam-nm", paramLabel = "D", description = "Largest beam wanted, nm; needs --beam-table.")
        private Double maxBeamNm;
    }

    /** What is to be written. */
    static final class Job {
        @Option(names = "--repeats", paramLabel = "N", description = "How often the layout is written (default: 1).")
        private Integer repeats;

        @Option(names = "--slot-h", paramLabel = "T", description = "Length of the booked slot, h (default: no limit).")
        private Double slotH;

        @Option(
                names = "--feature-nm",
                paramLabel = "W",
                description = "Smallest feature, nm, for shot noise (default: the smallest side of any shape).")
        private Double featureNm;
    }

    @Override
    public Integer call() {
        PrintWriter out = spec.commandLine().getOut();
        Path table = Files.isDirectory(doses) ? doses.resolve(TABLE) : doses;
        Path folder = run.folder(
                Files.isDirectory(doses) ? doses : table.toAbsolutePath().getFileName(), "-plan");
        try (OutputFolder output = run.open(folder, spec.commandLine().getErr())) {
            StoredDoses stored = DoseTableReader.read(doses);
            DosedPieces pieces = pieces(stored, table);
            double base = baseDose(stored.baseDoseUcPerCm2(), table);
            WritePlan plan = plan(pieces, settings(base, tool.maxBeamNm), currents, steps);
            Optional<TwoBeamPlan> pair = bulk.table(table).map(file -> pair(plan, base, file));
            if (pair.isEmpty() && Files.exists(table.toAbsolutePath().resolveSibling(DosesInput.BULK))) {
                spec.commandLine()
                        .getErr()
                        .println(
                                "evendose: note: planned is the fine exposure alone; --bulk-current-na and --bulk-step-nm plan"
                                        + " the bulk with it");
            }
            List<Picture> pictures = PlanPictures.all(plan, pieces);
            String version = CommandLineTool.Version.number();
            String forScripts = pair.map(both -> WritePlanFiles.json(both, table.toString(), version))
                    .orElseGet(() -> WritePlanFiles.json(plan, table.toString(), version));
            BULK_TABLES.forEach(output::without);
            output.write("plan.json", forScripts);
            tables(output, "plan-", plan);
            pair.ifPresent(both -> tables(output, "bulk-plan-", both.bulk()));
            pictures.forEach(picture -> picture.write(output));
            output.write(
                    "plan.html",
                    pair.map(both -> PlanPage.html(both, pictures, table.toString(), version))
                            .orElseGet(() -> PlanPage.html(plan, pictures, table.toString(), version)));
            output.commit();
            if (json) {
                out.print(forScripts);
            } else {
                print(out, plan);
                pair.ifPresent(both -> BulkText.print(out, both));
                Written.of(folder, output).print(out);
                Written.next(out, "read %s", folder.resolve("plan.html"));
            }
            out.flush();
            boolean feasible =
                    pair.map(TwoBeamPlan::feasible).orElse(plan.choice().feasible());
            return (feasible ? ExitCode.DONE : ExitCode.LIMIT).number();
        }
    }

    private static DosedPieces pieces(StoredDoses stored, Path table) {
        DosedPieces pieces = DosedPieces.of(stored);
        if (pieces.size() == 0) {
            throw new BadInputException(table.toString(), "", "holds no piece");
        }
        return pieces;
    }

    private static WritePlan plan(DosedPieces pieces, WriterSettings settings, double[] currents, double[] steps) {
        try {
            return WritePlanner.plan(pieces, settings, currents, steps);
        } catch (IllegalArgumentException e) {
            throw new UsageException(e.getMessage());
        }
    }

    /** Both exposures; the largest beam wanted is that of the fine one. */
    private TwoBeamPlan pair(WritePlan fine, double base, Path file) {
        DosedPieces pieces = pieces(DoseTableReader.read(file), file);
        WritePlan coarse = plan(pieces, settings(base, null), bulk.currents, bulk.steps);
        try {
            return new TwoBeamPlan(fine, coarse, bulk.changeMin == null ? 0 : 60 * bulk.changeMin);
        } catch (IllegalArgumentException e) {
            throw new UsageException("--beam-change-min: " + e.getMessage());
        }
    }

    private static void tables(OutputFolder output, String begin, WritePlan plan) {
        output.write(begin + "levels.csv", WritePlanFiles.levelsCsv(plan));
        output.write(begin + "choices.csv", WritePlanFiles.choicesCsv(plan));
        output.write(begin + "filling.csv", WritePlanFiles.fillingCsv(plan));
        output.write(begin + "pieces.csv", WritePlanFiles.piecesCsv(plan));
        output.write(begin + "cuts.csv", WritePlanFiles.cutsCsv(plan));
    }

    /** The dose that was named, else the table's own. */
    private double baseDose(OptionalDouble ofTable, Path table) {
        if (baseDose == null && ofTable.isEmpty()) {
            throw new UsageException(table + " gives no absolute doses; name --base-dose-uc-per-cm2");
        }
        if (baseDose != null && ofTable.isPresent() && Math.abs(baseDose / ofTable.getAsDouble() - 1) > SAME_DOSE) {
            spec.commandLine()
                    .getErr()
                    .println(String.format(
                            Locale.ROOT,
                            "evendose: note: planned with %.6g uC/cm^2, but the table was made for %.6g uC/cm^2",
                            baseDose,
                            ofTable.getAsDouble()));
        }
        return baseDose != null ? baseDose : ofTable.getAsDouble();
    }

    private WriterSettings settings(double base, Double largestBeamNm) {
        try {
            WriterSettings.Builder builder = WriterSettings.builder(base);
            ifGiven(tool.clockMhz, builder::clockMhz);
            ifGiven(tool.fieldUm, builder::fieldUm);
            ifGiven(tool.settlePieceUs, builder::settlePerPieceUs);
            ifGiven(tool.settleFieldS, builder::settlePerFieldS);
            ifGiven(tool.stageMoveS, builder::stageMoveS);
            ifGiven(tool.loadingMin == null ? null : Double.valueOf(60 * tool.loadingMin), builder::loadingS);
            ifGiven(tool.beamTable == null ? null : BeamTable.read(tool.beamTable), builder::beam);
            ifGiven(largestBeamNm, builder::largestBeamNm);
            ifGiven(job.repeats, builder::copies);
            ifGiven(job.slotH == null ? null : Double.valueOf(3600 * job.slotH), builder::slotS);
            ifGiven(job.featureNm == null ? null : Double.valueOf(job.featureNm / 1e3), builder::featureUm);
            return builder.build();
        } catch (IllegalArgumentException e) {
            throw new UsageException(e.getMessage());
        }
    }

    private static void print(PrintWriter out, WritePlan plan) {
        PlanChoice choice = plan.choice();
        row(
                out,
                "exposed",
                "%,.6g um^2 in %d cop%s, %.6g uC",
                plan.exposedAreaUm2(),
                plan.settings().copies(),
                plan.settings().copies() == 1 ? "y" : "ies",
                plan.chargeUc());
        row(
                out,
                choice.feasible() ? "best" : "least bad",
                "%s nA with a step of %s nm%s",
                CommandLineTool.plain(choice.currentNa()),
                CommandLineTool.plain(choice.stepNm()),
                choice.beamNm().isPresent()
                        ? String.format(
                                Locale.ROOT, ", beam %.1f nm", choice.beamNm().getAsDouble())
                        : "");
        choice.obstacles().forEach(o -> row(out, "in the way", "%s", o));
        choice.cautions().forEach(c -> row(out, "caution", "%s", c));
        row(
                out,
                "rate of points",
                "up to %.4g MHz%s",
                choice.highestFrequencyMhz(),
                Double.isNaN(choice.highestCurrentNa())
                        ? ""
                        : String.format(
                                Locale.ROOT,
                                " (clock %.4g MHz; highest current %.4g nA)",
                                plan.settings().clockMhz().orElseThrow(),
                                choice.highestCurrentNa()));
        StepFilling filling = plan.filling();
        row(
                out,
                "filling",
                "%,d points a copy; whole steps put the dose off by %s %% rms, by over 5 %% on %s %% of the area",
                filling.points(),
                NumberText.plain(100 * filling.rmsError(), 3),
                NumberText.plain(100 * filling.areaOver5Percent(), 2));
        SmallestFeature f = plan.feature();
        row(
                out,
                "shot noise",
                "%.2f %% (1 sigma) on %.4g nm, %,.0f electrons",
                100 * f.relativeSpread(),
                1e3 * f.sideUm(),
                f.electrons());
        plan.fields()
                .ifPresent(fields -> row(
                        out,
                        "fields",
                        "%,d of %.4g um a copy; borders cut %,d shapes",
                        fields.count(),
                        fields.fieldUm(),
                        fields.cutShapes()));
        row(
                out,
                "time",
                "%s: beam on %s, loading %s, settling at %,d pieces %s, fields and moves %s",
                PlanPage.duration(choice.totalS()),
                PlanPage.duration(choice.beamOnS()),
                PlanPage.duration(plan.settings().loadingS()),
                plan.partsWritten(),
                PlanPage.duration(plan.pieceSettlingS()),
                PlanPage.duration(plan.fieldSettlingS() + plan.stageMovesS()));
        plan.slotLeftS()
                .ifPresent(left -> row(
                        out,
                        "slot",
                        "%s; %d cop%s would fit",
                        left >= 0 ? PlanPage.duration(left) + " left" : PlanPage.duration(-left) + " too short",
                        plan.copiesInSlot().orElse(0),
                        plan.copiesInSlot().orElse(0) == 1 ? "y" : "ies"));
    }
}
