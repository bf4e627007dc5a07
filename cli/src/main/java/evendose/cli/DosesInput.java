package evendose.cli;

import evendose.correction.CorrectionOptions;
import evendose.correction.Criterion;
import evendose.correction.DoseTableReader;
import evendose.correction.LayerRole;
import evendose.correction.RecordedRun;
import evendose.correction.StoredDoses;
import evendose.files.BadInputException;
import evendose.layout.Layer;
import evendose.psf.PsfFile;
import evendose.verification.Exposure;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** Doses from an earlier run, with what {@code summary.json} beside them tells; shared by commands that look at doses. */
final class DosesInput {
    /** Table of the coarse beam, where a correction took two. */
    static final String BULK = "bulk-doses.csv";

    @Parameters(
            index = "0",
            paramLabel = "DOSES",
            description = "Folder of a correction, its doses.csv, or its corrected.gds (with levels.csv beside it).")
    private Path file;

    @Option(
            names = "--layer",
            paramLabel = "L/D",
            description =
                    "Layer/datatype that the doses are for, if summary.json is not beside them; 1 alone is 1/0. Give it again"
                            + " for more.")
    private List<String> layers = new ArrayList<>();

    @Option(
            names = "--criterion",
            paramLabel = "edge|mean",
            description = "What the doses make equal (default: as recorded, else edge).")
    private String criterion;

    @Option(
            names = "--reference-density",
            paramLabel = "R",
            description =
                    "Density of the grating that has factor 1 (default: as recorded, else 0.5 for edge, 1 for mean).")
    private Double referenceDensity;

    @Option(
            names = "--bias-nm",
            paramLabel = "B",
            description = "How far outside the drawn outline pieces end, nm; negative if inside (default: as recorded,"
                    + " else 0).")
    private Double biasNm;

    @ArgGroup(exclusive = false, heading = "%nPoint spread function (default: as recorded in summary.json):%n")
    private PsfChoice psf = new PsfChoice();

    /** What was read: doses, options and where the point spread function comes from. */
    record Read(
            StoredDoses stored,
            Exposure exposure,
            List<String> cells,
            boolean windowed,
            String psfSource,
            double[] residualHistory) {}

    Path file() {
        return file;
    }

    Read read() {
        // Reading the doses first finishes what a killed run left between two results.
        StoredDoses stored = DoseTableReader.read(file);
        Path folder = Files.isDirectory(file) ? file : file.toAbsolutePath().getParent();
        if (Files.exists(folder.resolve(BULK))) {
            throw new BadInputException(
                    file.toString(),
                    "",
                    "holds the doses of one of two beams, which alone say little; summary.json and report.html beside it judge both"
                            + " together, and 'evendose plan' plans both");
        }
        Path beside = folder.resolve(RecordedRun.FILE);
        RecordedRun run = Files.exists(beside) ? RecordedRun.read(beside) : null;
        CorrectionOptions options = options(run);
        List<LayerRole> roles = roles(run, stored);
        return new Read(
                stored,
                Exposure.of(stored, roles, options, file.toString()),
                run == null ? List.of() : run.cells(),
                run != null && run.windowUm().isPresent(),
                psf.isGiven() ? psf.read().source() : run.psfSource(),
                run == null ? new double[0] : run.residualHistory());
    }

    private CorrectionOptions options(RecordedRun run) {
        if (run == null && !psf.isGiven()) {
            throw new UsageException("there is no summary.json beside " + file
                    + "; name the point spread function: --psf FILE_OR_SET, or --alpha-um, --beta-um and --eta");
        }
        PsfFile given = psf.isGiven() ? psf.read() : null;
        try {
            CorrectionOptions.Builder builder = CorrectionOptions.builder(
                    given != null ? given.psf() : run.options().psf());
            Criterion chosen = criterion != null
                    ? CorrectionChoice.criterion(criterion)
                    : run != null ? run.options().criterion() : Criterion.EDGE;
            builder.criterion(chosen);
            if (referenceDensity != null) {
                builder.referenceDensity(referenceDensity);
            } else if (run != null && run.options().criterion() == chosen) {
                builder.referenceDensity(run.options().referenceDensity());
            }
            if (run != null) {
                CorrectionOptions o = run.options();
                builder.maxPieceUm(o.maxPieceUm()).tolerance(o.tolerance()).oneDosePerShape(o.oneDosePerShape());
                builder.rules(o.rules()).longRange(o.longRange());
                builder.minFactor(o.minFactor()).maxFactor(o.maxFactor()).maxIterations(o.maxIterations());
                builder.biasUm(chosen == Criterion.EDGE ? o.biasUm() : 0);
                builder.moves(chosen == Criterion.EDGE ? o.moves() : List.of());
                o.levels().ifPresent(builder::levels);
                o.baseDoseUcPerCm2().ifPresent(builder::baseDoseUcPerCm2);
            }
            if (biasNm != null) {
                builder.biasUm(1e-3 * biasNm);
            }
            return builder.build();
        } catch (IllegalArgumentException e) {
            throw new UsageException(e.getMessage());
        }
    }

    private List<LayerRole> roles(RecordedRun run, StoredDoses stored) {
        if (!layers.isEmpty()) {
            try {
                return layers.stream()
                        .map(Layer::parse)
                        .distinct()
                        .map(LayerRole::corrected)
                        .toList();
            } catch (IllegalArgumentException e) {
                throw new UsageException(e.getMessage());
            }
        }
        if (run != null) {
            return run.roles();
        }
        return stored.layers().stream().map(LayerRole::corrected).toList();
    }
}
