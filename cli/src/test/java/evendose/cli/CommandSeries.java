package evendose.cli;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;

/**
 * Runs commands one after the other in the folder that this Java was begun in, and ends with 1 at the first that does not end
 * with 0. Words are separated by tabs, commands by lines. A line that begins with {@link #COPY} copies a folder.
 */
final class CommandSeries {
    static final String COPY = "copy";

    private CommandSeries() {}

    public static void main(String[] args) throws IOException {
        for (String command : Files.readAllLines(Path.of(args[0]))) {
            if (command.startsWith(COPY + "\t")) {
                copy(Path.of(command.split("\t")[1]), Path.of(command.split("\t")[2]));
                continue;
            }
            long begun = System.nanoTime();
            Tool tool = Tool.run(List.of(command.split("\t")).toArray());
            System.out.printf(
                    "%.1f s, exit code %d: evendose %s%n",
                    (System.nanoTime() - begun) * 1e-9, tool.code(), command.replace('\t', ' '));
            if (tool.code() != 0) {
                System.out.println(tool.err() + tool.out());
                System.exit(1);
            }
        }
    }

    private static void copy(Path from, Path to) throws IOException {
        try (Stream<Path> all = Files.walk(from)) {
            for (Path path : all.toList()) {
                Files.copy(path, to.resolve(from.relativize(path)));
            }
        }
    }
}
