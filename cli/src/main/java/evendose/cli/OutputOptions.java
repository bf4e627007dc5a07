package evendose.cli;

import evendose.files.OutputFolder;
import java.io.PrintWriter;
import java.nio.file.Path;
import picocli.CommandLine.Option;

/** The options that say where to write; shared by all commands. */
class OutputOptions {
    @Option(
            names = "--out",
            paramLabel = "DIR",
            description =
                    "Folder for the output, made along with its parents (default: named after the input; 'verify' and"
                            + " 'psf' write nothing then).")
    private Path out;

    @Option(names = "--force", description = "Replace files of an earlier run.")
    private boolean force;

    /** Whether the user named a folder for the output. */
    final boolean hasOut() {
        return out != null;
    }

    /** Whether files of an earlier run may be replaced. */
    final boolean force() {
        return force;
    }

    /** The folder named by the user, or one in the current folder named after the input. */
    final Path folder(Path input, String suffix) {
        if (out != null) {
            return out;
        }
        String name = String.valueOf(input.getFileName());
        int dot = name.indexOf('.', 1);
        return Path.of((dot > 0 ? name.substring(0, dot) : name) + suffix);
    }

    /**
     * Opens a folder for output; nothing unfinished stays in it, also if the process is told to end, for instance by Ctrl-C.
     * What killed runs left there is told on {@code err}.
     */
    final OutputFolder open(Path folder, PrintWriter err) {
        OutputFolder output = Interruption.open(folder, force);
        int left = output.removedLeftovers().size();
        if (left > 0) {
            err.printf(
                    "evendose: note: removed what %s left unfinished in %s%n",
                    left == 1 ? "a killed run" : left + " killed runs",
                    output.removedLeftovers().get(0).getParent());
        }
        return output;
    }
}
