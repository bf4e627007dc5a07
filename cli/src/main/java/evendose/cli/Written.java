package evendose.cli;

import static evendose.cli.CommandLineTool.row;

import evendose.files.OutputFolder;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.List;

/**
 * What a command wrote and what to do with it: the last lines of its result.
 *
 * @param folder where it wrote
 * @param names the files, those to look at first in front
 */
record Written(Path folder, List<String> names) {
    /** A study writes five files a run; the first of them tell how the others are called. */
    private static final int MOST = 30;

    static Written of(Path folder, OutputFolder output) {
        return new Written(folder, output.names());
    }

    /** Prints where the files are and their names. */
    void print(PrintWriter out) {
        row(out, "output", "%s", folder);
        List<String> shown = names.subList(0, Math.min(MOST, names.size()));
        String more = names.size() > MOST ? String.format(" and %d more", names.size() - MOST) : "";
        String[] lines = HelpPage.wrap(String.join(", ", shown) + more, CommandLineTool.VALUES)
                .split("\n *");
        for (int i = 0; i < lines.length; i++) {
            row(out, i == 0 ? "files" : "", "%s", lines[i]);
        }
    }

    /** Prints what to do next. */
    static void next(PrintWriter out, String format, Object... values) {
        row(out, "next", format, values);
    }
}
