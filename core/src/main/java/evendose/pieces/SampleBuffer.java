package evendose.pieces;

import java.util.Arrays;

/** A growing list of samples, each with the unit it belongs to. Emptied, it keeps its room for the next use. */
class SampleBuffer {
    double[] x = new double[64];
    double[] y = new double[64];
    double[] weight = new double[64];
    int[] unit = new int[64];
    int size;

    void add(double px, double py, double w, int u) {
        if (size == x.length) {
            grow(2 * size);
        }
        x[size] = px;
        y[size] = py;
        weight[size] = w;
        unit[size++] = u;
    }

    /** Makes room for {@code n} samples. */
    void reserve(int n) {
        if (n > x.length) {
            grow(Math.max(n, 2 * x.length));
        }
    }

    void grow(int length) {
        x = Arrays.copyOf(x, length);
        y = Arrays.copyOf(y, length);
        weight = Arrays.copyOf(weight, length);
        unit = Arrays.copyOf(unit, length);
    }

    /** Puts sample {@code i} of {@code from} at place {@code to}, for which there must be room. */
    void set(int to, SampleBuffer from, int i) {
        x[to] = from.x[i];
        y[to] = from.y[i];
        weight[to] = from.weight[i];
        unit[to] = from.unit[i];
    }
}
