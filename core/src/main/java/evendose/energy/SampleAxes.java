package evendose.energy;

import evendose.pieces.Samples;

/**
 * The distinct coordinates of a unit's samples. Samples along upright sides share them: twenty points around a rectangle have seven places
 * along x and seven along y, and the integral over a rectangle is a product of one factor for each. To be used again and again.
 */
final class SampleAxes {
    /** Coordinates closer than this, um, are one: far below all ranges, above the rounding of sides run in opposite directions. */
    private static final double SAME_UM = 1e-10;

    /** Places along x and along y together for each sample at most, or there is too little to share. */
    private static final double MOST_PLACES = 1.25;

    private double[] xUm = new double[32];
    private double[] yUm = new double[32];
    private double[] alongX = new double[32];
    private double[] alongY = new double[32];
    private int[] column = new int[64];
    private int[] row = new int[64];
    private float[] weight = new float[64];
    private int columns;
    private int rows;
    private int size;
    private boolean isShared;

    /** Becomes the places of unit {@code u}. */
    void of(Samples samples, int u) {
        int from = samples.first(u);
        size = samples.first(u + 1) - from;
        columns = 0;
        rows = 0;
        int most = (int) (MOST_PLACES * size);
        if (column.length < size) {
            column = new int[2 * size];
            row = new int[2 * size];
            weight = new float[2 * size];
        }
        if (xUm.length < size) {
            xUm = new double[2 * size];
            yUm = new double[2 * size];
            alongX = new double[2 * size];
            alongY = new double[2 * size];
        }
        for (int j = 0; j < size; j++) {
            column[j] = place(samples.xUm(from + j), xUm, columns);
            row[j] = place(samples.yUm(from + j), yUm, rows);
            weight[j] = samples.weight(from + j);
            columns = Math.max(columns, column[j] + 1);
            rows = Math.max(rows, row[j] + 1);
            if (columns + rows > most) {
                isShared = false;
                return;
            }
        }
        isShared = true;
    }

    private static int place(double coordinate, double[] places, int count) {
        int k = 0;
        while (k < count && Math.abs(places[k] - coordinate) > SAME_UM) {
            k++;
        }
        places[k] = coordinate;
        return k;
    }

    /** Whether enough samples share places that {@link #rectangle} saves work. */
    boolean isShared() {
        return isShared;
    }

    /** Number of places along x and along y. */
    int places() {
        return columns + rows;
    }

    /** Weighted mean over the samples of the integral over a rectangle, um, of the unit Gaussian of range {@code 1 / scale}. */
    double rectangle(double left, double right, double bottom, double top, double scale, GaussianKernel kernel) {
        boolean reached = false;
        for (int c = 0; c < columns; c++) {
            alongX[c] = kernel.bandWithin((left - xUm[c]) * scale, (right - xUm[c]) * scale);
            reached |= alongX[c] != 0;
        }
        if (!reached) {
            return 0;
        }
        for (int r = 0; r < rows; r++) {
            alongY[r] = kernel.bandWithin((bottom - yUm[r]) * scale, (top - yUm[r]) * scale);
        }
        double sum = 0;
        for (int j = 0; j < size; j++) {
            sum += weight[j] * alongX[column[j]] * alongY[row[j]];
        }
        return sum;
    }
}
