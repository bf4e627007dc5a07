package evendose.pieces;

import java.util.Arrays;

/** Ways to have cut a run up to a height: where the last piece ends, what it has added to the area, and the way it goes on from. */
final class CutWays {
    /** Ways that are followed at once. */
    private static final int FOLLOWED = 4;

    int size;
    double[] v = new double[64];
    double[] l = new double[64];
    double[] r = new double[64];
    double[] outL = new double[64];
    double[] outR = new double[64];
    int[] from = new int[64];
    private final double[] score = new double[FOLLOWED];

    void clear() {
        size = 0;
    }

    void add(double at, double le, double ri, double areaL, double areaR, int way) {
        if (size == v.length) {
            int length = 2 * size;
            v = Arrays.copyOf(v, length);
            l = Arrays.copyOf(l, length);
            r = Arrays.copyOf(r, length);
            outL = Arrays.copyOf(outL, length);
            outR = Arrays.copyOf(outR, length);
            from = Arrays.copyOf(from, length);
        }
        set(size++, at, le, ri, areaL, areaR, way);
    }

    private void set(int k, double at, double le, double ri, double areaL, double areaR, int way) {
        v[k] = at;
        l[k] = le;
        r[k] = ri;
        outL[k] = areaL;
        outR[k] = areaR;
        from[k] = way;
    }

    /** Whether as many are kept by {@link #offer} as are followed. */
    boolean isFull() {
        return size == FOLLOWED;
    }

    double lowestScore() {
        return score[size - 1];
    }

    /** Keeps the best of what is offered, best first; of two ways to the same place, the better one. */
    void offer(double worth, double at, double le, double ri, double areaL, double areaR, int way) {
        for (int k = 0; k < size; k++) {
            if (v[k] == at && l[k] == le && r[k] == ri) {
                if (worth <= score[k]) {
                    return;
                }
                remove(k);
                break;
            }
        }
        if (isFull()) {
            if (worth <= lowestScore()) {
                return;
            }
            size--;
        }
        int k = size++;
        for (; k > 0 && score[k - 1] < worth; k--) {
            score[k] = score[k - 1];
            set(k, v[k - 1], l[k - 1], r[k - 1], outL[k - 1], outR[k - 1], from[k - 1]);
        }
        score[k] = worth;
        set(k, at, le, ri, areaL, areaR, way);
    }

    private void remove(int k) {
        for (int m = k; m + 1 < size; m++) {
            score[m] = score[m + 1];
            set(m, v[m + 1], l[m + 1], r[m + 1], outL[m + 1], outR[m + 1], from[m + 1]);
        }
        size--;
    }
}
