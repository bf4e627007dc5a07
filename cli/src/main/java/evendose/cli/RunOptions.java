package evendose.cli;

import evendose.files.OutputFolder;
import evendose.parallel.Workers;
import java.io.PrintWriter;
import java.nio.file.Path;
import picocli.CommandLine.Option;

/** The options that say how and where to run; shared by all commands that compute and write. */
final class RunOptions {
    @Option(
            names = "--threads",
            paramLabel = "N",
            description = "Threads to use (default: all cores); the result is the same.")
    private Integer threads;

    @Option(
            names = "--out",
            paramLabel = "DIR",
            description = "Folder for the output (default: named after the input).")
    private Path out;

    @Option(names = "--force", description = "Replace files of an earlier run.")
    private boolean force;

    @Option(names = "--quiet", description = "Show no progress.")
    private boolean quiet;

    boolean quiet() {
        return quiet;
    }

    /** Whether the user named a folder for the output. */
    boolean hasOut() {
        return out != null;
    }

    Workers workers() {
        int count = threads == null ? Runtime.getRuntime().availableProcessors() : threads;
        if (count < 1) {
            throw new UsageException("--threads must be at least 1, got " + count);
        }
        return Workers.of(count);
    }

    /** The folder named by the user, or one in the current folder named after the input. */
    Path folder(Path input, String suffix) {
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
    OutputFolder open(Path folder, PrintWriter err) {
        return open(folder, force, err);
    }

    static OutputFolder open(Path folder, boolean force, PrintWriter err) {
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
