package evendose.files;

import java.io.BufferedReader;
import java.io.Closeable;
import java.io.IOException;
import java.io.PushbackReader;
import java.io.Reader;
import java.io.UncheckedIOException;
import java.util.Iterator;
import org.apache.commons.csv.CSVException;
import org.apache.commons.csv.CSVFormat;
import org.apache.commons.csv.CSVParser;
import org.apache.commons.csv.CSVRecord;

/**
 * Rows of a comma-separated text (RFC 4180) with the line on which each ends. A byte order mark, any line ends, and values in double
 * quotes are accepted; lines that begin with {@code #} and blank ones are left out, and so is space around values.
 */
public final class CsvRows implements Closeable {
    private static final CSVFormat FORMAT = CSVFormat.DEFAULT
            .builder()
            .setCommentMarker('#')
            .setIgnoreSurroundingSpaces(true)
            .setIgnoreEmptyLines(true)
            .get();

    private final String source;
    private final RowLimit reader;
    private final CSVParser parser;
    private final Iterator<CSVRecord> rows;
    private CSVRecord row;
    private long line;

    /**
     * Before the first row.
     *
     * @param reader the text; closed with the rows
     * @param source the file's name for messages
     * @throws IOException if reading fails
     */
    public CsvRows(Reader reader, String source) throws IOException {
        this.source = source;
        this.reader = new RowLimit(new BufferedReader(reader), source);
        PushbackReader marked = new PushbackReader(this.reader);
        try {
            int first = marked.read();
            if (first >= 0 && first != 0xfeff) {
                marked.unread(first);
            }
        } catch (IOException e) {
            marked.close();
            throw e;
        }
        this.parser = CSVParser.builder().setReader(marked).setFormat(FORMAT).get();
        this.rows = parser.iterator();
    }

    /**
     * Goes to the next row.
     *
     * @return whether there is one
     * @throws BadInputException if a quote is not closed where it should be; the message names the line
     * @throws IOException if reading fails
     */
    public boolean next() throws IOException {
        try {
            do {
                if (!rows.hasNext()) {
                    return false;
                }
                row = rows.next();
                reader.rowEnds();
                line = parser.getCurrentLineNumber();
            } while (row.size() == 1 && row.get(0).isEmpty());
            return true;
        } catch (UncheckedIOException e) {
            if (!(e.getCause() instanceof CSVException)) {
                throw e.getCause();
            }
            // The row begins here, or a little later if comments stand before it.
            line++;
            throw new BadInputException(
                    source, "line " + line, "double quotes do not match up: close each at the end of its value", e);
        }
    }

    /** {@return number of values in the row} */
    public int size() {
        return row.size();
    }

    /**
     * {@return a value of the row, without quotes and space around}
     *
     * @param k number of the value, from 0
     */
    public String value(int k) {
        return row.get(k);
    }

    /** {@return the line on which the row ends, from 1} */
    public long line() {
        return line;
    }

    @Override
    public void close() throws IOException {
        parser.close();
    }
}
