package evendose.cli;

import evendose.correction.CorrectionOptions;
import evendose.correction.LongRange;
import java.util.ArrayList;
import java.util.List;

/**
 * What was asked for beside each other, where not all goes with all.
 *
 * @param window doses of a window
 * @param bias a bias, be it 0
 * @param autoBias a bias that is to be found
 * @param edges moved edges
 * @param bulk two beams
 * @param options all that was asked for
 */
record GivenTogether(
        boolean window, boolean bias, boolean autoBias, boolean edges, boolean bulk, CorrectionOptions options) {
    /** What is not there in tiles. */
    List<String> notInTiles() {
        List<String> given = new ArrayList<>();
        add(given, autoBias, "--bias-nm auto");
        add(given, edges, "--move-edges");
        add(given, bulk, "two beams");
        return given;
    }

    /** What is not there for two beams. */
    List<String> notWithTwoBeams() {
        List<String> given = new ArrayList<>();
        add(given, window, "--window");
        add(given, bias, "--bias-nm");
        add(given, edges, "--move-edges");
        add(given, !options.longRange().equals(LongRange.NONE), "fogging or a loading of the development");
        return given;
    }

    /** What is not there for moved edges; two beams are refused by themselves. */
    List<String> notWithMovedEdges() {
        List<String> given = new ArrayList<>();
        add(given, window, "--window");
        add(given, bias, "--bias-nm, which moves all edges");
        add(given, options.longRange().loading().isPresent(), "a loading of the development");
        return given;
    }

    private static void add(List<String> given, boolean asked, String what) {
        if (asked) {
            given.add(what);
        }
    }
}
