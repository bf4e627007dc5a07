package evendose.energy;

import java.io.IOException;
import java.io.ObjectInputStream;
import java.io.ObjectOutputStream;
import java.lang.invoke.MethodHandles;
import java.lang.invoke.VarHandle;
import java.nio.ByteOrder;

/**
 * Writes the weights of windows, most of what a tile's energy takes on disk, with 20 bits each: as multiples of a step of the window's own. What rounding leaves goes to the next
 * weight and the step divides their sum, so a window's sum stays to 1e-7. What weights multiply is smooth from node to node, so no energy moves by more.
 */
final class WindowWeights {
    private static final int BITS = 20;
    private static final int MOST = (1 << BITS) - 1;
    private static final int PAIR = 5;
    private static final int ONE = 3;
    private static final double HALF = 0.5;
    private static final VarHandle LONGS = MethodHandles.byteArrayViewVarHandle(long[].class, ByteOrder.LITTLE_ENDIAN);

    /** The step of windows whose weights are not multiples of one: these go as they are. */
    private static final float NONE = 0;

    private WindowWeights() {}

    /**
     * Writes.
     *
     * @param weight the weights of all windows
     * @param first first weight of each window, and their number at the end
     */
    static void write(float[] weight, int[] first, ObjectOutputStream out) throws IOException {
        int windows = first.length - 1;
        float[] step = new float[windows];
        byte[] bytes = new byte[Float.BYTES * first[windows] + Long.BYTES];
        int at = 0;
        for (int w = 0; w < windows; w++) {
            step[w] = step(weight, first[w], first[w + 1]);
            at = step[w] == NONE
                    ? putPlain(weight, first[w], first[w + 1], bytes, at)
                    : put(weight, first[w], first[w + 1], 1.0 / step[w], bytes, at);
        }
        out.writeObject(step);
        out.writeInt(at);
        out.write(bytes, 0, at);
    }

    private static int putPlain(float[] weight, int from, int to, byte[] bytes, int at) {
        for (int i = from; i < to; i++) {
            LONGS.set(bytes, at + Float.BYTES * (i - from), (long) Float.floatToRawIntBits(weight[i]));
        }
        return at + Float.BYTES * (to - from);
    }

    /** Two weights take five bytes, one that is left over takes three. */
    private static int put(float[] weight, int from, int to, double perStep, byte[] bytes, int at) {
        double left = HALF;
        int to2 = to - (to - from) % 2;
        int next = at;
        for (int i = from; i < to2; i += 2) {
            double exact = weight[i] * perStep + left;
            long low = (long) exact;
            left = exact - low + weight[i + 1] * perStep;
            long high = (long) left;
            left -= high;
            LONGS.set(bytes, next, low | high << BITS);
            next += PAIR;
        }
        if (to2 < to) {
            LONGS.set(bytes, next, (long) (weight[to2] * perStep + left));
            next += ONE;
        }
        return next;
    }

    private static float step(float[] weight, int from, int to) {
        double sum = 0;
        float largest = 0;
        for (int i = from; i < to; i++) {
            if (weight[i] < 0) {
                return NONE;
            }
            sum += weight[i];
            largest = Math.max(largest, weight[i]);
        }
        // What rounding left of the weight before may come on top of the largest.
        double wanted = largest / (MOST - 2.0);
        return wanted > Float.MIN_NORMAL ? (float) (sum / Math.rint(sum / wanted)) : NONE;
    }

    /**
     * Reads what was written.
     *
     * @param first as when it was written
     */
    static float[] read(int[] first, ObjectInputStream in) throws IOException, ClassNotFoundException {
        float[] step = (float[]) in.readObject();
        int length = in.readInt();
        byte[] bytes = new byte[length + Long.BYTES];
        in.readFully(bytes, 0, length);
        float[] weight = new float[first[step.length]];
        int at = 0;
        for (int w = 0; w < step.length; w++) {
            at = step[w] == NONE
                    ? getPlain(bytes, at, weight, first[w], first[w + 1])
                    : get(bytes, at, step[w], weight, first[w], first[w + 1]);
        }
        return weight;
    }

    private static int getPlain(byte[] bytes, int at, float[] weight, int from, int to) {
        for (int i = from; i < to; i++) {
            weight[i] = Float.intBitsToFloat((int) (long) LONGS.get(bytes, at + Float.BYTES * (i - from)));
        }
        return at + Float.BYTES * (to - from);
    }

    private static int get(byte[] bytes, int at, float step, float[] weight, int from, int to) {
        int to2 = to - (to - from) % 2;
        int next = at;
        for (int i = from; i < to2; i += 2) {
            long pair = (long) LONGS.get(bytes, next);
            weight[i] = step * (int) (pair & MOST);
            weight[i + 1] = step * (int) (pair >>> BITS & MOST);
            next += PAIR;
        }
        if (to2 < to) {
            weight[to2] = step * (int) ((long) LONGS.get(bytes, next) & MOST);
            next += ONE;
        }
        return next;
    }
}
