package evendose.layout.csv;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.function.ToLongFunction;

/**
 * Reads {@code POLYGON} and {@code MULTIPOLYGON} in well-known text (OGC 06-103r4, Simple Features, section 7): a list of
 * polygons, each a list of rings (the outer one first), each x0, y0, x1, y1, ...
 */
final class WktPolygons {
    private final String text;
    private final ToLongFunction<String> coordinate;
    private int at;

    /** @param coordinate turns one number's text into dbu */
    WktPolygons(String text, ToLongFunction<String> coordinate) {
        this.text = text;
        this.coordinate = coordinate;
    }

    /** @throws IllegalArgumentException if the text is not of that form */
    List<List<long[]>> read() {
        List<List<long[]>> polygons = new ArrayList<>();
        String kind = word();
        boolean multi = kind.equalsIgnoreCase("MULTIPOLYGON");
        if (!multi && !kind.equalsIgnoreCase("POLYGON")) {
            throw bad(kind.isEmpty() ? "wkt begins with no word" : "'" + kind + "' is not supported");
        }
        int afterKind = at;
        String next = word();
        if (!next.equalsIgnoreCase("EMPTY")) {
            if (!next.isEmpty()) {
                throw bad("'" + kind + " " + next + "' is not supported");
            }
            at = afterKind;
            if (multi) {
                expect('(');
                do {
                    polygons.add(polygon());
                } while (more());
            } else {
                polygons.add(polygon());
            }
        }
        skipSpace();
        if (at < text.length()) {
            throw bad("there is more text after the end");
        }
        return polygons;
    }

    private List<long[]> polygon() {
        List<long[]> rings = new ArrayList<>();
        expect('(');
        do {
            rings.add(ring());
        } while (more());
        return rings;
    }

    private long[] ring() {
        long[] xy = new long[16];
        int n = 0;
        expect('(');
        do {
            if (n + 2 > xy.length) {
                xy = Arrays.copyOf(xy, 2 * xy.length);
            }
            xy[n++] = coordinate.applyAsLong(number());
            xy[n++] = coordinate.applyAsLong(number());
        } while (more());
        return Arrays.copyOf(xy, n);
    }

    /** After an item: true on a comma, false on the closing bracket. */
    private boolean more() {
        skipSpace();
        char c = at < text.length() ? text.charAt(at) : ' ';
        if (c != ',' && c != ')') {
            throw bad("a comma or ')' is missing");
        }
        at++;
        return c == ',';
    }

    private void expect(char wanted) {
        skipSpace();
        if (at >= text.length() || text.charAt(at) != wanted) {
            throw bad("'" + wanted + "' is missing");
        }
        at++;
    }

    private String number() {
        skipSpace();
        int from = at;
        while (at < text.length() && "(),".indexOf(text.charAt(at)) < 0 && !Character.isWhitespace(text.charAt(at))) {
            at++;
        }
        if (from == at) {
            throw bad("a number is missing");
        }
        return text.substring(from, at);
    }

    private String word() {
        skipSpace();
        int from = at;
        while (at < text.length() && Character.isLetter(text.charAt(at))) {
            at++;
        }
        return text.substring(from, at);
    }

    private void skipSpace() {
        while (at < text.length() && Character.isWhitespace(text.charAt(at))) {
            at++;
        }
    }

    private IllegalArgumentException bad(String problem) {
        return new IllegalArgumentException(
                "wkt, character " + (at + 1) + ": " + problem + "; write for instance POLYGON ((0 0, 2 0, 1 3, 0 0))");
    }
}
