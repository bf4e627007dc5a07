package evendose.cli;

import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.Map;
import picocli.CommandLine;
import picocli.CommandLine.Model.ArgGroupSpec;
import picocli.CommandLine.Model.ArgSpec;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Model.OptionSpec;
import picocli.CommandLine.Model.PositionalParamSpec;

/**
 * The help text of a command. Lines end between words only, never inside a file name, and the synopsis shows what must be given;
 * all else is in the list of options.
 */
final class HelpPage {
    /** Longest line. */
    static final int WIDTH = 110;

    private static final int INDENT = 2;
    private static final int DESCRIPTIONS = 30;
    private static final int COMMANDS = 14;

    private final CommandSpec spec;
    private final StringBuilder text = new StringBuilder();

    private HelpPage(CommandSpec spec) {
        this.spec = spec;
    }

    /** Lets a command line and all its commands show help in this form. */
    static void use(CommandLine line) {
        line.setHelpSectionKeys(List.of("page"));
        line.setHelpSectionMap(Map.of("page", help -> new HelpPage(help.commandSpec()).render()));
    }

    private String render() {
        for (String[] lines :
                List.of(spec.usageMessage().header(), spec.usageMessage().description())) {
            for (String line : lines) {
                wrapped(line, 0);
            }
        }
        text.append('\n');
        wrapped("Usage: " + synopsis(), 7);
        if (!spec.positionalParameters().isEmpty()) {
            text.append('\n');
            spec.positionalParameters().forEach(p -> entry(p.paramLabel(), DESCRIPTIONS, sentence(p)));
        }
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
        options("Options:", own);
        for (ArgGroupSpec group : spec.argGroups()) {
            options(group.heading().strip().replace("%n", ""), group.args());
        }
        options(spec.parent() == null ? "Options:" : "Help:", common);
        if (!spec.subcommands().isEmpty()) {
            text.append("\nCommands:\n");
            spec.subcommands()
                    .forEach((name, line) -> entry(
                            name,
                            COMMANDS,
                            String.join(
                                    " ", line.getCommandSpec().usageMessage().header())));
        }
        for (String line : spec.usageMessage().footer()) {
            if (line.startsWith("  ")) {
                text.append(line).append('\n');
            } else {
                wrapped(line, 0);
            }
        }
        return text.toString();
    }

    private String synopsis() {
        StringBuilder words = new StringBuilder(spec.qualifiedName());
        boolean optional = false;
        for (PositionalParamSpec p : spec.positionalParameters()) {
            String name = p.arity().max() > 1 ? p.paramLabel() + "..." : p.paramLabel();
            words.append(' ').append(p.required() ? name : '[' + name + ']');
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

    private void options(String heading, Collection<ArgSpec> options) {
        if (options.isEmpty()) {
            return;
        }
        text.append('\n').append(heading).append('\n');
        for (ArgSpec arg : options) {
            OptionSpec option = (OptionSpec) arg;
            String name = option.negatable()
                    ? option.longestName().replace("--", "--[no-]")
                    : String.join(", ", option.names());
            boolean takesValue =
                    option.arity().max() > 0 && !option.paramLabel().isEmpty();
            entry(takesValue ? name + ' ' + value(option) : name, DESCRIPTIONS, sentence(option));
        }
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

    private void entry(String name, int column, String description) {
        StringBuilder line = new StringBuilder(" ".repeat(INDENT)).append(name);
        if (line.length() >= column - 1) {
            text.append(line).append('\n');
            line.setLength(0);
        }
        text.append(line).append(" ".repeat(column - line.length()));
        wrapped(description, column);
    }

    /** Appends a paragraph whose first line begins at this column, already filled up to it. */
    private void wrapped(String paragraph, int column) {
        text.append(wrap(paragraph, column)).append('\n');
    }

    /** Breaks a text that begins at this column between words, and begins all other lines with as many blanks. */
    static String wrap(String paragraph, int column) {
        StringBuilder lines = new StringBuilder();
        int used = column;
        for (String word : paragraph.split(" ")) {
            if (used > column && used + 1 + word.length() > WIDTH) {
                lines.append('\n').append(" ".repeat(column));
                used = column;
            }
            if (used > column) {
                lines.append(' ');
                used++;
            }
            lines.append(word);
            used += word.length();
        }
        return lines.toString();
    }
}
