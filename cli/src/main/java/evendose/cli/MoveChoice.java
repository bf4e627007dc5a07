package evendose.cli;

import static evendose.cli.CommandLineTool.row;

import evendose.correction.CorrectionOptions;
import evendose.correction.Criterion;
import evendose.correction.DrawnPattern;
import evendose.correction.EdgeMoves;
import evendose.files.NumberText;
import evendose.files.OutputFolder;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.report.MovedEdgesFiles;
import evendose.verification.EdgeMovement;
import evendose.verification.EdgeMovement.Left;
import java.io.PrintWriter;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import picocli.CommandLine.Option;

/** The options that move parts of the outline where no dose puts the edge where it is drawn. */
final class MoveChoice {
    private static final String MOVE = "--move-edges";
    private static final String MOST = "--most-move-nm";

    /** Places printed that are not mended. */
    private static final int MOST_SHOWN = 3;

    @Option(
            names = MOVE,
            description =
                    "Where doses leave an edge farther off than the verdict allows (--allowed-edge-nm), expose that part of the"
                            + " outline elsewhere, by whole steps of the grid, and find doses anew until edges lie where they are drawn"
                            + " (default: no edge moves). Moves that win nothing are taken back. Corrects several times.")
    private boolean move;

    @Option(
            names = MOST,
            paramLabel = "M",
            description =
                    "How far " + MOVE + " may move a part, nm (default: one direct range). Never more than a quarter"
                            + " of the line or gap beside it.")
    private Double mostNm;

    /** Whether edges may move. */
    boolean isGiven() {
        return move;
    }

    /**
     * Refuses what does not go with moved edges.
     *
     * @param options how to correct
     * @param alone options that were given and do not go with them
     */
    void check(CorrectionOptions options, List<String> alone) {
        if (mostNm != null && !move) {
            throw new UsageException(MOST + " goes with " + MOVE);
        }
        if (mostNm != null && !(mostNm > 0 && Double.isFinite(mostNm))) {
            throw new UsageException(MOST + " must be positive, got " + mostNm);
        }
        if (move && options.criterion() != Criterion.EDGE) {
            throw new UsageException(MOVE + " goes with --criterion edge, which puts edges where they are drawn");
        }
        if (move && !alone.isEmpty()) {
            throw new UsageException(MOVE + " does not go with " + alone.get(0));
        }
    }

    /** What to move, if edges may. */
    Optional<EdgeMovement> find(
            DrawnPattern drawn,
            CorrectionOptions options,
            OptionalDouble allowedNm,
            Workers workers,
            Progress progress) {
        if (!move) {
            return Optional.empty();
        }
        double most = mostNm == null ? EdgeMovement.usualMostUm(options, drawn) : 1e-3 * mostNm;
        try {
            return Optional.of(EdgeMovement.of(drawn, options, allowedNm, most, workers, progress));
        } catch (IllegalArgumentException e) {
            throw new UsageException(MOST + ": " + e.getMessage());
        }
    }

    /** The options with what was found. */
    static CorrectionOptions chosen(Optional<EdgeMovement> movement, CorrectionOptions options) {
        return movement.map(m -> options.toBuilder().moves(m.moves()).build()).orElse(options);
    }

    static void write(Optional<EdgeMovement> movement, OutputFolder output) {
        movement.ifPresent(m -> output.write(EdgeMoves.FILE, MovedEdgesFiles.csv(m)));
    }

    /** Prints what moves, what that does to edges, and what is not mended. */
    static void print(PrintWriter out, EdgeMovement m) {
        double most = m.moved().stream()
                .mapToDouble(p -> 1e3 * Math.abs(p.move().outUm()))
                .max()
                .orElse(0);
        row(
                out,
                "moved edges",
                m.moved().isEmpty()
                        ? m.doses().troubled() == 0
                                ? "none: doses alone put them where they are drawn"
                                : "none: no move was found that wins anything"
                        : "%,d parts of the outline, by up to %s nm (up to %s nm allowed)",
                m.moved().size(),
                NumberText.plain(most, 4),
                NumberText.plain(m.mostNm(), 4));
        row(
                out,
                "",
                "edges off by %.2f nm rms, %.2f nm at worst with doses; %.2f and %.2f nm with both; %,d and %,d of %,d places not"
                        + " as drawn",
                m.doses().placementNm().rms(),
                m.doses().placementNm().max(),
                m.both().placementNm().rms(),
                m.both().placementNm().max(),
                m.doses().troubled(),
                m.both().troubled(),
                m.both().places());
        for (Left l : m.left().subList(0, Math.min(MOST_SHOWN, m.left().size()))) {
            row(
                    out,
                    "not mended",
                    "(%.3f, %.3f) um: %s: %s",
                    l.spot().xUm(),
                    l.spot().yUm(),
                    l.spot().what(),
                    l.why());
        }
        if (m.left().size() > MOST_SHOWN) {
            row(out, "", "and %,d more, in summary.json", m.left().size() - MOST_SHOWN);
        }
    }
}
