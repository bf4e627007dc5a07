package evendose.report;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Locale;

/**
 * A page put together section by section: everything is inside it, text is escaped. Methods add to its end and return it.
 */
final class HtmlPage {
    private static final String STYLE = "report.css";

    /** What tables with many columns of words and numbers ask for beyond the common style. */
    private static final String MORE_STYLE = """
            table.mixed { width: auto; }
            .mixed td, .mixed th { padding-right: 16px; }
            .mixed td { white-space: nowrap; }
            .mixed td.text:last-child { white-space: normal; min-width: 270px; }
            header p.lead { margin: -12px 0 20px; font-size: 14px; letter-spacing: 0; overflow-wrap: anywhere; }
            .mixed .text { text-align: left; }
            .mixed tr.chosen td { background: #eef3f8; font-weight: 600; }
            .scroll { overflow-x: auto; }
            .caution { border-left: 5px solid var(--care); padding-left: 12px; }
            figure svg { display: block; width: 100%; height: auto; }
            section p { max-width: 760px; margin: 0 0 12px; }
            """;

    private final StringBuilder body = new StringBuilder();
    private final String title;
    private final String style;
    private boolean open;

    /**
     * Begins a page in the common style.
     *
     * @param kind what kind of page it is, in small type above the title
     */
    HtmlPage(String kind, String title) {
        this(kind, title, "", "");
    }

    /**
     * Begins a page whose tables have many columns of words and numbers.
     *
     * @param kind what kind of page it is, in small type above the title
     * @param lead what it is about, one sentence
     */
    HtmlPage(String kind, String title, String lead) {
        this(kind, title, "<p class=\"lead\">" + Html.text(lead) + "</p>", MORE_STYLE);
    }

    private HtmlPage(String kind, String title, String lead, String moreStyle) {
        this.title = title;
        this.style = commonStyle() + moreStyle;
        body.append("<header><p>")
                .append(Html.text(kind))
                .append("</p><h1>")
                .append(Html.text(title))
                .append("</h1>")
                .append(lead)
                .append("</header>\n<main>\n");
    }

    private static String commonStyle() {
        try (var in = HtmlPage.class.getResourceAsStream(STYLE)) {
            return new String(in.readAllBytes(), StandardCharsets.UTF_8);
        } catch (IOException e) {
            throw new IllegalStateException("the program's own " + STYLE + " cannot be read", e);
        }
    }

    private HtmlPage begin(String section) {
        end();
        body.append(section);
        open = true;
        return this;
    }

    private void end() {
        if (open) {
            body.append("</section>\n");
            open = false;
        }
    }

    /** Begins a section. */
    HtmlPage heading(String text) {
        return begin("<section><h2>" + Html.text(text) + "</h2>\n");
    }

    /** Begins a section that links may point to. */
    HtmlPage heading(String id, String text) {
        return begin("<section id=\"" + id + "\"><h2>" + Html.text(text) + "</h2>\n");
    }

    /**
     * The answer in one sentence, in a section of its own.
     *
     * @param mark {@code good}, {@code care}, or empty if it is neither
     */
    HtmlPage verdict(String mark, String text) {
        String classes = mark.isEmpty() ? "verdict" : "verdict " + mark;
        return begin("<section class=\"" + classes + "\"><p>" + Html.text(text) + "</p>\n");
    }

    /**
     * The answer in a section of its own: the first sentence large, the others below it.
     *
     * @param mark {@code good}, {@code care}, or empty if it is neither
     */
    HtmlPage verdict(String mark, List<String> sentences) {
        verdict(mark, sentences.get(0));
        sentences
                .subList(1, sentences.size())
                .forEach(s ->
                        body.append("<p class=\"more\">").append(Html.text(s)).append("</p>\n"));
        return this;
    }

    /** Large figures side by side: value, name, value, name, ... */
    HtmlPage figures(String... valuesAndNames) {
        body.append("<div class=\"figures\">");
        for (int k = 0; k < valuesAndNames.length; k += 2) {
            body.append("<div><b>")
                    .append(Html.text(valuesAndNames[k]))
                    .append("</b><span>")
                    .append(Html.text(valuesAndNames[k + 1]))
                    .append("</span></div>");
        }
        body.append("</div>");
        return this;
    }

    HtmlPage text(String text) {
        body.append("<p>").append(Html.text(text)).append("</p>\n");
        return this;
    }

    /** Something in small type. */
    HtmlPage note(String text) {
        body.append("<p class=\"note\">").append(Html.text(text)).append("</p>\n");
        return this;
    }

    /** Something to take care of. */
    HtmlPage caution(String text) {
        body.append("<p class=\"caution\">").append(Html.text(text)).append("</p>\n");
        return this;
    }

    /** Several things to take care of. */
    HtmlPage cautions(List<String> texts) {
        return list("<ul class=\"cautions\">", texts, "</ul>");
    }

    /** Steps to follow, numbered. */
    HtmlPage steps(List<String> steps) {
        return list("<ol>", steps, "</ol>");
    }

    private HtmlPage list(String start, List<String> items, String end) {
        body.append(start).append('\n');
        items.forEach(item -> body.append("<li>").append(Html.text(item)).append("</li>\n"));
        body.append(end).append('\n');
        return this;
    }

    /** A digest or the like. */
    HtmlPage code(String text) {
        body.append("<pre>").append(Html.text(text)).append("</pre>\n");
        return this;
    }

    /**
     * A table. Columns whose heading begins with {@code <} hold text and are aligned to the left.
     *
     * @param chosen index of the row to stress, or -1
     */
    HtmlPage table(List<String> headings, List<List<String>> rows, int chosen) {
        body.append("<div class=\"scroll\"><table class=\"mixed\">\n<thead><tr>");
        for (String h : headings) {
            boolean left = h.startsWith("<");
            body.append(left ? "<th scope=\"col\" class=\"text\">" : "<th scope=\"col\">")
                    .append(Html.text(left ? h.substring(1) : h))
                    .append("</th>");
        }
        body.append("</tr></thead>\n");
        for (int r = 0; r < rows.size(); r++) {
            body.append(r == chosen ? "<tr class=\"chosen\">" : "<tr>");
            for (int c = 0; c < rows.get(r).size(); c++) {
                body.append(headings.get(c).startsWith("<") || c == 0 ? "<td class=\"text\">" : "<td>")
                        .append(Html.text(rows.get(r).get(c)))
                        .append("</td>");
            }
            body.append("</tr>\n");
        }
        body.append("</table></div>\n");
        return this;
    }

    /** Begins a table of facts, a {@link #row} each; {@link #endRows} ends it. */
    HtmlPage facts() {
        body.append("<table class=\"facts\">\n");
        return this;
    }

    /** Begins a table of numbers, a {@link #row} for each thing; {@link #endRows} ends it. */
    HtmlPage numbers(String... headings) {
        body.append("<table>\n");
        return headings(headings);
    }

    /** Begins a table of words, a {@link #row} for each thing; {@link #endRows} ends it. */
    HtmlPage words(String... headings) {
        body.append("<table class=\"words\">\n");
        return headings(headings);
    }

    private HtmlPage headings(String... names) {
        body.append("<thead><tr>");
        for (String name : names) {
            body.append("<th scope=\"col\">").append(Html.text(name)).append("</th>");
        }
        body.append("</tr></thead>\n");
        return this;
    }

    /** A row that tells of {@code head}. */
    HtmlPage row(String head, String... values) {
        body.append("<tr><th scope=\"row\">").append(Html.text(head)).append("</th>");
        for (String value : values) {
            body.append("<td>").append(Html.text(value)).append("</td>");
        }
        body.append("</tr>\n");
        return this;
    }

    /** A row that tells of a place, which leads to it on the map. */
    HtmlPage place(double xUm, double yUm, String what) {
        String where = String.format(Locale.ROOT, "%.3f, %.3f", xUm, yUm);
        body.append("<tr><th scope=\"row\"><a href=\"#doses\" data-x=\"")
                .append(xUm)
                .append("\" data-y=\"")
                .append(yUm)
                .append("\">")
                .append(where)
                .append("</a></th><td>")
                .append(Html.text(what))
                .append("</td></tr>\n");
        return this;
    }

    /** Something of the program's own that is HTML already. */
    HtmlPage own(String html) {
        body.append(html);
        return this;
    }

    HtmlPage endRows() {
        body.append("</table>\n");
        return this;
    }

    HtmlPage picture(Picture picture) {
        body.append(Html.figure(picture));
        return this;
    }

    /** The picture of that name, if there is one. */
    HtmlPage picture(List<Picture> pictures, String name) {
        pictures.stream().filter(p -> p.name().equals(name)).forEach(this::picture);
        return this;
    }

    /** Two pictures side by side. */
    HtmlPage pair(Picture left, Picture right) {
        body.append("<div class=\"pair\">\n");
        picture(left);
        picture(right);
        body.append("</div>\n");
        return this;
    }

    /** A drawing given as an SVG element. */
    HtmlPage drawing(String svg, String caption) {
        body.append("<figure>")
                .append(svg)
                .append("<figcaption>")
                .append(Html.text(caption))
                .append("</figcaption></figure>\n");
        return this;
    }

    /** The whole page. */
    String finish() {
        return finishWith("");
    }

    /** The whole page, with a script of the program's own at its end. */
    String finishWith(String script) {
        end();
        return "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                + "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>" + Html.text(title)
                + " - evendose</title>\n<link rel=\"icon\" href=\"data:,\">\n<style>\n" + style
                + "</style>\n</head>\n<body>\n" + body + "</main>\n" + script + "</body>\n</html>\n";
    }

    /** The whole page, with a last line. */
    String finish(String footer) {
        end();
        return note(footer).finish();
    }
}
