package evendose.layout.oasis;

import evendose.files.BadInputException;
import evendose.layout.Cell;
import evendose.layout.ReadLimits;
import evendose.layout.Repetition;
import java.io.EOFException;
import java.io.IOException;
import java.io.InputStream;
import java.util.Arrays;
import java.util.zip.CRC32;
import java.util.zip.DataFormatException;
import java.util.zip.Inflater;

/**
 * The bytes of an OASIS file and the kinds of value that records are made of. Compressed blocks are unpacked on the way; the
 * caller sees one sequence of records.
 *
 * <p>Nothing is allocated on the word of the file: lists grow with the bytes that are really there, and what is kept is
 * counted against the limits.
 */
final class OasisInput {
    /** Largest magnitude of a coordinate or length, dbu: sums of a few stay within 64 bits. */
    static final long MAX_COORDINATE = 1L << 56;

    /** Most points of one list; more do not fit a shape. */
    private static final int MAX_POINTS = (1 << 27) - 2;

    private static final int MAX_NAME_BYTES = 1 << 20;
    private static final int OUTER_BYTES = 1 << 18;
    private static final int INNER_BYTES = 1 << 16;
    /** No deflate stream gives more than this many bytes for one, up to a few at its ends. */
    private static final long DEFLATE_RATIO = 1032;

    private final InputStream in;
    private final String source;
    private final ReadLimits limits;
    private long memoryLeft;
    private long decompressedLeft;

    private final byte[] outer = new byte[OUTER_BYTES];
    private int outerEnd;
    /** Offset in the file of {@code outer[0]}. */
    private long outerBase;
    /** Bytes of {@code outer} that the checksums hold. */
    private int summed;

    private final CRC32 crc = new CRC32();
    private long sum;

    /** The bytes being read: {@code outer}, or {@code inner} within a compressed block. */
    private byte[] buffer = outer;

    private int at;
    private int end;

    private final byte[] inner = new byte[INNER_BYTES];
    private final Inflater inflater = new Inflater(true);
    private boolean inBlock;
    private long blockStart;
    /** Offset in the block of {@code inner[0]}. */
    private long innerBase;
    /** Where reading {@code outer} goes on behind what the inflater was given. */
    private int outerAt;
    /** Compressed bytes that the inflater was not given yet. */
    private long packedLeft;
    /** Bytes that the block has yet to give. */
    private long unpackedLeft;

    private long recordType = -1;
    private long recordStart;

    /** The last offset read by {@link #delta}. */
    long dx;

    long dy;

    /** The last list read: x0, y0, x1, y1, ... */
    private long[] list = new long[64];

    OasisInput(InputStream in, String source, ReadLimits limits) {
        this.in = in;
        this.source = source;
        this.limits = limits;
        memoryLeft = limits.memoryBytes();
        decompressedLeft = limits.decompressedBytes();
    }

    /** Frees what the inflater holds outside Java's memory. */
    void close() {
        inflater.end();
    }

    // Bytes

    int next() throws IOException {
        if (at == end) {
            refill();
        }
        return buffer[at++] & 0xff;
    }

    private void refill() throws IOException {
        if (inBlock) {
            refillInner();
            return;
        }
        refillOuter();
        at = 0;
        end = outerEnd;
    }

    private void refillOuter() throws IOException {
        addToChecksums(outerEnd);
        outerBase += outerEnd;
        summed = 0;
        outerEnd = 0;
        try {
            outerEnd = Math.max(0, in.read(outer));
        } catch (EOFException e) {
            throw cutShort();
        }
        if (outerEnd == 0) {
            throw cutShort();
        }
    }

    private void refillInner() throws IOException {
        if (unpackedLeft == 0) {
            throw bad("runs beyond the end of its compressed block; the file is damaged here");
        }
        innerBase += end;
        at = 0;
        end = 0;
        try {
            while (end == 0) {
                if (inflater.needsInput()) {
                    feed();
                }
                end = inflater.inflate(inner, 0, (int) Math.min(INNER_BYTES, unpackedLeft));
                if (end == 0 && (inflater.finished() || inflater.needsDictionary())) {
                    throw badBlock("gives fewer bytes than it says");
                }
            }
        } catch (DataFormatException e) {
            throw badBlock("holds damaged data");
        }
        unpackedLeft -= end;
    }

    private void feed() throws IOException {
        if (packedLeft == 0) {
            throw badBlock("gives fewer bytes than it says");
        }
        if (outerAt == outerEnd) {
            refillOuter();
            outerAt = 0;
        }
        int some = (int) Math.min(packedLeft, outerEnd - outerAt);
        inflater.setInput(outer, outerAt, some);
        outerAt += some;
        packedLeft -= some;
    }

    void skip(long bytes) throws IOException {
        for (long left = bytes; left > 0; ) {
            if (at == end) {
                refill();
            }
            int some = (int) Math.min(left, end - at);
            at += some;
            left -= some;
        }
    }

    private void addToChecksums(int to) {
        crc.update(outer, summed, to - summed);
        for (int i = summed; i < to; i++) {
            sum += outer[i] & 0xff;
        }
        summed = to;
    }

    /** CRC-32 of the file's bytes up to here; not within a block. */
    long crc32() {
        addToChecksums(at);
        return crc.getValue();
    }

    /** Sum of the file's bytes up to here, modulo 2^32; not within a block. */
    long checksum32() {
        addToChecksums(at);
        return sum & 0xffffffffL;
    }

    // Records

    /** Type of the record that begins here. */
    int beginRecord() throws IOException {
        if (inBlock && at == end && unpackedLeft == 0) {
            endBlock();
        }
        recordStart = inBlock ? innerBase + at : outerBase + at;
        recordType = -1;
        recordType = unsigned();
        return (int) Math.min(recordType, Integer.MAX_VALUE);
    }

    /** Where the record begins in the file, or the block that holds it. */
    long recordOffset() {
        return inBlock ? blockStart : recordStart;
    }

    /** Where reading is in the file, or the block that is being read. */
    long offset() {
        return inBlock ? blockStart : outerBase + at;
    }

    /** Reads the head of a CBLOCK; records follow from its unpacked bytes until they end. */
    void beginBlock() throws IOException {
        if (inBlock) {
            throw bad("stands inside another compressed block");
        }
        long method = unsigned();
        if (method != 0) {
            throw bad("is compressed by method " + method + "; only 0, deflate, is known");
        }
        long unpacked = unsigned();
        long packed = unsigned();
        if (unpacked / DEFLATE_RATIO > packed + 8) {
            throw bad(
                    "says that " + packed + " bytes unpack to " + unpacked + ", which cannot be; the file is damaged");
        }
        if (unpacked > decompressedLeft) {
            throw new BadInputException(
                    source,
                    place(),
                    "compressed blocks unpack to more than the limit of " + limits.decompressedBytes() + " bytes");
        }
        decompressedLeft -= unpacked;
        inflater.reset();
        blockStart = recordStart;
        outerAt = at;
        packedLeft = packed;
        unpackedLeft = unpacked;
        buffer = inner;
        inBlock = true;
        innerBase = 0;
        at = 0;
        end = 0;
    }

    private void endBlock() throws IOException {
        try {
            // What is left may be the end mark of the compressed data, but no more bytes.
            while (!inflater.finished() && (packedLeft > 0 || !inflater.needsInput())) {
                if (inflater.needsInput()) {
                    feed();
                }
                if (inflater.inflate(inner, 0, 1) > 0) {
                    throw badBlock("gives more bytes than it says");
                }
                if (inflater.needsDictionary()) {
                    throw badBlock("holds damaged data");
                }
            }
        } catch (DataFormatException e) {
            throw badBlock("holds damaged data");
        }
        inBlock = false;
        buffer = outer;
        at = outerAt;
        end = outerEnd;
        skip(packedLeft);
    }

    boolean inBlock() {
        return inBlock;
    }

    // Values

    /** An unsigned integer, below 2^63. Zeros may follow its digits: some programs fill records so. */
    long unsigned() throws IOException {
        int b = next();
        long value = b & 0x7f;
        for (int shift = 7; b >= 0x80; shift += 7) {
            b = next();
            if (shift < 63) {
                value |= (long) (b & 0x7f) << shift;
            } else if ((b & 0x7f) != 0) {
                throw bad("holds a number of more than 63 bits; the file is damaged here");
            } else {
                shift = 63;
            }
        }
        return value;
    }

    /** A signed integer: its sign is the lowest bit. */
    long signed() throws IOException {
        long value = unsigned();
        return (value & 1) == 0 ? value >>> 1 : -(value >>> 1);
    }

    /** Skips an integer of any size. */
    void skipInteger() throws IOException {
        while (next() >= 0x80) {
            // Digits of seven bits, the last one without the mark.
        }
    }

    /** A signed integer within the range of coordinates. */
    long coordinate() throws IOException {
        return inRange(signed());
    }

    /** An unsigned integer within the range of coordinates. */
    long length() throws IOException {
        return inRange(unsigned());
    }

    long inRange(long value) {
        if (value > MAX_COORDINATE || value < -MAX_COORDINATE) {
            throw bad("holds a coordinate or length beyond " + MAX_COORDINATE + " database units");
        }
        return value;
    }

    double real() throws IOException {
        return real(unsigned());
    }

    /** A real of one of the eight types; never NaN or infinite. */
    double real(long type) throws IOException {
        double value = switch ((int) Math.min(type, 8)) {
            case 0 -> unsigned();
            case 1 -> -unsigned();
            case 2 -> 1.0 / unsigned();
            case 3 -> -1.0 / unsigned();
            case 4 -> (double) unsigned() / unsigned();
            case 5 -> -((double) unsigned() / unsigned());
            case 6 -> Float.intBitsToFloat((int) littleEndian(4));
            case 7 -> Double.longBitsToDouble(littleEndian(8));
            default -> throw bad("holds a real number of type " + type + "; 0 to 7 are known");
        };
        if (!Double.isFinite(value)) {
            throw bad("holds a real number that is " + (Double.isNaN(value) ? "no number" : "infinite"));
        }
        return value;
    }

    /** Skips a real, whatever its value. */
    void skipReal(long type) throws IOException {
        switch ((int) Math.min(type, 8)) {
            case 0, 1, 2, 3 -> skipInteger();
            case 4, 5 -> {
                skipInteger();
                skipInteger();
            }
            case 6 -> skip(4);
            case 7 -> skip(8);
            default -> throw bad("holds a real number of type " + type + "; 0 to 7 are known");
        }
    }

    long littleEndian(int bytes) throws IOException {
        long value = 0;
        for (int i = 0; i < bytes; i++) {
            value |= (long) next() << (8 * i);
        }
        return value;
    }

    /** A name: one byte or more. */
    String name() throws IOException {
        long length = unsigned();
        if (length == 0 || length > MAX_NAME_BYTES) {
            throw bad("gives a name of " + length + " bytes; 1 to " + MAX_NAME_BYTES + " are accepted");
        }
        byte[] bytes = new byte[(int) Math.min(length, 64)];
        for (int i = 0; i < length; i++) {
            if (i == bytes.length) {
                bytes = Arrays.copyOf(bytes, (int) Math.min(length, 2L * i));
            }
            bytes[i] = (byte) next();
        }
        keep(100 + 2 * length);
        return Cell.decodeName(bytes, 0, (int) length);
    }

    void skipString() throws IOException {
        skip(unsigned());
    }

    /** Reads an offset of any direction (the standard's g-delta) into {@link #dx} and {@link #dy}. */
    void delta() throws IOException {
        long value = unsigned();
        if ((value & 1) == 0) {
            direction((int) (value >> 1 & 7), value >>> 4);
            return;
        }
        dx = inRange((value & 2) == 0 ? value >>> 2 : -(value >>> 2));
        dy = coordinate();
    }

    /** Directions 0 to 7: east, north, west, south, north-east, north-west, south-west, south-east. */
    private void direction(int direction, long magnitude) {
        long m = inRange(magnitude);
        dx = switch (direction) {
            case 0, 4, 7 -> m;
            case 2, 5, 6 -> -m;
            default -> 0;
        };
        dy = switch (direction) {
            case 1, 4, 5 -> m;
            case 3, 6, 7 -> -m;
            default -> 0;
        };
    }

    /**
     * A point list: the origin and the points relative to it, x0, y0, x1, y1, ...
     *
     * @param polygon whether lists of types 0 and 1 get the last corner that polygons leave out
     */
    long[] pointList(boolean polygon) throws IOException {
        long type = unsigned();
        if (type > 5) {
            throw bad("has a point list of type " + type + "; 0 to 5 are known");
        }
        long count = unsigned();
        if (count > MAX_POINTS) {
            throw bad("has " + count + " points; at most " + MAX_POINTS + " are accepted");
        }
        if (polygon && type < 2 && (count & 1) != 0) {
            throw bad("has a point list of type " + type + " with an odd number of entries, " + count
                    + ", so its last side is not level or upright");
        }
        long x = 0;
        long y = 0;
        long stepX = 0;
        long stepY = 0;
        int n = put(0, 0, 0);
        for (long i = 0; i < count; i++) {
            switch ((int) type) {
                case 0, 1 -> {
                    boolean horizontal = (i & 1) == type;
                    long d = coordinate();
                    dx = horizontal ? d : 0;
                    dy = horizontal ? 0 : d;
                }
                case 2 -> {
                    long value = unsigned();
                    direction((int) (value & 3), value >>> 2);
                }
                case 3 -> {
                    long value = unsigned();
                    direction((int) (value & 7), value >>> 3);
                }
                default -> delta();
            }
            stepX = type == 5 ? inRange(stepX + dx) : dx;
            stepY = type == 5 ? inRange(stepY + dy) : dy;
            x = inRange(x + stepX);
            y = inRange(y + stepY);
            n = put(n, x, y);
        }
        if (polygon && type < 2) {
            n = put(n, type == 0 ? 0 : x, type == 0 ? y : 0);
        }
        return Arrays.copyOf(list, n);
    }

    /**
     * A repetition.
     *
     * @param last the one before, which type 0 repeats; null if there is none
     */
    Repetition repetition(Repetition last) throws IOException {
        long type = unsigned();
        switch ((int) Math.min(type, 12)) {
            case 0 -> {
                if (last == null) {
                    throw bad("repeats like an earlier record, but none repeats in this cell");
                }
                return last;
            }
            case 1 -> {
                int columns = copies();
                int rows = copies();
                long stepX = length();
                return grid(columns, rows, stepX, 0, 0, length());
            }
            case 2 -> {
                return grid(copies(), 1, length(), 0, 0, 0);
            }
            case 3 -> {
                return grid(1, copies(), 0, 0, 0, length());
            }
            case 4, 6 -> {
                return spaced(type == 4, 1);
            }
            case 5, 7 -> {
                return spaced(type == 5, -1);
            }
            case 8 -> {
                int columns = copies();
                int rows = copies();
                delta();
                long stepX = dx;
                long stepY = dy;
                delta();
                return grid(columns, rows, stepX, stepY, dx, dy);
            }
            case 9 -> {
                int columns = copies();
                delta();
                return grid(columns, 1, dx, dy, 0, 0);
            }
            case 10, 11 -> {
                int copies = copies();
                long grid = type == 11 ? length() : 1;
                int n = put(0, 0, 0);
                for (int i = 1; i < copies; i++) {
                    delta();
                    n = put(n, advance(list[n - 2], dx, grid), advance(list[n - 1], dy, grid));
                }
                return places(n);
            }
            default -> throw bad("has a repetition of type " + type + "; 0 to 11 are known");
        }
    }

    /** Copies along one axis at distances of their own, in multiples of a grid that is read if {@code fixedGrid} is not positive. */
    private Repetition spaced(boolean alongX, long fixedGrid) throws IOException {
        int copies = copies();
        long grid = fixedGrid > 0 ? fixedGrid : length();
        int n = put(0, 0, 0);
        long place = 0;
        for (int i = 1; i < copies; i++) {
            place = advance(place, unsigned(), grid);
            n = put(n, alongX ? place : 0, alongX ? 0 : place);
        }
        return places(n);
    }

    private long advance(long from, long steps, long grid) {
        if (Math.multiplyHigh(steps, grid) != (steps * grid) >> 63) {
            throw bad("repeats over more than 64 bits of distance");
        }
        return inRange(from + inRange(steps * grid));
    }

    /** A count of copies along one axis; the file holds it less two. */
    private int copies() throws IOException {
        long less = unsigned();
        if (less > Integer.MAX_VALUE - 2) {
            throw bad("repeats more than " + Integer.MAX_VALUE + " times along one axis");
        }
        return (int) less + 2;
    }

    private Repetition grid(int columns, int rows, long stepX, long stepY, long rowStepX, long rowStepY) {
        return new Repetition.Grid(
                columns,
                rows,
                advance(0, columns, stepX),
                advance(0, columns, stepY),
                advance(0, rows, rowStepX),
                advance(0, rows, rowStepY));
    }

    private Repetition places(int n) {
        keep(64 + 8L * n);
        return new Repetition.Places(Arrays.copyOf(list, n));
    }

    private int put(int n, long x, long y) {
        if (n == list.length) {
            // The list itself is memory too, for as long as it grows.
            keep(16L * n);
            memoryLeft += 16L * n;
            list = Arrays.copyOf(list, 2 * n);
        }
        list[n] = x;
        list[n + 1] = y;
        return n + 2;
    }

    // Limits and messages

    /** Counts memory that is kept. */
    void keep(long bytes) {
        memoryLeft -= bytes;
        if (memoryLeft < 0) {
            throw new BadInputException(
                    source,
                    place(),
                    "the layout needs more than the limit of " + limits.memoryBytes() / (1 << 20)
                            + " MB of memory; give Java more with -Xmx");
        }
    }

    String place() {
        String record = recordType < 0 ? "" : ", record " + Record.name(recordType);
        return "byte " + recordStart + (inBlock ? " of the compressed block at byte " + blockStart : "") + record;
    }

    BadInputException bad(String problem) {
        return new BadInputException(source, place(), problem);
    }

    private BadInputException badBlock(String problem) {
        return new BadInputException(
                source,
                "byte " + blockStart + ", record CBLOCK",
                "the compressed block " + problem + "; the file is damaged here");
    }

    private BadInputException cutShort() {
        return new BadInputException(
                source,
                place(),
                "the file ends before its END record is complete; it was cut short, get a complete copy");
    }
}
