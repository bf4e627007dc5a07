package evendose.cli;

import java.util.List;
import java.util.Map;
import picocli.CommandLine;

/**
 * The help text of a command on a terminal. Lines end between words only, never inside a file name, and the synopsis shows what
 * must be given; all else is in the list of options.
 */
final class HelpPage {
    /** Longest line. */
    static final int WIDTH = 110;

    private static final int INDENT = 2;
    private static final int DESCRIPTIONS = 30;
    private static final int COMMANDS = 14;

    private final CommandPage page;
    private final StringBuilder text = new StringBuilder();

    private HelpPage(CommandPage page) {
        this.page = page;
    }

    /** Lets a command line and all its commands show help in this form. */
    static void use(CommandLine line) {
        line.setHelpSectionKeys(List.of("page"));
        line.setHelpSectionMap(Map.of("page", help -> new HelpPage(new CommandPage(help.commandSpec())).render()));
    }

    private String render() {
        page.opening().forEach(line -> wrapped(line, 0));
        text.append('\n');
        wrapped("Usage: " + page.synopsis(), 7);
        page.sections().forEach(section -> entries(section.heading(), section.entries(), DESCRIPTIONS));
        if (!page.commands().isEmpty()) {
            entries("Commands:", page.commands(), COMMANDS);
        }
        for (String line : page.footer()) {
            if (line.startsWith("  ")) {
                text.append(line).append('\n');
            } else {
                wrapped(line, 0);
            }
        }
        return text.toString();
    }

    private void entries(String heading, List<CommandPage.Entry> entries, int column) {
        text.append('\n').append(heading).append(heading.isEmpty() ? "" : "\n");
        for (CommandPage.Entry entry : entries) {
            StringBuilder line = new StringBuilder(" ".repeat(INDENT)).append(entry.name());
            if (line.length() >= column - 1) {
                text.append(line).append('\n');
                line.setLength(0);
            }
            text.append(line).append(" ".repeat(column - line.length()));
            wrapped(entry.text(), column);
        }
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
