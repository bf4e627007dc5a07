package evendose.files;

import java.io.IOException;
import java.io.InputStream;
import java.io.InputStreamReader;
import java.io.Reader;
import java.io.StringReader;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.function.DoubleFunction;
import java.util.zip.GZIPInputStream;

/**
 * A comma-separated table with a header row, read row by row: some hold a million rows, others were filled in by hand. Columns
 * are found by name, in any order and case; numbers have a decimal point; for the rest see {@link CsvRows}. Text is UTF-8.
 *
 * <p>Everything wrong with a value becomes one clear {@link BadInputException} that names the line.
 */
public final class CsvTable implements AutoCloseable {
    private final String file;
    private final CsvRows rows;
    private final Map<String, Integer> columns = new HashMap<>();
    private boolean wholeRows;
    private int width;

    private CsvTable(String file, Reader reader) throws IOException {
        this.file = file;
        this.rows = new CsvRows(reader, file);
    }

    /**
     * Opens a file, compressed by gzip if its name ends so, and reads its header row.
     *
     * @param file the CSV file
     * @param needed columns that must be there
     * @return the table, before its first row
     * @throws BadInputException if it cannot be read, is empty, repeats a column or lacks one
     */
    public static CsvTable open(Path file, String... needed) {
        try {
            return new CsvTable(file.toString(), reader(file)).header(needed);
        } catch (IOException e) {
            throw BadInputException.unreadable(file, e);
        }
    }

    private static Reader reader(Path file) throws IOException {
        if (!file.toString().endsWith(".gz")) {
            return Files.newBufferedReader(file, StandardCharsets.UTF_8);
        }
        InputStream in = Files.newInputStream(file);
        try {
            return new InputStreamReader(new GZIPInputStream(in, 1 << 16), StandardCharsets.UTF_8.newDecoder());
        } catch (IOException e) {
            in.close();
            throw e;
        }
    }

    /**
     * As {@link #open}, from a text.
     *
     * @param file name to use in messages
     * @param text the text of the table
     * @param needed columns that must be there
     * @return the table, before its first row
     */
    public static CsvTable of(String file, String text, String... needed) {
        try {
            return new CsvTable(file, new StringReader(text)).header(needed);
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    private CsvTable header(String... needed) {
        try {
            if (!advance()) {
                throw new BadInputException(file, "", "is empty; a table with a header row is needed");
            }
            width = rows.size();
            if (width == 1 && rows.value(0).indexOf(';') >= 0) {
                throw error("columns must be separated by commas and numbers written with a decimal point");
            }
            for (int f = 0; f < width; f++) {
                String name = rows.value(f).toLowerCase(Locale.ROOT);
                if (columns.put(name, f) != null && !name.isEmpty()) {
                    throw error("column '" + name + "' occurs twice");
                }
            }
            for (String name : needed) {
                if (!has(name)) {
                    throw error("the column " + name + " is missing from the header row; needed are "
                            + String.join(", ", needed));
                }
            }
            return this;
        } catch (RuntimeException e) {
            close();
            throw e;
        }
    }

    /** Refuses rows shorter than the header, as a file that was cut short has; else what they lack counts as empty. */
    public void requireWholeRows() {
        wholeRows = true;
    }

    /**
     * {@return whether there is a column of that name}
     *
     * @param column name of the column
     */
    public boolean has(String column) {
        return columns.containsKey(column);
    }

    /**
     * Goes to the next row; false at the end.
     *
     * @return whether there is another row
     * @throws BadInputException if the row does not fit the header, or the file cannot be read
     */
    public boolean next() {
        if (!advance()) {
            return false;
        }
        int fields = rows.size();
        if (fields > width || (wholeRows && fields < width)) {
            throw error("has " + fields + " values for " + width + " columns; "
                    + (fields > width
                            ? "numbers must be written with a decimal point, not a comma"
                            : "give one for each column, or delete the row"));
        }
        return true;
    }

    /** {@return the file's name for messages} */
    public String file() {
        return file;
    }

    /** {@return the line on which the current row ends, from 1} */
    public int line() {
        return (int) rows.line();
    }

    /**
     * {@return text in a column of the current row; empty if nothing is there, or no such column}
     *
     * @param column name of the column
     */
    public String text(String column) {
        Integer field = columns.get(column);
        return field == null || field >= rows.size() ? "" : rows.value(field);
    }

    /**
     * {@return number in a column of the current row; empty if nothing is there, or no such column}
     *
     * @param column name of the column
     * @throws BadInputException if there is text that is not a finite decimal number
     */
    public OptionalDouble optionalNumber(String column) {
        String text = text(column);
        return text.isEmpty() ? OptionalDouble.empty() : OptionalDouble.of(parse(column, text));
    }

    /**
     * {@return number in a column of the current row}
     *
     * @param column name of the column
     * @throws BadInputException if it is missing or not a finite decimal number
     */
    public double number(String column) {
        return parse(column, present(column));
    }

    /**
     * {@return positive number in a column of the current row}
     *
     * @param column name of the column
     * @throws BadInputException if it is missing, not a finite decimal number or not positive
     */
    public double positive(String column) {
        double value = number(column);
        if (!(value > 0)) {
            throw error(column + " must be positive, got " + value);
        }
        return value;
    }

    /**
     * As {@link #positive(String)}, for a number to which there may be an objection.
     *
     * @param column name of the column
     * @param objection says what is wrong with a number, if anything
     * @return the number
     * @throws BadInputException also if there is one
     */
    public double positive(String column, DoubleFunction<Optional<String>> objection) {
        double value = positive(column);
        objection.apply(value).ifPresent(problem -> {
            throw error(column + ": " + problem);
        });
        return value;
    }

    /**
     * {@return whole number in a column of the current row}
     *
     * @param column name of the column
     * @throws BadInputException if it is missing or not a whole number
     */
    public long whole(String column) {
        String text = present(column);
        try {
            return Long.parseLong(text);
        } catch (NumberFormatException e) {
            throw error(column + " is '" + text + "', not a whole number");
        }
    }

    /**
     * {@return what to throw about the current row}
     *
     * @param problem what is wrong and what to do, a clause without a full stop
     */
    public BadInputException error(String problem) {
        return new BadInputException(file, "line " + rows.line(), problem);
    }

    @Override
    public void close() {
        try {
            rows.close();
        } catch (IOException e) {
            throw BadInputException.unreadable(Path.of(file), e);
        }
    }

    private String present(String column) {
        String text = text(column);
        if (text.isEmpty()) {
            throw error(column + " is missing");
        }
        return text;
    }

    private double parse(String column, String text) {
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
            throw error(column + " is '" + text + "', not a number");
        }
        return value;
    }

    private boolean advance() {
        try {
            return rows.next();
        } catch (IOException e) {
            throw BadInputException.unreadable(Path.of(file), e);
        }
    }
}
