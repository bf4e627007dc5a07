package evendose.energy;

import evendose.pieces.Samples;
import java.util.Arrays;

/**
 * The distinct coordinates of a unit's samples. Samples along upright sides share them: twenty points around a rectangle have seven places
 * along x and seven along y, and the integral over a rectangle is a product of one factor for each. The factors follow from error functions
 * between these places and the ends of rectangles, and rectangles in rows and columns share ends. To be used again and again: {@link #of} a
 * unit, then the ends of all rectangles, then for each {@link #scale} the rectangles.
 */
final class SampleAxes {
    /** Coordinates closer than this, um, are one: far below all ranges, above the rounding of sides run in opposite directions. */
    private static final double SAME_UM = 1e-10;

    /** Places along x and along y together for each sample at most, or there is too little to share. */
    private static final double MOST_PLACES = 1.25;

    /** So many samples, a side of a rectangle or more, show whether it will be so. */
    private static final int ENOUGH = 16;

    private final Axis alongX = new Axis();
    private final Axis alongY = new Axis();
    private boolean isShared;

    // Samples column by column: those of column c are first[c] to first[c + 1] - 1.
    private int[] first = new int[32];
    private int[] row = new int[64];
    private double[] weight = new double[64];

    // In the order that samples come.
    private int[] columnOf = new int[64];
    private int[] rowOf = new int[64];

    private double[] acrossRows = new double[32];

    /** Becomes the places of unit {@code u}. */
    void of(Samples samples, int u) {
        int from = samples.first(u);
        int size = samples.first(u + 1) - from;
        alongX.clear();
        alongY.clear();
        isShared = false;
        int most = (int) (MOST_PLACES * size);
        if (row.length < size) {
            columnOf = new int[2 * size];
            rowOf = new int[2 * size];
            row = new int[2 * size];
            weight = new double[2 * size];
        }
        for (int j = 0; j < size; j++) {
            columnOf[j] = alongX.place(samples.xUm(from + j));
            rowOf[j] = alongY.place(samples.yUm(from + j));
            if (places() > most || (j >= ENOUGH && places() > MOST_PLACES * (j + 1))) {
                return;
            }
        }
        isShared = true;
        inColumns(samples, from, size);
    }

    private void inColumns(Samples samples, int from, int size) {
        int columns = alongX.places;
        if (first.length <= columns) {
            first = new int[2 * columns];
        }
        if (acrossRows.length < alongY.places) {
            acrossRows = new double[2 * alongY.places];
        }
        Arrays.fill(first, 0, columns + 1, 0);
        for (int j = 0; j < size; j++) {
            first[columnOf[j]]++;
        }
        for (int c = 0, sum = 0; c <= columns; c++) {
            sum += first[c];
            first[c] = sum;
        }
        for (int j = size - 1; j >= 0; j--) {
            int at = --first[columnOf[j]];
            row[at] = rowOf[j];
            weight[at] = samples.weight(from + j);
        }
    }

    /** Whether enough samples share places that {@link #rectangle} saves work. */
    boolean isShared() {
        return isShared;
    }

    /** Number of places along x and along y. */
    int places() {
        return alongX.places + alongY.places;
    }

    /** Number of places along x. */
    int columns() {
        return alongX.places;
    }

    /** Number of places along y. */
    int rows() {
        return alongY.places;
    }

    /** x of a column, um. */
    double xUm(int c) {
        return alongX.place[c];
    }

    /** y of a row, um. */
    double yUm(int r) {
        return alongY.place[r];
    }

    /** Where the samples of column {@code c} begin among those in columns; only if places are shared. */
    int firstIn(int c) {
        return first[c];
    }

    /** Row of a sample among those in columns. */
    int row(int sample) {
        return row[sample];
    }

    /** Weight of a sample among those in columns. */
    double weight(int sample) {
        return weight[sample];
    }

    /** Number of an end of a rectangle along x, um, for {@link #rectangle}; equal ends that come soon after each other are one. */
    int endAlongX(double xUm) {
        return alongX.end(xUm);
    }

    /** As {@link #endAlongX}, along y. */
    int endAlongY(double yUm) {
        return alongY.end(yUm);
    }

    /** Sets the Gaussian that is integrated, of range {@code 1 / perUm}. */
    void scale(double perUm) {
        alongX.scale(perUm);
        alongY.scale(perUm);
    }

    /** Weighted mean over the samples of the integral of the unit Gaussian over the rectangle between numbered ends. */
    double rectangle(int left, int right, int bottom, int top) {
        int l = alongX.erfs(left);
        int r = alongX.erfs(right);
        int b = alongY.erfs(bottom);
        int t = alongY.erfs(top);
        double[] x = alongX.erf;
        double[] y = alongY.erf;
        double[] across = acrossRows;
        for (int q = 0; q < alongY.places; q++) {
            across[q] = y[t + q] - y[b + q];
        }
        double sum = 0;
        int j = 0;
        for (int c = 0; c < alongX.places; c++) {
            double column = 0;
            for (int end = first[c + 1]; j < end; j++) {
                column += weight[j] * across[row[j]];
            }
            sum += column * (x[r + c] - x[l + c]);
        }
        return 0.25 * sum;
    }

    /** Places of samples and ends of rectangles along one axis, and the error functions between them. */
    private static final class Axis {
        /** An end is looked for among so many before it. */
        private static final int LATELY = 16;

        int places;
        double[] erf = new double[1024];
        private double[] place = new double[32];
        private int ends;
        private double[] end = new double[64];
        private double[] doneFor = new double[64];
        private double perUm;

        void clear() {
            places = 0;
            ends = 0;
        }

        void scale(double newPerUm) {
            perUm = newPerUm;
        }

        int place(double coordinate) {
            int k = 0;
            while (k < places && Math.abs(place[k] - coordinate) > SAME_UM) {
                k++;
            }
            if (k == places) {
                if (k == place.length) {
                    place = Arrays.copyOf(place, 2 * k);
                }
                place[k] = coordinate;
                places++;
            }
            return k;
        }

        int end(double coordinate) {
            for (int e = ends - 1; e >= Math.max(0, ends - LATELY); e--) {
                if (end[e] == coordinate) {
                    return e;
                }
            }
            if (ends == end.length) {
                end = Arrays.copyOf(end, 2 * ends);
                doneFor = Arrays.copyOf(doneFor, 2 * ends);
            }
            end[ends] = coordinate;
            doneFor[ends] = Double.NaN;
            return ends++;
        }

        /** Where the error functions of end {@code e} begin; computed when first asked for. */
        int erfs(int e) {
            int at = e * places;
            if (doneFor[e] != perUm) {
                doneFor[e] = perUm;
                if (erf.length < at + places) {
                    erf = Arrays.copyOf(erf, 2 * (at + places));
                }
                for (int p = 0; p < places; p++) {
                    erf[at + p] = GaussianKernel.ENGINE.erf((end[e] - place[p]) * perUm);
                }
            }
            return at;
        }
    }
}
