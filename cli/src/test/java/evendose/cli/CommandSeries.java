package evendose.cli;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;

/**
 * Runs commands one after the other in the folder that this Java was begun in, and ends with 1 at the first that does not end
 * with 0. Words are separated by tabs, commands by lines.
 */
final class CommandSeries {
    private CommandSeries() {}

    public static void main(String[] args) throws IOException {
        for (String command : Files.readAllLines(Path.of(args[0]))) {
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
}
