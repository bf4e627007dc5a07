package evendose.layout.oasis;

import evendose.files.BadInputException;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.LayoutWriter;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.zip.CRC32;
import java.util.zip.Deflater;

/**
 * Writes OASIS: rectangles and trapezoids in compressed blocks, with a CRC-32 at the end.
 *
 * <p>Records leave out what is as in the record before, and positions are relative to it; both help the compression. Names of
 * cells stand where the cells are. Coordinates are whole dbu of magnitude up to 2^42.
 *
 * <p>The bytes depend on the shapes and on Java's version of zlib only.
 */
public final class OasisWriter implements LayoutWriter {
    private static final int BLOCK_BYTES = 1 << 18;
    /** No record of a shape is longer. */
    private static final int RECORD_BYTES = 80;

    private static final int LEVEL = 6;
    private static final long MAX_COORDINATE = 1L << 42;
    private static final int END_BYTES = 256;

    private final OutputStream out;
    private final String file;
    private final CRC32 crc = new CRC32();
    private final Deflater deflater = new Deflater(LEVEL, true);
    private final byte[] packed = new byte[BLOCK_BYTES + BLOCK_BYTES / 64];
    private final byte[] buffer = new byte[BLOCK_BYTES];
    private int at;
    private boolean inCell;
    private boolean closed;
    private Layer layer;

    // What the reader knows from earlier records of the cell; -1 is nothing.
    private int lastLayer;
    private int lastDatatype;
    private long lastWidth;
    private long lastHeight;
    private long lastX;
    private long lastY;
    private long lastPlaceX;
    private long lastPlaceY;

    /**
     * Begins a file.
     *
     * @param out where the bytes go; closed with this writer, need not be buffered
     * @param file the file's name for messages
     * @param unit database unit
     * @throws IOException if the stream cannot be written to
     */
    public OasisWriter(OutputStream out, String file, DatabaseUnit unit) throws IOException {
        this.out = out;
        this.file = file;
        put("%SEMI-OASIS\r\n".getBytes(StandardCharsets.US_ASCII));
        putUnsigned(Record.START);
        putString("1.0");
        double perUm = 1 / unit.um();
        if (perUm == Math.rint(perUm) && perUm < 1e15) {
            putUnsigned(0);
            putUnsigned((long) perUm);
        } else {
            putUnsigned(7);
            putLittleEndian(Double.doubleToLongBits(perUm), 8);
        }
        // No tables of offsets: a flag for where they would be, and six empty ones.
        for (int i = 0; i < 13; i++) {
            putUnsigned(0);
        }
        flushPlain();
    }

    @Override
    public void beginCell(String name) throws IOException {
        if (inCell) {
            throw new IllegalStateException("the cell before " + name + " was not ended");
        }
        int bytes = name.getBytes(StandardCharsets.UTF_8).length;
        if (bytes == 0 || bytes > 0xffff) {
            throw new IllegalArgumentException("a name needs 1 to 65535 bytes, got " + bytes);
        }
        inCell = true;
        putUnsigned(Record.CELL_NAMED);
        putString(name);
        putUnsigned(Record.XYRELATIVE);
        flushPlain();
        lastLayer = -1;
        lastDatatype = -1;
        lastWidth = -1;
        lastHeight = -1;
        lastX = 0;
        lastY = 0;
        lastPlaceX = 0;
        lastPlaceY = 0;
    }

    @Override
    public void endCell() throws IOException {
        requireCell();
        inCell = false;
        flushBlock();
    }

    @Override
    public void layer(Layer next) {
        layer = next;
    }

    @Override
    public boolean trapezoid(
            boolean standing, long low, long high, long fromLow, long toLow, long fromHigh, long toHigh)
            throws IOException {
        requireCell();
        if (layer == null) {
            throw new IllegalStateException("no layer was set");
        }
        if (low == high || (fromLow == toLow && fromHigh == toHigh)) {
            return false;
        }
        if (low > high || fromLow > toLow || fromHigh > toHigh) {
            throw new IllegalArgumentException("a trapezoid's sides must not be swapped");
        }
        long from = Math.min(fromLow, fromHigh);
        long to = Math.max(toLow, toHigh);
        long x = standing ? low : from;
        long y = standing ? from : low;
        long right = standing ? high : to;
        long top = standing ? to : high;
        check(x, y);
        check(right, top);
        if (at + RECORD_BYTES > BLOCK_BYTES) {
            flushBlock();
        }
        // The format takes the second side relative to the first: the upper to the lower one, the left to the right
        // one.
        long a = standing ? fromLow - fromHigh : fromHigh - fromLow;
        long b = standing ? toLow - toHigh : toHigh - toLow;
        int type = a == 0 && b == 0
                ? Record.RECTANGLE
                : b == 0 ? Record.TRAPEZOID_A : a == 0 ? Record.TRAPEZOID_B : Record.TRAPEZOID;
        head(type, standing, x, y, right - x, top - y);
        if (type == Record.TRAPEZOID || type == Record.TRAPEZOID_A) {
            putSigned(a);
        }
        if (type == Record.TRAPEZOID || type == Record.TRAPEZOID_B) {
            putSigned(b);
        }
        if (x != lastX) {
            putSigned(x - lastX);
        }
        if (y != lastY) {
            putSigned(y - lastY);
        }
        lastX = x;
        lastY = y;
        return true;
    }

    @Override
    public void place(String name, long x, long y) throws IOException {
        requireCell();
        check(x, y);
        if (at + RECORD_BYTES + name.length() * 4 > BLOCK_BYTES) {
            flushBlock();
        }
        // The name stands in the record, with x and y.
        putUnsigned(Record.PLACEMENT);
        putUnsigned(0xb0);
        putString(name);
        putSigned(x - lastPlaceX);
        putSigned(y - lastPlaceY);
        lastPlaceX = x;
        lastPlaceY = y;
    }

    /** A record up to its height, which rectangles and trapezoids share; its first bit marks what is square, or stands. */
    private void head(int type, boolean standing, long x, long y, long width, long height) {
        boolean square = type == Record.RECTANGLE && width == height;
        boolean stands = type != Record.RECTANGLE && standing;
        int info = (square || stands ? 0x80 : 0)
                | (width != lastWidth ? 0x40 : 0)
                | (!square && height != lastHeight ? 0x20 : 0)
                | (x != lastX ? 0x10 : 0)
                | (y != lastY ? 0x08 : 0)
                | (layer.datatype() != lastDatatype ? 0x02 : 0)
                | (layer.number() != lastLayer ? 0x01 : 0);
        buffer[at++] = (byte) type;
        buffer[at++] = (byte) info;
        if ((info & 0x01) != 0) {
            putUnsigned(layer.number());
        }
        if ((info & 0x02) != 0) {
            putUnsigned(layer.datatype());
        }
        if ((info & 0x40) != 0) {
            putUnsigned(width);
        }
        if ((info & 0x20) != 0) {
            putUnsigned(height);
        }
        lastLayer = layer.number();
        lastDatatype = layer.datatype();
        lastWidth = width;
        lastHeight = height;
    }

    @Override
    public void close() throws IOException {
        if (closed) {
            return;
        }
        closed = true;
        try (OutputStream closing = out) {
            if (inCell) {
                endCell();
            }
            // Record, padding with its length of two bytes, scheme and signature make up the fixed length.
            putUnsigned(Record.END);
            byte[] padding = new byte[END_BYTES - 1 - 2 - 1 - 4];
            Arrays.fill(padding, (byte) ' ');
            putUnsigned(padding.length);
            put(padding);
            putUnsigned(1);
            flushPlain();
            putLittleEndian(crc.getValue(), 4);
            flushPlain();
            closing.flush();
        } finally {
            deflater.end();
        }
    }

    private void requireCell() {
        if (!inCell) {
            throw new IllegalStateException("no cell was begun");
        }
    }

    private void check(long x, long y) {
        if (Math.abs(x) > MAX_COORDINATE || Math.abs(y) > MAX_COORDINATE) {
            throw new BadInputException(
                    file,
                    "",
                    "the point (" + x + ", " + y + ") dbu is beyond " + MAX_COORDINATE
                            + "; use a coarser database unit or move the layout nearer to the origin");
        }
    }

    /** Writes the records in the buffer as a compressed block. */
    private void flushBlock() throws IOException {
        if (at == 0) {
            return;
        }
        int unpacked = at;
        deflater.reset();
        deflater.setInput(buffer, 0, unpacked);
        deflater.finish();
        int length = deflater.deflate(packed);
        if (!deflater.finished()) {
            throw new IllegalStateException("compressed data of " + unpacked + " bytes exceed " + packed.length);
        }
        at = 0;
        putUnsigned(Record.CBLOCK);
        putUnsigned(0);
        putUnsigned(unpacked);
        putUnsigned(length);
        flushPlain();
        write(packed, length);
    }

    /** Writes the bytes in the buffer as they are. */
    private void flushPlain() throws IOException {
        write(buffer, at);
        at = 0;
    }

    private void write(byte[] bytes, int length) throws IOException {
        crc.update(bytes, 0, length);
        out.write(bytes, 0, length);
    }

    private void putString(String text) {
        byte[] bytes = text.getBytes(StandardCharsets.UTF_8);
        putUnsigned(bytes.length);
        put(bytes);
    }

    private void put(byte[] bytes) {
        System.arraycopy(bytes, 0, buffer, at, bytes.length);
        at += bytes.length;
    }

    private void putUnsigned(long value) {
        long v = value;
        while (v >= 0x80) {
            buffer[at++] = (byte) (v & 0x7f | 0x80);
            v >>>= 7;
        }
        buffer[at++] = (byte) v;
    }

    private void putSigned(long value) {
        putUnsigned(value < 0 ? -value << 1 | 1 : value << 1);
    }

    private void putLittleEndian(long value, int bytes) {
        for (int i = 0; i < bytes; i++) {
            buffer[at++] = (byte) (value >>> (8 * i));
        }
    }
}
