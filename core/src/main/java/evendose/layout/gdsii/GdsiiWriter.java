package evendose.layout.gdsii;

import evendose.files.BadInputException;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.LayoutWriter;
import java.io.IOException;
import java.io.OutputStream;
import java.lang.invoke.MethodHandles;
import java.lang.invoke.VarHandle;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;

/**
 * Writes GDSII Stream shape by shape, without keeping any.
 *
 * <pre>{@code
 * try (GdsiiWriter writer = new GdsiiWriter(out, "out.gds", "LIB", DatabaseUnit.NANOMETRE)) {
 *     writer.beginCell("TOP");
 *     writer.layer(new Layer(1, 0));
 *     writer.rectangle(0, 0, 1000, 500);
 *     writer.endCell();
 * }
 * }</pre>
 *
 * <p>All time stamps are the same fixed date, so the same shapes give the same bytes. Coordinates are whole dbu within 32
 * bits.
 */
public final class GdsiiWriter implements LayoutWriter {
    /** Most points of one polygon, its repeated closing point not counted; larger ones are split. */
    public static final int MAX_POINTS = 8000;

    private static final int BUFFER = 1 << 20;
    private static final VarHandle INT = MethodHandles.byteArrayViewVarHandle(int[].class, ByteOrder.BIG_ENDIAN);
    private static final VarHandle LONG = MethodHandles.byteArrayViewVarHandle(long[].class, ByteOrder.BIG_ENDIAN);
    private static final int NO_DATA = 0;
    private static final int BITS_16 = 2;
    private static final int BITS_32 = 3;
    private static final int REAL_8 = 5;
    private static final int ASCII = 6;
    private static final int[] DATE = {1970, 1, 1, 0, 0, 0};

    /** BOUNDARY, LAYER and DATATYPE records: the same bytes for all shapes of a layer. */
    private final byte[] elementHead = new byte[16];

    private final OutputStream out;
    private final String file;
    private final byte[] buffer = new byte[BUFFER];
    private int at;
    private boolean inCell;
    private boolean layerKnown;

    /**
     * Begins a library.
     *
     * @param out where the bytes go; closed with this writer, need not be buffered
     * @param file the file's name for messages
     * @param library the library's name
     * @param unit database unit
     * @throws IOException if the stream cannot be written to
     */
    public GdsiiWriter(OutputStream out, String file, String library, DatabaseUnit unit) throws IOException {
        this.out = out;
        this.file = file;
        head(6, Record.HEADER, BITS_16);
        put16(600);
        head(28, Record.BGNLIB, BITS_16);
        putDates();
        string(Record.LIBNAME, library);
        head(20, Record.UNITS, REAL_8);
        put64(Real8.encode(unit.um()));
        put64(Real8.encode(unit.metres()));
    }

    @Override
    public void beginCell(String name) throws IOException {
        if (inCell) {
            throw new IllegalStateException("the cell before " + name + " was not ended");
        }
        inCell = true;
        head(28, Record.BGNSTR, BITS_16);
        putDates();
        string(Record.STRNAME, name);
    }

    @Override
    public void endCell() throws IOException {
        requireCell();
        inCell = false;
        head(4, Record.ENDSTR, NO_DATA);
    }

    @Override
    public void layer(Layer layer) {
        elementHead[1] = 4;
        elementHead[2] = Record.BOUNDARY;
        elementHead[5] = 6;
        elementHead[6] = Record.LAYER;
        elementHead[7] = BITS_16;
        elementHead[8] = (byte) (layer.number() >> 8);
        elementHead[9] = (byte) layer.number();
        elementHead[11] = 6;
        elementHead[12] = Record.DATATYPE;
        elementHead[13] = BITS_16;
        elementHead[14] = (byte) (layer.datatype() >> 8);
        elementHead[15] = (byte) layer.datatype();
        layerKnown = true;
    }

    @Override
    public boolean trapezoid(
            boolean standing, long low, long high, long fromLow, long toLow, long fromHigh, long toHigh)
            throws IOException {
        boolean lowPoint = fromLow == toLow;
        boolean highPoint = fromHigh == toHigh;
        if (low == high || (lowPoint && highPoint)) {
            return false;
        }
        beginBoundary(4 - (lowPoint ? 1 : 0) - (highPoint ? 1 : 0));
        // Anticlockwise: exchanging x and y turns the order round.
        putPoint(standing, fromLow, low);
        if (standing) {
            putSide(true, high, fromHigh, toHigh);
            if (!lowPoint) {
                putPoint(true, toLow, low);
            }
        } else {
            if (!lowPoint) {
                putPoint(false, toLow, low);
            }
            putSide(false, high, toHigh, fromHigh);
        }
        putPoint(standing, fromLow, low);
        endBoundary();
        return true;
    }

    private void putSide(boolean standing, long position, long first, long second) {
        putPoint(standing, first, position);
        if (first != second) {
            putPoint(standing, second, position);
        }
    }

    private void putPoint(boolean standing, long along, long position) {
        if (standing) {
            putPoint(position, along);
        } else {
            putPoint(along, position);
        }
    }

    @Override
    public void place(String name, long x, long y) throws IOException {
        requireCell();
        head(4, Record.SREF, NO_DATA);
        string(Record.SNAME, name);
        head(12, Record.XY, BITS_32);
        putPoint(x, y);
        head(4, Record.ENDEL, NO_DATA);
    }

    /**
     * Writes a polygon. One of more than {@link #MAX_POINTS} points is cut along horizontal or vertical lines into several
     * that cover the same points under the non-zero rule; where a slanted edge is cut, the new corner is rounded to the grid.
     *
     * @param xy x0, y0, x1, y1, ... in dbu, without a repeated closing point
     * @param points number of points taken from {@code xy}, at least 3
     * @throws BadInputException if a coordinate does not fit 32 bits
     * @throws IOException if the stream cannot be written to
     */
    public void polygon(long[] xy, int points) throws IOException {
        if (points < 3) {
            throw new IllegalArgumentException("a polygon needs 3 points, got " + points);
        }
        if (points > MAX_POINTS) {
            for (long[] part : PolygonSplit.split(xy, points, MAX_POINTS)) {
                polygon(part, part.length / 2);
            }
            return;
        }
        beginBoundary(points);
        for (int i = 0; i < points; i++) {
            if (at + 8 > BUFFER) {
                flushBuffer();
            }
            putPoint(xy[2 * i], xy[2 * i + 1]);
        }
        if (at + 12 > BUFFER) {
            flushBuffer();
        }
        putPoint(xy[0], xy[1]);
        endBoundary();
    }

    @Override
    public void close() throws IOException {
        try (OutputStream closing = out) {
            if (inCell) {
                endCell();
            }
            head(4, Record.ENDLIB, NO_DATA);
            flushBuffer();
            closing.flush();
        }
    }

    private void beginBoundary(int points) throws IOException {
        requireCell();
        if (!layerKnown) {
            throw new IllegalStateException("no layer was set");
        }
        // Room for a whole trapezoid, so that its points need no further look.
        if (at + 72 > BUFFER) {
            flushBuffer();
        }
        System.arraycopy(elementHead, 0, buffer, at, elementHead.length);
        at += elementHead.length;
        int length = 4 + 8 * (points + 1);
        put32(length << 16 | Record.XY << 8 | BITS_32);
    }

    private void endBoundary() {
        put32(4 << 16 | Record.ENDEL << 8 | NO_DATA);
    }

    private void requireCell() {
        if (!inCell) {
            throw new IllegalStateException("no cell was begun");
        }
    }

    private void string(int type, String text) throws IOException {
        byte[] bytes = text.getBytes(StandardCharsets.UTF_8);
        if (bytes.length == 0 || bytes.length > 0xfff0) {
            throw new IllegalArgumentException("a name needs 1 to 65520 bytes, got " + bytes.length);
        }
        int padded = bytes.length + (bytes.length & 1);
        head(4 + padded, type, ASCII);
        if (at + padded > BUFFER) {
            flushBuffer();
        }
        System.arraycopy(bytes, 0, buffer, at, bytes.length);
        at += bytes.length;
        if (padded > bytes.length) {
            buffer[at++] = 0;
        }
    }

    /** A record's head, with room for 28 bytes behind it. */
    private void head(int length, int type, int dataType) throws IOException {
        if (at + 32 > BUFFER) {
            flushBuffer();
        }
        put32(length << 16 | type << 8 | dataType);
    }

    private void putDates() {
        for (int i = 0; i < 12; i++) {
            put16(DATE[i % 6]);
        }
    }

    private void putPoint(long x, long y) {
        int narrowX = (int) x;
        int narrowY = (int) y;
        if (narrowX != x || narrowY != y) {
            throw new BadInputException(
                    file,
                    "",
                    "the point (" + x + ", " + y + ") dbu does not fit GDSII's 32-bit coordinates; "
                            + "use a coarser database unit or move the layout nearer to the origin");
        }
        put32(narrowX);
        put32(narrowY);
    }

    private void put16(int value) {
        buffer[at++] = (byte) (value >> 8);
        buffer[at++] = (byte) value;
    }

    private void put32(int value) {
        INT.set(buffer, at, value);
        at += 4;
    }

    private void put64(long value) {
        LONG.set(buffer, at, value);
        at += 8;
    }

    private void flushBuffer() throws IOException {
        out.write(buffer, 0, at);
        at = 0;
    }
}
