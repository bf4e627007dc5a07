package evendose.cli;

import evendose.parallel.Workers;
import picocli.CommandLine.Option;

/** The options that say how and where to run; shared by all commands that compute for long and write. */
final class RunOptions extends OutputOptions {
    @Option(
            names = "--threads",
            paramLabel = "N",
            description = "Threads to use (default: all cores); the result is the same.")
    private Integer threads;

    @Option(names = "--quiet", description = "Show no progress.")
    private boolean quiet;

    boolean quiet() {
        return quiet;
    }

    Workers workers() {
        int count = threads == null ? Runtime.getRuntime().availableProcessors() : threads;
        if (count < 1) {
            throw new UsageException("--threads must be at least 1, got " + count);
        }
        return Workers.of(count);
    }
}
