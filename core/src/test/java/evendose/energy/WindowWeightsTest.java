package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.ObjectInputStream;
import java.io.ObjectOutputStream;
import java.util.Arrays;
import java.util.Random;
import org.junit.jupiter.api.Test;

class WindowWeightsTest {
    private static final int COLUMNS = 40;

    private static byte[] written(GridWindows windows) throws IOException {
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        try (ObjectOutputStream out = new ObjectOutputStream(bytes)) {
            out.writeObject(windows);
        }
        return bytes.toByteArray();
    }

    private static GridWindows read(byte[] bytes) throws IOException, ClassNotFoundException {
        try (ObjectInputStream in = new ObjectInputStream(new ByteArrayInputStream(bytes))) {
            return (GridWindows) in.readObject();
        }
    }

    private static double[] weights(GridWindows windows, int unit, int units) {
        double[] of = new double[units];
        of[unit] = 1;
        double[] grid = new double[COLUMNS * COLUMNS];
        windows.scatter(of, grid, COLUMNS);
        return grid;
    }

    /** Windows of all sizes, with weights over eight decades: each stays to a millionth of the largest, and their sum to 1e-7. */
    @Test
    void weightsOfAWindowKeepTheirSum() throws Exception {
        Random random = new Random(5);
        GridWindows windows = new GridWindows();
        int n = 0;
        for (int columns = 1; columns < 8; columns++) {
            for (int rows = 1; rows < 8; rows++) {
                double[] values = new double[columns * rows];
                double scale = Math.pow(10, -8 * random.nextDouble());
                Arrays.setAll(values, i -> scale * Math.pow(random.nextDouble(), 3));
                windows.add(n, 3 * COLUMNS + n % 7, columns, rows, values);
                n++;
            }
        }
        byte[] bytes = written(windows.copy());
        // Two and a half bytes a weight and one more for windows of an odd number; 20 for where each lies; names.
        assertTrue(bytes.length < 2.5 * 784 + 21 * n + 400, "bytes " + bytes.length);
        GridWindows there = read(bytes);
        for (int u = 0; u < n; u++) {
            double[] before = weights(windows, u, n);
            double[] after = weights(there, u, n);
            double largest = Arrays.stream(before).max().orElseThrow();
            assertArrayEquals(before, after, 1.01e-6 * largest);
            double sum = Arrays.stream(before).sum();
            assertEquals(sum, Arrays.stream(after).sum(), 1e-7 * sum);
        }
    }

    /** Negative weights and windows of nothing are left as they are, between others. */
    @Test
    void otherWeightsStayAsTheyAre() throws Exception {
        GridWindows windows = new GridWindows();
        double[][] values = {{0.1, -0.2, 0.7}, {0.3}, {0, 0}, {Float.MIN_VALUE, 0}, {-0.5}, {1, 2, 3}};
        int n = values.length;
        for (int u = 0; u < n; u++) {
            windows.add(u, u, values[u].length, 1, values[u]);
        }
        GridWindows there = read(written(windows.copy()));
        for (int u = 0; u < n; u++) {
            boolean isPacked = u == 1 || u == 5;
            assertArrayEquals(weights(windows, u, n), weights(there, u, n), isPacked ? 3e-6 : 0, "window " + u);
        }
    }
}
