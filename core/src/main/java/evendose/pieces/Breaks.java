package evendose.pieces;

import java.util.Arrays;

/** Where the pieces of a run meet: heights, and where the left and the right side end there. Piece {@code k} ends at break {@code k}. */
final class Breaks {
    double[] v = new double[32];
    double[] l = new double[32];
    double[] r = new double[32];

    /** Whether the drawn outline asks for a break at this height. */
    boolean[] isStop = new boolean[32];

    int size;

    void clear() {
        size = 0;
    }

    void add(double at, double left, double right, boolean stop) {
        resize(size + 1);
        set(size - 1, at, left, right);
        isStop[size - 1] = stop;
    }

    /** Makes room for so many; new ones are not filled, and no stops. */
    void resize(int count) {
        if (count > v.length) {
            int length = Math.max(count, 2 * size);
            v = Arrays.copyOf(v, length);
            l = Arrays.copyOf(l, length);
            r = Arrays.copyOf(r, length);
            isStop = Arrays.copyOf(isStop, length);
        }
        if (count > size) {
            Arrays.fill(isStop, size, count, false);
        }
        size = count;
    }

    void set(int k, double at, double left, double right) {
        v[k] = at;
        l[k] = left;
        r[k] = right;
    }

    /** Area of the piece that ends at break {@code k}. */
    double area(int k) {
        return 0.5 * (r[k] - l[k] + r[k - 1] - l[k - 1]) * (v[k] - v[k - 1]);
    }
}
