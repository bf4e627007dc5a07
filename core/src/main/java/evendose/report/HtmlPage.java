package evendose.report;

import java.util.Base64;
import java.util.List;

/**
 * A page that opens offline and prints well: everything is inside it, text is escaped, there is no script. Methods add to its end
 * and return it.
 */
final class HtmlPage {
    private static final String STYLE = """
            :root { color-scheme: light; }
            body { font: 15px/1.5 "Source Sans 3", "Segoe UI", "Liberation Sans", Arial, sans-serif; color: #20262c;
              background: #fff; max-width: 58rem; margin: 2.5rem auto 4rem; padding: 0 1.25rem; }
            h1 { font-size: 1.6rem; line-height: 1.2; margin: 0 0 .3rem; font-weight: 600; }
            h2 { font-size: 1.1rem; margin: 2.2rem 0 .6rem; padding-bottom: .25rem; border-bottom: 1px solid #ccd3d9;
              font-weight: 600; }
            p { margin: .5rem 0; max-width: 46rem; }
            .lead { color: #4a545e; }
            .note { border-left: 3px solid #c26a00; background: #fbf6ef; padding: .5rem .8rem; margin: .7rem 0; max-width: 46rem; }
            .good { border-left: 3px solid #1f5a96; background: #f1f5f9; padding: .5rem .8rem; margin: .7rem 0; max-width: 46rem; }
            table { border-collapse: collapse; margin: .7rem 0; font-variant-numeric: tabular-nums; font-size: .92rem; }
            th, td { padding: .22rem .8rem .22rem 0; text-align: right; border-bottom: 1px solid #e6eaee; vertical-align: top; }
            th { font-weight: 600; color: #4a545e; border-bottom-color: #8a949e; }
            td { white-space: nowrap; }
            td.text { white-space: normal; }
            th:first-child, td:first-child, td.text, th.text { text-align: left; }
            tr.chosen td { background: #f1f5f9; font-weight: 600; }
            .scroll { overflow-x: auto; }
            figure { margin: 1rem 0; break-inside: avoid; }
            figure img, figure svg { max-width: 100%; height: auto; display: block; }
            figcaption { color: #4a545e; font-size: .9rem; margin-top: .2rem; }
            footer { margin-top: 3rem; padding-top: .6rem; border-top: 1px solid #ccd3d9; color: #4a545e; font-size: .88rem; }
            code { font-family: "Source Code Pro", "DejaVu Sans Mono", monospace; font-size: .9em; overflow-wrap: anywhere; }
            @media print { body { margin: 0; max-width: none; font-size: 11px; } h2 { break-after: avoid; } tr { break-inside: avoid; } }
            """;

    private final StringBuilder body = new StringBuilder();
    private final String title;

    HtmlPage(String title, String lead) {
        this.title = title;
        body.append("<h1>").append(escape(title)).append("</h1>\n");
        body.append("<p class=\"lead\">").append(escape(lead)).append("</p>\n");
    }

    HtmlPage heading(String text) {
        body.append("<h2>").append(escape(text)).append("</h2>\n");
        return this;
    }

    HtmlPage text(String text) {
        body.append("<p>").append(escape(text)).append("</p>\n");
        return this;
    }

    /** Something to take care of. */
    HtmlPage caution(String text) {
        body.append("<p class=\"note\">").append(escape(text)).append("</p>\n");
        return this;
    }

    /** The answer in one sentence. */
    HtmlPage answer(String text) {
        body.append("<p class=\"good\">").append(escape(text)).append("</p>\n");
        return this;
    }

    /** Steps to follow, numbered. */
    HtmlPage steps(List<String> steps) {
        body.append("<ol>\n");
        steps.forEach(step -> body.append("<li>").append(escape(step)).append("</li>\n"));
        body.append("</ol>\n");
        return this;
    }

    /** A command line or the like. */
    HtmlPage code(String text) {
        body.append("<p><code>").append(escape(text)).append("</code></p>\n");
        return this;
    }

    /**
     * A table. Columns whose heading begins with {@code <} hold text and are aligned to the left.
     *
     * @param chosen index of the row to stress, or -1
     */
    HtmlPage table(List<String> headings, List<List<String>> rows, int chosen) {
        body.append("<div class=\"scroll\"><table>\n<tr>");
        for (String h : headings) {
            boolean left = h.startsWith("<");
            body.append(left ? "<th class=\"text\">" : "<th>")
                    .append(escape(left ? h.substring(1) : h))
                    .append("</th>");
        }
        body.append("</tr>\n");
        for (int r = 0; r < rows.size(); r++) {
            body.append(r == chosen ? "<tr class=\"chosen\">" : "<tr>");
            for (int c = 0; c < rows.get(r).size(); c++) {
                body.append(headings.get(c).startsWith("<") ? "<td class=\"text\">" : "<td>")
                        .append(escape(rows.get(r).get(c)))
                        .append("</td>");
            }
            body.append("</tr>\n");
        }
        body.append("</table></div>\n");
        return this;
    }

    HtmlPage picture(Picture picture) {
        body.append("<figure><img alt=\"")
                .append(escape(picture.caption()))
                .append("\" src=\"data:image/png;base64,")
                .append(Base64.getEncoder().encodeToString(picture.png()))
                .append("\"><figcaption>")
                .append(escape(picture.caption()))
                .append("</figcaption></figure>\n");
        return this;
    }

    /** A drawing given as an SVG element. */
    HtmlPage drawing(String svg, String caption) {
        body.append("<figure>")
                .append(svg)
                .append("<figcaption>")
                .append(escape(caption))
                .append("</figcaption></figure>\n");
        return this;
    }

    /** The whole page, with a last line. */
    String finish(String footer) {
        return "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                + "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<link rel=\"icon\" href=\"data:,\">\n<title>"
                + escape(title) + "</title>\n<style>\n" + STYLE + "</style>\n</head>\n<body>\n" + body + "<footer>"
                + escape(footer) + "</footer>\n</body>\n</html>\n";
    }

    static String escape(String text) {
        StringBuilder clean = new StringBuilder();
        for (char c : text.toCharArray()) {
            switch (c) {
                case '<' -> clean.append("&lt;");
                case '>' -> clean.append("&gt;");
                case '&' -> clean.append("&amp;");
                case '"' -> clean.append("&quot;");
                default -> clean.append(Character.isISOControl(c) ? ' ' : c);
            }
        }
        return clean.toString();
    }
}
