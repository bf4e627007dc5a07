package evendose.cli;

import static evendose.cli.CommandLineTool.row;

import evendose.correction.DoseTable;
import evendose.correction.LongRange;
import evendose.verification.Exposure;
import java.io.PrintWriter;

/** What effects of long range a run or its check was made with, for people; nothing where there is none. */
final class LongRangeText {
    private LongRangeText() {}

    static void rows(PrintWriter out, DoseTable table) {
        rows(out, table.options().longRange());
        table.wantedOverUsual()
                .ifPresent(wanted -> row(
                        out,
                        "energy wanted",
                        "%.2f to %.2f %% of the usual, as the density about a unit is",
                        100 * wanted[0],
                        100 * wanted[1]));
    }

    static void rows(PrintWriter out, Exposure exposure) {
        rows(out, exposure.options().longRange());
        exposure.loadingDensities()
                .ifPresent(rho -> row(out, "densities", "%.3f to %.3f about the pieces", rho[0], rho[1]));
    }

    private static void rows(PrintWriter out, LongRange effects) {
        effects.fogging().ifPresent(f -> row(out, "fogging", "%s", f.words()));
        effects.loading().ifPresent(l -> row(out, "loading", "%s", l.words()));
    }
}
