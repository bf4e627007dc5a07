package evendose.layout.gdsii;

import evendose.layout.Layout;
import evendose.layout.Listing;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.charset.StandardCharsets;
import java.util.List;

/** Builds GDSII streams record by record, sound or not. */
final class Stream {
    private final ByteArrayOutputStream bytes = new ByteArrayOutputStream();

    /** A stream with its head, up to and including the name of a first cell, TOP. */
    static Stream top() {
        return new Stream().library().cell("TOP");
    }

    Stream library() {
        return library("LIB", new int[12]);
    }

    /** The head of a library, with its two dates. */
    Stream library(String name, int... dates) {
        return shorts(Record.HEADER, 600)
                .shorts(Record.BGNLIB, dates)
                .text(Record.LIBNAME, name)
                // 0.001 and 1e-9, as most files in the world have them.
                .raw(
                        Record.UNITS,
                        5,
                        0x3e,
                        0x41,
                        0x89,
                        0x37,
                        0x4b,
                        0xc6,
                        0xa7,
                        0xf0,
                        0x39,
                        0x44,
                        0xb8,
                        0x2f,
                        0xa0,
                        0x9b,
                        0x5a,
                        0x54);
    }

    Stream cell(String name) {
        return cell(name, new int[12]);
    }

    /** The head of a cell, with its two dates. */
    Stream cell(String name, int... dates) {
        return shorts(Record.BGNSTR, dates).text(Record.STRNAME, name);
    }

    Stream square() {
        return empty(Record.BOUNDARY)
                .shorts(Record.LAYER, 1)
                .shorts(Record.DATATYPE, 0)
                .ints(Record.XY, 0, 0, 10, 0, 10, 10, 0, 10, 0, 0)
                .empty(Record.ENDEL);
    }

    Stream path(int type, int width) {
        return empty(Record.PATH)
                .shorts(Record.LAYER, 1)
                .shorts(Record.DATATYPE, 0)
                .shorts(Record.PATHTYPE, type)
                .ints(Record.WIDTH, width);
    }

    Stream empty(int type) {
        return raw(type, 0);
    }

    Stream shorts(int type, int... values) {
        ByteBuffer data = ByteBuffer.allocate(2 * values.length);
        for (int value : values) {
            data.putShort((short) value);
        }
        return record(type, 2, data.array());
    }

    Stream ints(int type, int... values) {
        ByteBuffer data = ByteBuffer.allocate(4 * values.length);
        for (int value : values) {
            data.putInt(value);
        }
        return record(type, 3, data.array());
    }

    Stream real(int type, double value) {
        return record(
                type, 5, ByteBuffer.allocate(8).putLong(Real8.encode(value)).array());
    }

    /** A string as it is, with no padding to even length. */
    Stream text(int type, String text) {
        return record(type, 6, text.getBytes(StandardCharsets.UTF_8));
    }

    Stream raw(int type, int dataType, int... data) {
        byte[] payload = new byte[data.length];
        for (int i = 0; i < data.length; i++) {
            payload[i] = (byte) data[i];
        }
        return record(type, dataType, payload);
    }

    private Stream record(int type, int dataType, byte[] data) {
        int length = data.length + 4;
        return plain(length >> 8, length, type, dataType).plain(data);
    }

    /** Bytes as they are. */
    Stream plain(int... data) {
        for (int b : data) {
            bytes.write(b);
        }
        return this;
    }

    Stream plain(byte[] data) {
        bytes.writeBytes(data);
        return this;
    }

    Stream end() {
        return empty(Record.ENDSTR).empty(Record.ENDLIB);
    }

    byte[] bytes() {
        return bytes.toByteArray();
    }

    Layout read() {
        return read(bytes());
    }

    static Layout read(byte[] bytes) {
        try {
            return GdsiiReader.read(new ByteArrayInputStream(bytes), "t.gds");
        } catch (IOException e) {
            throw new AssertionError(e);
        }
    }

    /** Ends cell and library, and lists the flattened polygons. */
    List<String> polygons() {
        return Listing.of(end().read());
    }

    /** Ends cell and library, and gives the reader's warnings. */
    List<String> warnings() {
        return end().read().warnings();
    }
}
