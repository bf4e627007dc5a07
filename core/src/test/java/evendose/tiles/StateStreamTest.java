package evendose.tiles;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertSame;

import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.ObjectInputStream;
import java.io.Serializable;
import java.util.Random;
import org.junit.jupiter.api.Test;

class StateStreamTest {
    private record Arrays(double[] d, float[] f, long[] l, int[] i, int[] sameAgain, boolean[] b, double[][] parts)
            implements Serializable {}

    private static byte[] bytes(Object value) throws IOException {
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        try (StateStream out = new StateStream(bytes)) {
            out.writeObject(value);
        }
        return bytes.toByteArray();
    }

    private static Object copy(Object value) throws IOException, ClassNotFoundException {
        try (ObjectInputStream in = new ObjectInputStream(new ByteArrayInputStream(bytes(value)))) {
            return in.readObject();
        }
    }

    /** Short ones, which stay as they are, and those that take one block, several, and not quite a whole number of blocks. */
    @Test
    void arraysOfAnyLengthComeBackBitByBit() throws Exception {
        Random random = new Random(3);
        for (int n : new int[] {0, 1, 64, 65, 8_192, 16_384, 16_385, 100_003}) {
            int[] i = random.ints(n).toArray();
            long[] l = random.longs(n).toArray();
            double[] d = java.util.Arrays.stream(l)
                    .mapToDouble(Double::longBitsToDouble)
                    .toArray();
            float[] f = new float[n];
            boolean[] b = new boolean[n];
            for (int k = 0; k < n; k++) {
                f[k] = Float.intBitsToFloat(i[k]);
                b[k] = i[k] > 0;
            }
            Arrays there = (Arrays) copy(new Arrays(d, f, l, i, i, b, new double[][] {d, {1, 2}, null}));
            assertArrayEquals(d, there.d);
            assertArrayEquals(f, there.f);
            assertArrayEquals(l, there.l);
            assertArrayEquals(i, there.i);
            assertArrayEquals(b, there.b);
            assertSame(there.i, there.sameAgain);
            assertSame(there.d, there.parts[0]);
            assertEquals(3, there.parts.length);
            assertArrayEquals(new double[] {1, 2}, there.parts[1]);
        }
    }

    /** Whole numbers whose differences, or whose steps, take any number of bytes, the smallest and the largest that there are among them. */
    @Test
    void wholeNumbersOfAllSizesComeBack() throws Exception {
        Random random = new Random(4);
        int n = 9_001;
        for (int bits = 0; bits <= 64; bits++) {
            long[] near = new long[n];
            long[] steps = new long[n];
            for (int k = 0; k < n; k++) {
                near[k] = -77 + (bits == 0 ? 0 : random.nextLong() >>> 64 - bits);
                steps[k] = k == 0 ? Long.MIN_VALUE / 3 : steps[k - 1] + near[k];
            }
            near[5_000] = bits > 63 ? Long.MIN_VALUE : near[5_000];
            near[5_001] = bits > 63 ? Long.MAX_VALUE : near[5_001];
            assertArrayEquals(near, (long[]) copy(near));
            assertArrayEquals(steps, (long[]) copy(steps));
            int[] ints = new int[n];
            char[] chars = new char[n];
            for (int k = 0; k < n; k++) {
                ints[k] = (int) near[k];
                chars[k] = (char) near[k];
            }
            assertArrayEquals(ints, (int[]) copy(ints));
            assertArrayEquals(chars, (char[]) copy(chars));
        }
    }

    /** Lengths in whole database units, one that is none among them, and those that look like one but for the last bit or the sign of zero. */
    @Test
    void lengthsComeBackBitByBit() throws Exception {
        Random random = new Random(6);
        double[] all = new double[30_000];
        for (double unit : new double[] {0.001, 0.0005, 0.0001}) {
            for (int k = 0; k < all.length; k++) {
                all[k] = (random.nextInt(200_000_000) - 100_000_000) * unit;
            }
            all[7] = Math.nextUp(all[7]);
            all[5_000] = -0.0;
            all[10_000] = Double.NaN;
            all[14_000] = Double.NEGATIVE_INFINITY;
            all[18_000] = 1e300;
            double[] there = (double[]) copy(all);
            for (int k = 0; k < all.length; k++) {
                assertEquals(Double.doubleToRawLongBits(all[k]), Double.doubleToRawLongBits(there[k]), "number " + k);
            }
        }
    }

    /** Few bytes: none for what is all the same, one for rising numbers, three for lengths within a tile; other numbers as they are. */
    @Test
    void numbersTakeFewBytes() throws Exception {
        Random random = new Random(7);
        int n = 40_000;
        int[] rising = new int[n];
        double[][] lengths = new double[3][n];
        double[] any = new double[n];
        for (int k = 1; k < n; k++) {
            rising[k] = rising[k - 1] + 1 + random.nextInt(200);
            for (int unit = 0; unit < 3; unit++) {
                lengths[unit][k] =
                        (90_000_001 + random.nextInt(10_000_000)) * new double[] {0.001, 0.0005, 0.0001}[unit];
            }
            any[k] = random.nextDouble();
        }
        for (double[] ofUnit : lengths) {
            ofUnit[0] = ofUnit[1];
        }
        assertEquals(0, bytes(new boolean[n]).length / (double) n, 0.02);
        // The stream itself adds half a percent.
        assertEquals(1, bytes(rising).length / (double) n, 0.03);
        for (double[] ofUnit : lengths) {
            assertEquals(3, bytes(ofUnit).length / (double) n, 0.03);
        }
        assertEquals(8, bytes(any).length / (double) n, 0.06);
    }
}
