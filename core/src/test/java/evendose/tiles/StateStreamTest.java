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

    private static Object copy(Object value) throws IOException, ClassNotFoundException {
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        try (StateStream out = new StateStream(bytes)) {
            out.writeObject(value);
        }
        try (ObjectInputStream in = new ObjectInputStream(new ByteArrayInputStream(bytes.toByteArray()))) {
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
}
