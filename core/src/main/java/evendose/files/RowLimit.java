package evendose.files;

import java.io.FilterReader;
import java.io.IOException;
import java.io.Reader;

/** Passes text on, but refuses a single row that would fill the memory: a quote left open takes in all that follows. */
final class RowLimit extends FilterReader {
    /** Enough for the outline of a shape of a million points. */
    static final int MOST_CHARACTERS = 1 << 26;

    private final String source;
    private long inRow;

    RowLimit(Reader in, String source) {
        super(in);
        this.source = source;
    }

    /** The text up to here is taken in, except for what the parser's own buffer holds. */
    void rowEnds() {
        inRow = 0;
    }

    @Override
    public int read() throws IOException {
        int c = super.read();
        count(c < 0 ? 0 : 1);
        return c;
    }

    @Override
    public int read(char[] characters, int from, int length) throws IOException {
        int some = super.read(characters, from, length);
        count(Math.max(0, some));
        return some;
    }

    private void count(int characters) {
        inRow += characters;
        if (inRow > MOST_CHARACTERS) {
            throw new BadInputException(
                    source,
                    "",
                    "has a row of more than " + MOST_CHARACTERS + " characters; is a double quote left open?");
        }
    }
}
