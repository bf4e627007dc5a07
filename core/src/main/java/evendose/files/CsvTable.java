package evendose.files;

import java.io.IOException;
import java.io.Reader;
import java.io.StringReader;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.OptionalDouble;
import org.apache.commons.csv.CSVFormat;
import org.apache.commons.csv.CSVParser;
import org.apache.commons.csv.CSVRecord;

/**
 * A small comma-separated table that a person filled in by hand: a header row, columns found by name in any order and case,
 * lines that begin with {@code #} and empty lines left out, numbers with a decimal point. Text is UTF-8, a byte order mark is
 * accepted. Knows the line of each row, so that everything wrong with a value becomes one clear {@link BadInputException}.
 */
public final class CsvTable {
    private final String file;
    private final List<String> names;
    private final List<String[]> rows;
    private final List<Long> lines;

    private CsvTable(String file, List<String> names, List<String[]> rows, List<Long> lines) {
        this.file = file;
        this.names = names;
        this.rows = rows;
        this.lines = lines;
    }

    /**
     * Reads a file.
     *
     * @throws BadInputException if it cannot be read, is empty, repeats a column, or a row has more fields than the header
     */
    public static CsvTable read(Path file) {
        try {
            return parse(file.toString(), Files.readString(file, StandardCharsets.UTF_8));
        } catch (NoSuchFileException e) {
            throw new BadInputException(file.toString(), "", "no such file", e);
        } catch (IOException e) {
            throw new BadInputException(file.toString(), "", "cannot be read as UTF-8 text", e);
        }
    }

    /**
     * As {@link #read}, from a text.
     *
     * @param file name to use in messages
     */
    public static CsvTable parse(String file, String text) {
        CSVFormat format = CSVFormat.DEFAULT
                .builder()
                .setCommentMarker('#')
                .setIgnoreSurroundingSpaces(true)
                .setIgnoreEmptyLines(true)
                .get();
        List<String> names = null;
        List<String[]> rows = new ArrayList<>();
        List<Long> lines = new ArrayList<>();
        try (Reader reader = new StringReader(text.startsWith("\ufeff") ? text.substring(1) : text);
                CSVParser parser =
                        CSVParser.builder().setReader(reader).setFormat(format).get()) {
            for (CSVRecord record : parser) {
                long line = parser.getCurrentLineNumber();
                if (names == null) {
                    names = header(file, line, record);
                } else {
                    rows.add(row(file, line, record, names.size()));
                    lines.add(line);
                }
            }
        } catch (UncheckedIOException | IOException e) {
            throw new BadInputException(file, "", "the quotes do not match up", e);
        }
        if (names == null) {
            throw new BadInputException(file, "", "holds no header row");
        }
        return new CsvTable(file, names, rows, lines);
    }

    private static List<String> header(String file, long line, CSVRecord record) {
        List<String> names = new ArrayList<>();
        for (String field : record) {
            String name = field.strip().toLowerCase(Locale.ROOT);
            if (!name.isEmpty() && names.contains(name)) {
                throw new BadInputException(file, "line " + line, "column " + name + " is there twice");
            }
            names.add(name);
        }
        return names;
    }

    private static String[] row(String file, long line, CSVRecord record, int columns) {
        if (record.size() > columns) {
            throw new BadInputException(
                    file, "line " + line, "has " + record.size() + " fields where the header has " + columns);
        }
        String[] row = new String[columns];
        for (int k = 0; k < columns; k++) {
            row[k] = k < record.size() ? record.get(k).strip() : "";
        }
        return row;
    }

    /** Number of rows below the header. */
    public int rows() {
        return rows.size();
    }

    /** The file's name for messages. */
    public String file() {
        return file;
    }

    /** Line in the file of row {@code i}. */
    public long line(int i) {
        return lines.get(i);
    }

    /**
     * Asserts that columns are there.
     *
     * @throws BadInputException naming the first that is not
     */
    public CsvTable require(String... columns) {
        for (String column : columns) {
            if (!names.contains(column)) {
                throw new BadInputException(
                        file, "", "has no column " + column + "; it needs " + String.join(", ", columns));
            }
        }
        return this;
    }

    /** Text in a column of row {@code i}; empty if the field is empty or the column is not there. */
    public String text(int i, String column) {
        int k = names.indexOf(column);
        return k < 0 ? "" : rows.get(i)[k];
    }

    /**
     * Number in a column of row {@code i}; empty if the field is empty or the column is not there.
     *
     * @throws BadInputException if there is text that is not a finite number
     */
    public OptionalDouble number(int i, String column) {
        String text = text(i, column);
        if (text.isEmpty()) {
            return OptionalDouble.empty();
        }
        try {
            double value = Double.parseDouble(text);
            if (Double.isFinite(value)) {
                return OptionalDouble.of(value);
            }
        } catch (NumberFormatException e) {
            // Said below.
        }
        throw error(i, column + " is '" + text + "', not a number");
    }

    /**
     * Positive number in a column of row {@code i}.
     *
     * @throws BadInputException if it is missing, not a number or not positive
     */
    public double positive(int i, String column) {
        double value = number(i, column).orElseThrow(() -> error(i, column + " is missing"));
        if (!(value > 0)) {
            throw error(i, column + " must be positive, got " + value);
        }
        return value;
    }

    /** What to throw about row {@code i}. */
    public BadInputException error(int i, String problem) {
        return new BadInputException(file, "line " + line(i), problem);
    }
}
