package evendose.layout.csv;

import evendose.files.BadInputException;
import evendose.files.CsvRows;
import evendose.geometry.Polygons;
import evendose.layout.Cell;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.LayoutBuilder;
import evendose.layout.Shapes;
import evendose.layout.Warnings;
import java.io.IOException;
import java.io.InputStream;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.Set;

/**
 * Reads a layout from a comma-separated table with a header row, one shape a row:
 *
 * <ul>
 *   <li>rectangles: columns {@code x_min_um,y_min_um,x_max_um,y_max_um};
 *   <li>or polygons: a column {@code wkt} with {@code POLYGON} or {@code MULTIPOLYGON} in um (OGC Simple Features), in quotes
 *       since it contains commas; inner rings are holes.
 * </ul>
 *
 * <p>Either takes the columns {@code layer} and {@code datatype} (whole numbers, 1 and 0 where the column is absent); any other
 * column is ignored with a warning. Lines that begin with {@code #} are comments. Numbers have a decimal point. Column names
 * may be in any order and case; a byte order mark and any line ends are accepted. Text is UTF-8.
 *
 * <p>Coordinates are rounded to whole database units, with a warning if that moves them. All shapes go into one cell named
 * {@value evendose.layout.LayoutBuilder#CELL}. A hole is joined to its outer ring by an edge to and fro, which leaves no trace once shapes are merged.
 */
public final class CsvReader {
    private static final List<String> RECTANGLE = List.of("x_min_um", "y_min_um", "x_max_um", "y_max_um");
    private static final String WKT = "wkt";
    private static final String LAYER = "layer";
    private static final String DATATYPE = "datatype";

    private final String source;
    private final DatabaseUnit unit;
    private final Warnings warnings = new Warnings();
    private final Cell cell = new Cell(LayoutBuilder.CELL);
    private long line;

    private CsvReader(String source, DatabaseUnit unit) {
        this.source = source;
        this.unit = unit;
    }

    /**
     * Reads a whole table.
     *
     * @param in the text; is not closed
     * @param source the file's name for messages, as the user gave it
     * @param unit database unit to which coordinates are rounded
     * @return the layout
     * @throws BadInputException if the table is not sound; the message names the line
     * @throws IOException if reading fails
     */
    public static Layout read(InputStream in, String source, DatabaseUnit unit) throws IOException {
        return new CsvReader(source, unit).read(in);
    }

    private Layout read(InputStream in) throws IOException {
        CsvRows rows = new CsvRows(new InputStreamReader(in, StandardCharsets.UTF_8), source);
        if (!rows.next()) {
            throw new BadInputException(source, "", "holds no header row; begin with " + headerHelp());
        }
        line = rows.line();
        Columns columns = columns(rows);
        while (rows.next()) {
            line = rows.line();
            row(rows, columns);
        }
        return new Layout(source, unit, List.of(cell), warnings.sentences());
    }

    /** Where the columns stand; -1 for those that are absent. */
    private record Columns(int count, int[] rectangle, int wkt, int layer, int datatype) {}

    private Columns columns(CsvRows header) {
        List<String> names = new ArrayList<>();
        Set<String> unknown = new HashSet<>();
        for (int f = 0; f < header.size(); f++) {
            String name = header.value(f).strip().toLowerCase(Locale.ROOT);
            if (name.contains(";")) {
                throw bad("columns must be separated by commas and numbers written with a decimal point");
            }
            boolean known = RECTANGLE.contains(name) || name.equals(WKT) || name.equals(LAYER) || name.equals(DATATYPE);
            if (known && names.contains(name)) {
                throw bad("column '" + name + "' occurs twice");
            }
            if (!known && !name.isEmpty() && unknown.add(name)) {
                warnings.add("column '" + name + "' is unknown; ignored", place());
            }
            names.add(name);
        }
        boolean rectangles = names.containsAll(RECTANGLE);
        boolean wkt = names.contains(WKT);
        if (rectangles && wkt) {
            throw bad("has columns for both rectangles and wkt; use one of them");
        }
        if (!rectangles && !wkt) {
            throw bad("is no header row of a layout table; begin with " + headerHelp());
        }
        int[] corners = RECTANGLE.stream().mapToInt(names::indexOf).toArray();
        return new Columns(names.size(), corners, names.indexOf(WKT), names.indexOf(LAYER), names.indexOf(DATATYPE));
    }

    private static String headerHelp() {
        return String.join(",", RECTANGLE) + " or " + WKT;
    }

    private void row(CsvRows row, Columns columns) {
        if (row.size() != columns.count()) {
            boolean unquoted = columns.wkt() >= 0 && row.size() > columns.count();
            throw bad("has " + row.size() + " values for " + columns.count() + " columns; "
                    + (unquoted
                            ? "put the wkt text in double quotes"
                            : row.size() > columns.count()
                                    ? "numbers must be written with a decimal point, not a comma"
                                    : "give one for each column"));
        }
        Shapes shapes = cell.on(
                new Layer(number(row, columns.layer(), LAYER, 1), number(row, columns.datatype(), DATATYPE, 0)));
        if (columns.wkt() >= 0) {
            wkt(row.value(columns.wkt()), shapes);
            return;
        }
        long[] c = new long[4];
        for (int i = 0; i < 4; i++) {
            c[i] = toGrid(row.value(columns.rectangle()[i]));
        }
        if (c[0] > c[2] || c[1] > c[3]) {
            throw bad("a rectangle's smallest coordinate is larger than its largest; swap the two");
        }
        if (!shapes.addRectangle(c[0], c[1], c[2], c[3])) {
            warnings.add("a rectangle without area; left out", place());
        }
    }

    private void wkt(String text, Shapes shapes) {
        try {
            for (List<long[]> rings : new WktPolygons(text, this::toGrid).read()) {
                for (long[] ring : rings) {
                    int n = ring.length;
                    if (n >= 2 && (ring[0] != ring[n - 2] || ring[1] != ring[n - 1])) {
                        warnings.add("a ring is not closed; closed by a straight edge", place());
                    }
                }
                long[] polygon = Keyhole.join(rings);
                if (!shapes.addPolygon(polygon, polygon.length / 2)) {
                    warnings.add("a polygon without area; left out", place());
                }
            }
        } catch (IllegalArgumentException e) {
            throw new BadInputException(source, place(), e.getMessage(), e);
        }
    }

    private int number(CsvRows row, int column, String name, int otherwise) {
        if (column < 0) {
            return otherwise;
        }
        String text = row.value(column).strip();
        int value = -1;
        try {
            value = Integer.parseInt(text);
        } catch (NumberFormatException e) {
            // Said below, together with values out of range.
        }
        if (value < 0 || value > 0xffff) {
            throw bad(name + " '" + text + "' is no whole number from 0 to 65535");
        }
        return value;
    }

    /** A coordinate in um to whole database units. */
    private long toGrid(String text) {
        String number = text.strip();
        double um = Double.NaN;
        if (number.indexOf(',') >= 0) {
            throw bad("'" + number + "' has a decimal comma; write a decimal point");
        }
        // parseDouble alone also takes NaN, Infinity, hexadecimal numbers and type suffixes.
        if (number.chars().allMatch(c -> (c >= '0' && c <= '9') || "+-.eE".indexOf(c) >= 0)) {
            try {
                um = Double.parseDouble(number);
            } catch (NumberFormatException e) {
                // Said below.
            }
        }
        if (Double.isNaN(um)) {
            throw bad("'" + number + "' is no number; coordinates are wanted in um");
        }
        if (!(Math.abs(unit.fromUm(um)) < Polygons.MAX_COORDINATE)) {
            throw bad("coordinate " + number + " um is beyond " + Polygons.MAX_COORDINATE
                    + " database units; coordinates are wanted in um");
        }
        if (!unit.isOnGrid(um)) {
            warnings.add(
                    "a coordinate is not a multiple of the database unit of " + unit.um() + " um; rounded", place());
        }
        return unit.nearest(um);
    }

    private String place() {
        return "line " + line;
    }

    private BadInputException bad(String problem) {
        return new BadInputException(source, place(), problem);
    }
}
