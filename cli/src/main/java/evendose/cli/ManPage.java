package evendose.cli;

import java.util.List;
import java.util.Locale;

/** The help of a command as a page for {@code man}, in roff with the macros of man(7). */
final class ManPage {
    private final CommandPage page;
    private final StringBuilder text = new StringBuilder();

    private ManPage(CommandPage page) {
        this.page = page;
    }

    /** File name without its section: {@code evendose-calibrate-fit}. */
    static String name(CommandPage page) {
        return page.name().replace(' ', '-');
    }

    /**
     * The text of the page.
     *
     * @param others names of pages to read as well
     */
    static String of(CommandPage page, String version, List<String> others) {
        return new ManPage(page).render(version, others);
    }

    private String render(String version, List<String> others) {
        String name = name(page);
        // Without a date: the version tells how old a page is, and the same build gives the same bytes.
        macro(String.format(".TH \"%s\" 1 \"\" \"evendose %s\"", plain(name.toUpperCase(Locale.ROOT)), plain(version)));
        // Names of files and options are not to be divided at the ends of lines.
        macro(".nh");
        macro(".ad l");
        heading("Name");
        String purpose = page.opening().get(0);
        line(name + " - " + purpose.substring(0, 1).toLowerCase(Locale.ROOT)
                + purpose.substring(1).replaceAll("\\.$", ""));
        heading("Synopsis");
        macro(".B " + plain(page.synopsis()));
        if (page.opening().size() > 1) {
            heading("Description");
            page.opening().stream().skip(1).forEach(this::line);
        }
        for (CommandPage.Section section : page.sections()) {
            heading(section.heading().isEmpty() ? "Arguments" : section.heading());
            entries(section.entries());
        }
        if (!page.commands().isEmpty()) {
            heading("Commands");
            entries(page.commands());
        }
        footer();
        heading("See also");
        line(String.join(", ", others.stream().map(other -> other + "(1)").toList()));
        return text.toString();
    }

    private void entries(List<CommandPage.Entry> entries) {
        for (CommandPage.Entry entry : entries) {
            macro(".TP");
            macro(".B " + plain(entry.name()));
            line(entry.text());
        }
    }

    /** Examples stand under a heading of their own; what follows them are notes. */
    private void footer() {
        boolean example = false;
        boolean headed = false;
        for (String line : page.footer()) {
            boolean asItIs = line.startsWith("  ");
            if (example && !asItIs) {
                macro(".fi");
                macro(".RE");
                example = false;
                headed = false;
            }
            if (asItIs) {
                if (!example) {
                    macro(".RS");
                    macro(".nf");
                }
                example = true;
                line(line.substring(2));
            } else if (line.matches("Examples?:")) {
                heading(line);
                headed = true;
            } else if (line.isEmpty()) {
                if (headed) {
                    macro(".PP");
                }
            } else {
                if (!headed) {
                    heading("Notes");
                    headed = true;
                }
                line(line);
            }
        }
        if (example) {
            macro(".fi");
            macro(".RE");
        }
    }

    /** In capitals, as man pages have it, but not the names of files in brackets. */
    private void heading(String words) {
        String title = words.replaceAll(":$", "");
        int bracket = title.indexOf('(');
        int end = bracket < 0 ? title.length() : bracket;
        macro(".SH " + plain(title.substring(0, end).toUpperCase(Locale.ROOT) + title.substring(end)));
    }

    private void macro(String line) {
        text.append(line).append('\n');
    }

    /** A line of text; one that begins like a macro is marked as none. */
    private void line(String line) {
        String escaped = plain(line);
        text.append(escaped.startsWith(".") || escaped.startsWith("'") ? "\\&" : "")
                .append(escaped)
                .append('\n');
    }

    /** Backslashes, hyphens and quotes that are to be copied as they are typed. */
    private static String plain(String words) {
        return words.replace("\\", "\\e")
                .replace("-", "\\-")
                .replace("'", "\\(aq")
                .replace("\"", "\\(dq");
    }
}
