package evendose.cli;

import evendose.files.BadInputException;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.stream.Stream;

/**
 * The folder beside the output in which a run in tiles keeps what it has done, until it has written all. If the run is interrupted or killed, the
 * same command with {@value #OPTION} goes on from there.
 */
final class UnfinishedRun {
    /** The option that goes on with a run. */
    static final String OPTION = "--resume";

    /** What was run: of another layout, version or command nothing can be gone on with. */
    private static final String RECORD = "run.txt";

    /** Options that change no result; some take a value. */
    private static final Set<String> FREE = Set.of(OPTION, "--force", "--quiet");

    private static final Set<String> FREE_WITH_VALUE = Set.of("--threads", "--memory-gb");

    private final Path folder;
    private final TileChoice.Plan plan;

    private UnfinishedRun(Path folder, TileChoice.Plan plan) {
        this.folder = folder;
        this.plan = plan;
    }

    /** Where a run into {@code target} keeps its work. */
    private static Path of(Path target) {
        Path absolute = target.toAbsolutePath().normalize();
        return absolute.resolveSibling(absolute.getFileName() + ".unfinished");
    }

    /**
     * Begins.
     *
     * @param target the folder for the output
     * @param force whether what an interrupted run left may be removed
     * @param what what is run, as {@link #what} gives it
     * @param plan the tiles
     */
    static UnfinishedRun begin(Path target, boolean force, List<String> what, TileChoice.Plan plan) {
        UnfinishedRun run = new UnfinishedRun(of(target), plan);
        if (Files.exists(run.folder)) {
            if (!force) {
                throw new BadInputException(
                        run.folder.toString(),
                        "",
                        "holds an interrupted run; go on with it by " + OPTION + ", or begin anew by --force");
            }
            run.remove();
        }
        List<String> lines = new ArrayList<>(what);
        lines.add("tiles " + plan.tiles());
        lines.add("units " + plan.units());
        try {
            Files.createDirectory(run.folder);
            Path beside = run.folder.resolve(RECORD + ".new");
            Files.write(beside, lines);
            Files.move(beside, run.folder.resolve(RECORD));
            return run;
        } catch (IOException e) {
            throw BadInputException.unwritable(run.folder, e);
        }
    }

    /**
     * Goes on.
     *
     * @param target the folder for the output
     * @param what what is run
     * @throws UsageException if there is no interrupted run, or it was another
     */
    static UnfinishedRun resume(Path target, List<String> what) {
        Path folder = of(target);
        List<String> before = record(folder);
        for (int k = 0; k < what.size(); k++) {
            if (!what.get(k).equals(before.get(k))) {
                throw new UsageException(
                        folder + " holds a run of something else, which cannot be gone on with: it had '"
                                + before.get(k) + "', this one '" + what.get(k) + "'; leave out " + OPTION
                                + " and add --force to begin anew");
            }
        }
        return new UnfinishedRun(
                folder,
                new TileChoice.Plan(
                        Integer.parseInt(value(before.get(what.size()))),
                        Double.parseDouble(value(before.get(what.size() + 1))),
                        "going on with an interrupted run; "));
    }

    /** The tiles of the run. */
    TileChoice.Plan plan() {
        return plan;
    }

    private static String value(String line) {
        return line.substring(line.indexOf(' ') + 1);
    }

    private static List<String> record(Path folder) {
        Path file = folder.resolve(RECORD);
        if (!Files.exists(file)) {
            throw new UsageException(
                    "there is no interrupted run to go on with: " + folder + " is not there; leave out " + OPTION);
        }
        try {
            return Files.readAllLines(file);
        } catch (IOException e) {
            throw BadInputException.unreadable(file, e);
        }
    }

    /**
     * Says what is run.
     *
     * @param layout the layout
     * @param arguments of the command
     * @param psf the point spread function
     */
    static List<String> what(Path layout, List<String> arguments, String psf) {
        StringBuilder options = new StringBuilder("arguments");
        for (int k = 0; k < arguments.size(); k++) {
            String argument = arguments.get(k);
            String name = argument.startsWith("--") ? argument.replaceFirst("=.*", "") : argument;
            if (FREE_WITH_VALUE.contains(name)) {
                k += argument.equals(name) ? 1 : 0;
            } else if (!FREE.contains(name)) {
                options.append(' ').append(argument.replace('\n', ' '));
            }
        }
        try {
            return List.of(
                    "evendose " + CommandLineTool.Version.number(),
                    "layout " + layout.toAbsolutePath().normalize() + ", " + Files.size(layout) + " bytes of "
                            + Files.getLastModifiedTime(layout),
                    options.toString(),
                    "psf " + psf.replace('\n', ' '));
        } catch (IOException e) {
            throw BadInputException.unreadable(layout, e);
        }
    }

    Path folder() {
        return folder;
    }

    /** Removes all of it. */
    void remove() {
        try (Stream<Path> files = Files.list(folder)) {
            for (Path file : files.toList()) {
                Files.deleteIfExists(file);
            }
            Files.delete(folder);
        } catch (IOException e) {
            throw BadInputException.unwritable(folder, e);
        }
    }
}
