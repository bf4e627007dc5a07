package evendose.tiles;

import java.io.DataInput;
import java.io.DataOutput;
import java.io.IOException;
import java.lang.invoke.MethodHandles;
import java.lang.invoke.VarHandle;
import java.nio.ByteOrder;

/**
 * Some numbers of an array in few bytes, bit by bit the same when they are read. Whole numbers are written as what they, or their steps from one to the next, are more
 * than the smallest of them, with as many bytes as the largest takes. Lengths are mostly whole multiples of a database unit, and then go as these.
 */
final class PackedNumbers {
    /** Numbers that are packed together: few enough that one that stands out costs little. */
    static final int MOST = 4096;

    /** Database units that are tried, um. */
    private static final double[] UNITS = {1e-3, 5e-4, 1e-4};

    private static final int PLAIN = -1;
    private static final int STEPS = 16;

    private static final VarHandle LONGS = MethodHandles.byteArrayViewVarHandle(long[].class, ByteOrder.LITTLE_ENDIAN);

    private final long[] whole;
    private final byte[] bytes;

    /** For an array of a length. */
    PackedNumbers(int length) {
        int most = Math.min(MOST, length);
        whole = new long[most];
        bytes = new byte[Long.BYTES * most];
    }

    /** Writes numbers of an array of numbers of any kind. */
    void write(Object array, int from, int n, DataOutput out) throws IOException {
        if (array instanceof double[] d) {
            int unit = unit(d, from, n);
            out.writeByte(unit);
            if (unit == PLAIN) {
                for (int i = 0; i < n; i++) {
                    put(i, Long.BYTES, Double.doubleToRawLongBits(d[from + i]));
                }
                out.write(bytes, 0, Long.BYTES * n);
                return;
            }
        } else if (array instanceof float[] f) {
            for (int i = 0; i < n; i++) {
                put(i, Float.BYTES, Float.floatToRawIntBits(f[from + i]));
            }
            out.write(bytes, 0, Float.BYTES * n);
            return;
        } else if (array instanceof long[] l) {
            System.arraycopy(l, from, whole, 0, n);
        } else if (array instanceof char[] c) {
            for (int i = 0; i < n; i++) {
                whole[i] = c[from + i];
            }
        } else if (array instanceof boolean[] b) {
            for (int i = 0; i < n; i++) {
                whole[i] = b[from + i] ? 1 : 0;
            }
        } else {
            int[] ints = (int[]) array;
            for (int i = 0; i < n; i++) {
                whole[i] = ints[from + i];
            }
        }
        writeWhole(n, out);
    }

    /** Reads numbers into an array of the kind that was written. */
    void read(Object array, int from, int n, DataInput in) throws IOException {
        if (array instanceof double[] d) {
            int unit = in.readByte();
            if (unit == PLAIN) {
                in.readFully(bytes, 0, Long.BYTES * n);
                for (int i = 0; i < n; i++) {
                    d[from + i] = Double.longBitsToDouble(get(i, Long.BYTES));
                }
                return;
            }
            readWhole(n, in);
            for (int i = 0; i < n; i++) {
                d[from + i] = whole[i] * UNITS[unit];
            }
        } else if (array instanceof float[] f) {
            in.readFully(bytes, 0, Float.BYTES * n);
            for (int i = 0; i < n; i++) {
                f[from + i] = Float.intBitsToFloat((int) get(i, Float.BYTES));
            }
        } else if (array instanceof long[] l) {
            readWhole(n, in);
            System.arraycopy(whole, 0, l, from, n);
        } else if (array instanceof char[] c) {
            readWhole(n, in);
            for (int i = 0; i < n; i++) {
                c[from + i] = (char) whole[i];
            }
        } else if (array instanceof boolean[] b) {
            readWhole(n, in);
            for (int i = 0; i < n; i++) {
                b[from + i] = whole[i] != 0;
            }
        } else {
            readWhole(n, in);
            int[] ints = (int[]) array;
            for (int i = 0; i < n; i++) {
                ints[from + i] = (int) whole[i];
            }
        }
    }

    /** Finds the unit of which all numbers are multiples, bit by bit, and sets these. */
    private int unit(double[] d, int from, int n) {
        for (int u = 0; u < UNITS.length; u++) {
            int i = 0;
            while (i < n && isMultiple(d[from + i], UNITS[u], i)) {
                i++;
            }
            if (i == n) {
                return u;
            }
        }
        return PLAIN;
    }

    private boolean isMultiple(double value, double unit, int i) {
        whole[i] = (long) Math.rint(value / unit);
        return Double.doubleToRawLongBits(whole[i] * unit) == Double.doubleToRawLongBits(value);
    }

    private void writeWhole(int n, DataOutput out) throws IOException {
        long min = whole[0];
        long max = whole[0];
        for (int i = 1; i < n; i++) {
            min = Math.min(min, whole[i]);
            max = Math.max(max, whole[i]);
        }
        int width = width(min, max);
        long minStep = Long.MAX_VALUE;
        long maxStep = Long.MIN_VALUE;
        for (int i = 1; i < n; i++) {
            minStep = Math.min(minStep, whole[i] - whole[i - 1]);
            maxStep = Math.max(maxStep, whole[i] - whole[i - 1]);
        }
        boolean steps = minStep <= maxStep && width(minStep, maxStep) < width;
        long base = steps ? minStep : min;
        width = steps ? width(minStep, maxStep) : width;
        out.writeByte(steps ? STEPS + width : width);
        out.writeLong(base);
        out.writeLong(whole[0]);
        long former = whole[0] - base;
        for (int i = 0; i < n; i++) {
            put(i, width, whole[i] - base - (steps ? former : 0));
            former = whole[i];
        }
        out.write(bytes, 0, width * n);
    }

    private void readWhole(int n, DataInput in) throws IOException {
        int code = in.readByte();
        boolean steps = code >= STEPS;
        int width = steps ? code - STEPS : code;
        long base = in.readLong();
        long former = in.readLong() - base;
        in.readFully(bytes, 0, width * n);
        for (int i = 0; i < n; i++) {
            whole[i] = get(i, width) + base + (steps ? former : 0);
            former = whole[i];
        }
    }

    /** Bytes that the differences of numbers from the smallest take. */
    private static int width(long min, long max) {
        return (Long.SIZE + Byte.SIZE - 1 - Long.numberOfLeadingZeros(max - min)) / Byte.SIZE;
    }

    /** Numbers are put in their order: what is written beyond the width is the next one's. */
    private void put(int i, int width, long value) {
        LONGS.set(bytes, i * width, value);
    }

    private long get(int i, int width) {
        long mask = width == 0 ? 0 : -1L >>> Long.SIZE - Byte.SIZE * width;
        return (long) LONGS.get(bytes, i * width) & mask;
    }
}
