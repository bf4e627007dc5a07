package evendose.correction;

import evendose.files.BadInputException;
import java.io.BufferedReader;
import java.io.IOException;
import java.util.Arrays;
import java.util.HashMap;
import java.util.Locale;
import java.util.Map;

/**
 * Reads a plain table with a header row, one line at a time and without an object a value: tables of a million rows are
 * common. Values hold no comma; quotes around them are dropped. Blank lines and those that begin with {@code #} are left out.
 */
final class CsvTable {
    private final String file;
    private final BufferedReader reader;
    private final Map<String, Integer> columns = new HashMap<>();
    private String row = "";
    private int[] start = new int[32];
    private int fields;
    private int line;

    CsvTable(String file, BufferedReader reader) throws IOException {
        this.file = file;
        this.reader = reader;
        if (!advance()) {
            throw new BadInputException(file, "", "is empty; a table with a header row is needed");
        }
        if (fields == 1 && row.indexOf(';') >= 0) {
            throw bad("columns must be separated by commas and numbers written with a decimal point");
        }
        for (int f = 0; f < fields; f++) {
            String name = text(f).toLowerCase(Locale.ROOT);
            if (columns.put(name, f) != null && !name.isEmpty()) {
                throw bad("column '" + name + "' occurs twice");
            }
        }
    }

    /** Where the column stands. */
    int column(String name) {
        Integer column = columns.get(name);
        if (column == null) {
            throw bad("the column " + name + " is missing from the header row");
        }
        return column;
    }

    /** Where the column stands, or -1. */
    int columnOrNone(String name) {
        return columns.getOrDefault(name, -1);
    }

    /** Goes to the next row; false at the end. */
    boolean next() throws IOException {
        if (!advance()) {
            return false;
        }
        if (fields != columns.size()) {
            throw bad("has " + fields + " values for " + columns.size() + " columns; "
                    + (fields > columns.size()
                            ? "numbers must be written with a decimal point, not a comma"
                            : "give one for each column, or delete the row"));
        }
        return true;
    }

    /** The current line, from 1. */
    int line() {
        return line;
    }

    String text(int column) {
        String text = row.substring(start[column], start[column + 1] - 1).strip();
        return text.length() > 1 && text.charAt(0) == '"' && text.charAt(text.length() - 1) == '"'
                ? text.substring(1, text.length() - 1)
                : text;
    }

    double number(int column) {
        String text = text(column);
        double value = Double.NaN;
        try {
            // parseDouble alone also takes hexadecimal numbers and type suffixes.
            if (text.chars().allMatch(c -> (c >= '0' && c <= '9') || "+-.eE".indexOf(c) >= 0)) {
                value = Double.parseDouble(text);
            }
        } catch (NumberFormatException e) {
            // Said below.
        }
        if (!Double.isFinite(value)) {
            throw bad("'" + text + "' in column " + name(column) + " is no number");
        }
        return value;
    }

    long whole(int column) {
        String text = text(column);
        try {
            return Long.parseLong(text);
        } catch (NumberFormatException e) {
            throw new BadInputException(
                    file, "line " + line, "'" + text + "' in column " + name(column) + " is no whole number", e);
        }
    }

    BadInputException bad(String problem) {
        return new BadInputException(file, "line " + line, problem);
    }

    private String name(int column) {
        return columns.entrySet().stream()
                .filter(e -> e.getValue() == column)
                .map(Map.Entry::getKey)
                .findFirst()
                .orElse(String.valueOf(column + 1));
    }

    private boolean advance() throws IOException {
        while (true) {
            String text = reader.readLine();
            if (text == null) {
                return false;
            }
            line++;
            if (line == 1 && !text.isEmpty() && text.charAt(0) == '\ufeff') {
                text = text.substring(1);
            }
            if (!text.isBlank() && text.charAt(0) != '#') {
                row = text;
                split();
                return true;
            }
        }
    }

    private void split() {
        fields = 0;
        int at = 0;
        while (true) {
            if (fields + 2 > start.length) {
                start = Arrays.copyOf(start, 2 * start.length);
            }
            start[fields++] = at;
            int comma = row.indexOf(',', at);
            if (comma < 0) {
                start[fields] = row.length() + 1;
                return;
            }
            at = comma + 1;
        }
    }
}
