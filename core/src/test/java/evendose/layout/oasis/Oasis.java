package evendose.layout.oasis;

import evendose.layout.Layout;
import evendose.layout.Listing;
import evendose.layout.ReadLimits;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.zip.CRC32;
import java.util.zip.Deflater;

/** Builds OASIS files value by value, sound or not; shares nothing with the reader and the writer. */
final class Oasis {
    static final String MAGIC = "%SEMI-OASIS\r\n";
    static final ReadLimits LIMITS = new ReadLimits(64 << 20, 64 << 20);

    private final ByteArrayOutputStream bytes = new ByteArrayOutputStream();

    /** A file of 1 nm units, with its first cell, TOP, begun. */
    static Oasis top() {
        return file().cell("TOP");
    }

    /** A file of 1 nm units up to its START record. */
    static Oasis file() {
        return new Oasis().plain(MAGIC).uint(1).string("1.0").uint(0, 1000).noTables();
    }

    Oasis noTables() {
        return uint(0).uint(0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0);
    }

    Oasis cell(String name) {
        return uint(14).string(name);
    }

    /** Unsigned integers: record types, info bytes below 128, numbers. */
    Oasis uint(long... values) {
        for (long value : values) {
            long v = value;
            while (Long.compareUnsigned(v, 0x7f) > 0) {
                bytes.write((int) (v & 0x7f | 0x80));
                v >>>= 7;
            }
            bytes.write((int) v);
        }
        return this;
    }

    /** Signed integers. */
    Oasis sint(long... values) {
        for (long value : values) {
            uint(value < 0 ? -value << 1 | 1 : value << 1);
        }
        return this;
    }

    /** Single bytes, such as info bytes. */
    Oasis raw(int... values) {
        for (int value : values) {
            bytes.write(value);
        }
        return this;
    }

    Oasis plain(String text) {
        bytes.writeBytes(text.getBytes(StandardCharsets.ISO_8859_1));
        return this;
    }

    Oasis plain(byte[] data) {
        bytes.writeBytes(data);
        return this;
    }

    Oasis string(String text) {
        return uint(text.getBytes(StandardCharsets.UTF_8).length).plain(text.getBytes(StandardCharsets.UTF_8));
    }

    /** An offset of any direction, in its long form. */
    Oasis delta(long dx, long dy) {
        return uint(Math.abs(dx) << 2 | (dx < 0 ? 2 : 0) | 1).sint(dy);
    }

    Oasis float32(double value) {
        return uint(6).plain(ByteBuffer.allocate(4)
                .order(ByteOrder.LITTLE_ENDIAN)
                .putFloat((float) value)
                .array());
    }

    Oasis float64(double value) {
        return uint(7).plain(ByteBuffer.allocate(8)
                .order(ByteOrder.LITTLE_ENDIAN)
                .putDouble(value)
                .array());
    }

    /** A rectangle with everything given. */
    Oasis rectangle(int layer, int datatype, long w, long h, long x, long y) {
        return uint(20).raw(0x7b).uint(layer, datatype, w, h).sint(x, y);
    }

    /** A rectangle with everything given and a repetition to follow. */
    Oasis repeatedRectangle(int layer, long w, long h, long x, long y) {
        return uint(20).raw(0x7f).uint(layer, 0, w, h).sint(x, y);
    }

    /** Records in a compressed block. */
    Oasis block(Oasis records) {
        byte[] packed = deflate(records.bytes.toByteArray());
        return uint(34, 0, records.bytes.size(), packed.length).plain(packed);
    }

    static byte[] deflate(byte[] data) {
        Deflater deflater = new Deflater(9, true);
        deflater.setInput(data);
        deflater.finish();
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        byte[] some = new byte[4096];
        while (!deflater.finished()) {
            out.write(some, 0, deflater.deflate(some));
        }
        deflater.end();
        return out.toByteArray();
    }

    int size() {
        return bytes.size();
    }

    byte[] bytes() {
        return bytes.toByteArray();
    }

    /** Ends the file without validation. */
    byte[] end() {
        return uint(2).string(" ".repeat(252)).uint(0).bytes();
    }

    /** Ends the file with a CRC-32. */
    byte[] endWithCrc() {
        uint(2).string(" ".repeat(248)).uint(1);
        CRC32 crc = new CRC32();
        crc.update(bytes());
        return int32(crc.getValue()).bytes();
    }

    /** Ends the file with a checksum. */
    byte[] endWithChecksum() {
        uint(2).string(" ".repeat(248)).uint(2);
        long sum = 0;
        for (byte b : bytes()) {
            sum += b & 0xff;
        }
        return int32(sum).bytes();
    }

    private Oasis int32(long value) {
        return plain(ByteBuffer.allocate(4)
                .order(ByteOrder.LITTLE_ENDIAN)
                .putInt((int) value)
                .array());
    }

    Layout read() {
        return read(end());
    }

    static Layout read(byte[] file) {
        try {
            return OasisReader.read(new ByteArrayInputStream(file), "t.oas", LIMITS);
        } catch (IOException e) {
            throw new AssertionError(e);
        }
    }

    /** Ends the file and lists the flattened polygons. */
    List<String> polygons() {
        return Listing.of(read());
    }
}
