package evendose.report;

import java.nio.charset.StandardCharsets;
import java.util.Base64;

/** Small pieces of HTML. Everything that comes from outside goes through {@link #text}. */
final class Html {
    private Html() {}

    /** Text with the characters that mean something in HTML, and control characters, made harmless. */
    static String text(String raw) {
        StringBuilder out = new StringBuilder();
        for (int i = 0; i < raw.length(); i++) {
            char c = raw.charAt(i);
            switch (c) {
                case '&' -> out.append("&amp;");
                case '<' -> out.append("&lt;");
                case '>' -> out.append("&gt;");
                case '"' -> out.append("&quot;");
                case '\'' -> out.append("&#39;");
                default ->
                    out.append(Character.isISOControl(c) || Character.isSurrogate(c) && !paired(raw, i) ? ' ' : c);
            }
        }
        return out.toString();
    }

    private static boolean paired(String raw, int i) {
        return Character.isHighSurrogate(raw.charAt(i))
                ? i + 1 < raw.length() && Character.isLowSurrogate(raw.charAt(i + 1))
                : i > 0 && Character.isHighSurrogate(raw.charAt(i - 1));
    }

    /** A picture with its caption; plots as SVG, maps as PNG, both inside the page. */
    static String figure(Picture picture) {
        boolean vector = !picture.svg().isEmpty();
        byte[] bytes = vector ? picture.svg().getBytes(StandardCharsets.UTF_8) : picture.png();
        return "<figure id=\"" + picture.name() + "\"><img alt=\"" + text(picture.caption()) + "\" src=\"data:image/"
                + (vector ? "svg+xml" : "png") + ";base64,"
                + Base64.getEncoder().encodeToString(bytes) + "\"><figcaption>" + text(picture.caption())
                + "</figcaption></figure>\n";
    }
}
