package evendose.cli;

import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;
import picocli.CommandLine.Model.ArgGroupSpec;
import picocli.CommandLine.Model.ArgSpec;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Model.OptionSpec;
import picocli.CommandLine.Model.PositionalParamSpec;

/** What is told about a command, in its order, whatever it is shown on: {@link HelpPage} or {@link ManPage}. */
final class CommandPage {
    /** What is explained, and the explanation. */
    record Entry(String name, String text) {}

    /** Explained things that belong together; the heading ends in a colon, that of what comes first is empty. */
    record Section(String heading, List<Entry> entries) {}

    private final CommandSpec spec;

    CommandPage(CommandSpec spec) {
        this.spec = spec;
    }

    /** The command with those above it: {@code evendose calibrate fit}. */
    String name() {
        return spec.qualifiedName();
    }

    /** What the command is for, in sentences. */
    List<String> opening() {
        return Stream.of(spec.usageMessage().header(), spec.usageMessage().description())
                .flatMap(Stream::of)
                .toList();
    }

    /** The command with what must be given; all else is in the list of options. */
    String synopsis() {
        StringBuilder words = new StringBuilder(name());
        boolean optional = false;
        for (PositionalParamSpec p : spec.positionalParameters()) {
            String label = p.arity().max() > 1 ? p.paramLabel() + "..." : p.paramLabel();
            words.append(' ').append(p.required() ? label : '[' + label + ']');
        }
        for (OptionSpec option : spec.options()) {
            if (option.required() && option.group() == null) {
                words.append(' ').append(option.longestName()).append(' ').append(value(option));
            } else {
                optional = true;
            }
        }
        if (!spec.subcommands().isEmpty()) {
            words.append(' ').append(spec.usageMessage().synopsisSubcommandLabel());
        }
        return words + (optional ? " [options]" : "");
    }

    /** Words, options by their groups, and what all commands have; without what is empty. */
    List<Section> sections() {
        List<Section> sections = new ArrayList<>();
        sections.add(new Section(
                "",
                spec.positionalParameters().stream()
                        .map(p -> new Entry(p.paramLabel(), sentence(p)))
                        .toList()));
        List<ArgSpec> own = new ArrayList<>();
        List<ArgSpec> common = new ArrayList<>();
        for (OptionSpec option : spec.options()) {
            if (option.group() == null) {
                (option.usageHelp() || option.versionHelp() || option.inherited() || spec.parent() == null
                                ? common
                                : own)
                        .add(option);
            }
        }
        sections.add(options("Options:", own));
        for (ArgGroupSpec group : spec.argGroups()) {
            sections.add(options(group.heading().strip().replace("%n", ""), group.args()));
        }
        sections.add(options(spec.parent() == null ? "Options:" : "Help:", common));
        sections.removeIf(section -> section.entries().isEmpty());
        return sections;
    }

    /** The commands below this one. */
    List<Entry> commands() {
        return spec.subcommands().entrySet().stream()
                .map(entry -> new Entry(
                        entry.getKey(),
                        String.join(
                                " ",
                                entry.getValue().getCommandSpec().usageMessage().header())))
                .toList();
    }

    /** Examples and what remains to be said; lines that begin with two blanks are to stay as they are. */
    List<String> footer() {
        return List.of(spec.usageMessage().footer());
    }

    private static Section options(String heading, Iterable<ArgSpec> options) {
        List<Entry> entries = new ArrayList<>();
        for (ArgSpec arg : options) {
            OptionSpec option = (OptionSpec) arg;
            String name = option.negatable()
                    ? option.longestName().replace("--", "--[no-]")
                    : String.join(", ", option.names());
            boolean takesValue =
                    option.arity().max() > 0 && !option.paramLabel().isEmpty();
            entries.add(new Entry(takesValue ? name + ' ' + value(option) : name, sentence(option)));
        }
        return new Section(heading, entries);
    }

    /** The value as it is typed; a list shows how it goes on. */
    private static String value(OptionSpec option) {
        String label = option.paramLabel();
        boolean list = option.splitRegex().equals(",") && !label.contains(",");
        return list ? label + "[," + label + "...]" : label;
    }

    private static String sentence(ArgSpec arg) {
        return String.join(" ", arg.description());
    }
}
