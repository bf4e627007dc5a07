package evendose.report;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.List;

/**
 * A page in the style of the correction report, put together section by section: everything is inside it, text is escaped,
 * there is no script. Methods add to its end and return it.
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
    private boolean open;

    /**
     * Begins a page.
     *
     * @param kind what kind of page it is, in small type above the title
     * @param lead what it is about, one sentence
     */
    HtmlPage(String kind, String title, String lead) {
        this.title = title;
        body.append("<header><p>")
                .append(Html.text(kind))
                .append("</p><h1>")
                .append(Html.text(title))
                .append("</h1><p class=\"lead\">")
                .append(Html.text(lead))
                .append("</p></header>\n<main>\n");
    }

    private void end() {
        if (open) {
            body.append("</section>\n");
            open = false;
        }
    }

    HtmlPage heading(String text) {
        end();
        body.append("<section><h2>").append(Html.text(text)).append("</h2>\n");
        open = true;
        return this;
    }

    HtmlPage text(String text) {
        body.append("<p>").append(Html.text(text)).append("</p>\n");
        return this;
    }

    /** Something to take care of. */
    HtmlPage caution(String text) {
        body.append("<p class=\"caution\">").append(Html.text(text)).append("</p>\n");
        return this;
    }

    /** The answer in one sentence, in a section of its own. */
    HtmlPage verdict(boolean good, String text) {
        end();
        body.append("<section class=\"verdict")
                .append(good ? "" : " care")
                .append("\"><p>")
                .append(Html.text(text))
                .append("</p>\n");
        open = true;
        return this;
    }

    /** Steps to follow, numbered. */
    HtmlPage steps(List<String> steps) {
        body.append("<ol>\n");
        steps.forEach(step -> body.append("<li>").append(Html.text(step)).append("</li>\n"));
        body.append("</ol>\n");
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

    HtmlPage picture(Picture picture) {
        body.append(Html.figure(picture));
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

    /** The whole page, with a last line. */
    String finish(String footer) {
        end();
        return "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                + "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>" + Html.text(title)
                + " - evendose</title>\n<link rel=\"icon\" href=\"data:,\">\n<style>\n" + style() + MORE_STYLE
                + "</style>\n</head>\n<body>\n" + body + "<p class=\"note\">" + Html.text(footer)
                + "</p>\n</main>\n</body>\n</html>\n";
    }

    private static String style() {
        try (var in = HtmlPage.class.getResourceAsStream(STYLE)) {
            return new String(in.readAllBytes(), StandardCharsets.UTF_8);
        } catch (IOException e) {
            throw new IllegalStateException("the program's own " + STYLE + " cannot be read", e);
        }
    }
}
