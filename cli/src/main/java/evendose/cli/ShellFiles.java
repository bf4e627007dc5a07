package evendose.cli;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;
import picocli.AutoComplete;
import picocli.CommandLine;

/**
 * Writes what a shell wants to know about the command line: a man page for each command, and completion for bash. The build runs
 * it; folders are those that {@code man} and bash look into below {@code /usr/share} and {@code ~/.local/share}.
 */
public final class ShellFiles {
    private static final String MAN = "man/man1";
    private static final String COMPLETION = "bash-completion/completions";

    private ShellFiles() {}

    /**
     * Writes into the folder that the first argument names.
     *
     * @param args the folder, and the version to be shown
     * @throws IOException if the folder cannot be written to
     */
    public static void main(String[] args) throws IOException {
        write(Path.of(args[0]), args[1]);
    }

    static void write(Path folder, String version) throws IOException {
        CommandLine root = CommandLineTool.commandLine();
        List<CommandLine> all = withCommandsBelow(root).toList();
        Path man = Files.createDirectories(folder.resolve(MAN));
        for (CommandLine command : all) {
            CommandPage page = page(command);
            Files.writeString(man.resolve(ManPage.name(page) + ".1"), ManPage.of(page, version, related(command)));
        }
        String name = root.getCommandName();
        Path completion = Files.createDirectories(folder.resolve(COMPLETION));
        Files.writeString(completion.resolve(name), AutoComplete.bash(name, root));
    }

    private static Stream<CommandLine> withCommandsBelow(CommandLine command) {
        return Stream.concat(
                Stream.of(command), command.getSubcommands().values().stream().flatMap(ShellFiles::withCommandsBelow));
    }

    /** The pages of the command above and of those below, or else of those beside. */
    private static List<String> related(CommandLine command) {
        List<String> names = new ArrayList<>();
        CommandLine above = command.getParent();
        if (above != null) {
            names.add(ManPage.name(page(above)));
        }
        (command.getSubcommands().isEmpty() ? above : command)
                .getSubcommands().values().stream()
                        .filter(other -> other != command)
                        .forEach(other -> names.add(ManPage.name(page(other))));
        return names;
    }

    private static CommandPage page(CommandLine command) {
        return new CommandPage(command.getCommandSpec());
    }
}
