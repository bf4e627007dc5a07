package evendose.cli;

import evendose.correction.CorrectionOptions;
import evendose.correction.DevelopmentLoading;
import evendose.correction.Fogging;
import evendose.correction.LongRange;
import evendose.files.NumberText;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.Locale;
import java.util.Optional;
import picocli.CommandLine.Option;

/** Options of effects that reach farther than scattering in the sample. */
final class LongRangeChoice {
    /** No column is larger: what is beyond was meant in micrometres. */
    private static final double MOST_MM = 500;

    @Option(
            names = "--fogging-percent",
            paramLabel = "P",
            description =
                    "Energy of electrons that come back from the column, percent of the direct energy (as eta is a ratio to it). The"
                            + " base dose stays that of a pattern much smaller than the range (default: no fogging).")
    private Double foggingPercent;

    @Option(
            names = "--fogging-range-mm",
            paramLabel = "R",
            description = "Range (1/e radius of a Gaussian) of the fogging, mm; goes with --fogging-percent.")
    private Double foggingRangeMm;

    @Option(
            names = "--loading-percent",
            paramLabel = "P",
            description =
                    "Energy that development needs in the midst of a large exposed area less the one with nothing exposed around,"
                            + " percent of the usual; linear in the density between, and 0 at --reference-density. Negative where dense"
                            + " parts need less (default: no loading).")
    private Double loadingPercent;

    @Option(
            names = "--loading-table",
            paramLabel = "CSV",
            description =
                    "Measured loading instead of --loading-percent: columns density (0 to 1, rising), target_percent (of the usual"
                            + " energy); linear between rows, held beyond them.")
    private Path loadingTable;

    @Option(
            names = "--loading-range-um",
            paramLabel = "L",
            description =
                    "Range (1/e radius of a Gaussian) over which the density is averaged, um; goes with --loading-percent or"
                            + " --loading-table.")
    private Double loadingRangeUm;

    /**
     * {@return the options with these effects}
     *
     * @param greyTone whether depths are wanted
     */
    CorrectionOptions addTo(CorrectionOptions options, boolean greyTone) {
        requireTogether();
        if (greyTone && loadingRangeUm != null) {
            throw new UsageException(
                    "--loading-range-um does not go with --depth: the contrast curve holds for one density");
        }
        try {
            return options.toBuilder()
                    .longRange(new LongRange(fogging(), loading(options.referenceDensity())))
                    .build();
        } catch (IllegalArgumentException e) {
            throw new UsageException(e.getMessage());
        }
    }

    private void requireTogether() {
        if ((foggingPercent == null) != (foggingRangeMm == null)) {
            throw new UsageException("--fogging-percent and --fogging-range-mm go together");
        }
        if (loadingPercent != null && loadingTable != null) {
            throw new UsageException("give either --loading-percent or --loading-table, not both");
        }
        if ((loadingPercent == null && loadingTable == null) != (loadingRangeUm == null)) {
            throw new UsageException("--loading-range-um goes together with --loading-percent or --loading-table");
        }
        if (foggingRangeMm != null && foggingRangeMm > MOST_MM) {
            throw new UsageException("--fogging-range-mm " + foggingRangeMm + " is more than " + MOST_MM
                    + " mm; if it is in um, write --fogging-range-mm " + NumberText.plain(foggingRangeMm / 1000, 5));
        }
    }

    private Optional<Fogging> fogging() {
        return Optional.ofNullable(foggingPercent).map(p -> new Fogging(p, foggingRangeMm));
    }

    private Optional<DevelopmentLoading> loading(double referenceDensity) {
        if (loadingRangeUm == null) {
            return Optional.empty();
        }
        return Optional.of(
                loadingTable != null
                        ? DevelopmentLoading.read(loadingTable, loadingRangeUm)
                        : DevelopmentLoading.linear(loadingPercent, loadingRangeUm, referenceDensity));
    }

    /**
     * Tells what the numbers leave open.
     *
     * @param options what was corrected with
     * @param densities smallest and largest density about units; empty without a loading of the development
     * @param part whether only some of what the layout holds is exposed
     */
    void printNotes(PrintWriter err, CorrectionOptions options, Optional<double[]> densities, boolean part) {
        if (foggingPercent != null) {
            note(
                    err,
                    (part ? "only a part of the layout is exposed here. " : "")
                            + "Fogging is that of what is exposed here; what else the beam writes within about two ranges ("
                            + NumberText.plain(2 * foggingRangeMm, 5) + " mm) adds fogging that is not known");
        }
        densities.ifPresent(found -> {
            double[] known = options.longRange().loading().orElseThrow().densities();
            double lowest = known[0];
            double highest = known[known.length - 1];
            if (found[0] < lowest || found[1] > highest) {
                note(
                        err,
                        String.format(
                                Locale.ROOT,
                                "densities from %.3f to %.3f; the loading is known from %.3f to %.3f only and held constant beyond",
                                found[0],
                                found[1],
                                lowest,
                                highest));
            }
        });
    }

    private static void note(PrintWriter err, String text) {
        err.println("evendose: note: " + CommandLineTool.oneLine(text));
    }
}
