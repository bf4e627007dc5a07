package evendose.energy;

import evendose.pieces.Samples;
import java.util.Arrays;

/**
 * Builds the windows that gather the criterion of one unit after the other from a grid: the spline weights of all samples of a unit in one window,
 * or one window a sample where they lie far apart.
 */
final class GatherKernel {
    /** Splines that are not zero at a point, along one axis. */
    private static final int SPLINES = 4;

    private final Samples samples;
    private final FarGrid grid;
    private final SampleBox box = new SampleBox();
    private final SampleAxes axes = new SampleAxes();
    private final double[] wx = new double[SPLINES];
    private final double[] wy = new double[SPLINES];
    private double[] window = new double[64];
    private double[] column = new double[16];
    private int[] rowAt = new int[32];
    private double[] rowWeights = new double[128];
    final GridWindows windows = new GridWindows();

    GatherKernel(Samples samples, FarGrid grid) {
        this.samples = samples;
        this.grid = grid;
    }

    /** Begins anew. */
    void begin() {
        windows.clear();
    }

    void add(int unit) {
        int first = samples.first(unit);
        int end = samples.first(unit + 1);
        if (first == end) {
            return;
        }
        box.around(samples, unit);
        int c0 = lowest(grid.column(box.left));
        int c1 = lowest(grid.column(box.right)) + SPLINES;
        int r0 = lowest(grid.row(box.bottom));
        int r1 = lowest(grid.row(box.top)) + SPLINES;
        if ((long) (c1 - c0) * (r1 - r0) > (long) SPLINES * SPLINES * (end - first)) {
            for (int j = first; j < end; j++) {
                int c = lowest(grid.column(samples.xUm(j)));
                int r = lowest(grid.row(samples.yUm(j)));
                begin(unit, c, c + SPLINES, r, r + SPLINES);
                addSample(j, c, SPLINES, r);
                windows.add(unit, r * grid.columns() + c, SPLINES, SPLINES, window);
            }
            return;
        }
        int width = c1 - c0;
        begin(unit, c0, c1, r0, r1);
        axes.of(samples, unit);
        if (axes.isShared()) {
            addColumns(c0, width, r0, r1 - r0);
        } else {
            for (int j = first; j < end; j++) {
                addSample(j, c0, width, r0);
            }
        }
        windows.add(unit, r0 * grid.columns() + c0, width, r1 - r0, window);
    }

    /** Number of the first spline that is not zero at a place, in pitches. */
    private static int lowest(double place) {
        return (int) place - 1;
    }

    private void begin(int unit, int c0, int c1, int r0, int r1) {
        if (c0 < 0 || r0 < 0 || c1 > grid.columns() || r1 > grid.rows()) {
            throw new IllegalArgumentException("a sample of unit " + unit + " lies far from all pieces");
        }
        int size = (c1 - c0) * (r1 - r0);
        if (window.length < size) {
            window = new double[2 * size];
        }
        Arrays.fill(window, 0, size, 0);
    }

    private void addSample(int j, int c0, int width, int r0) {
        double x = grid.column(samples.xUm(j));
        double y = grid.row(samples.yUm(j));
        CubicSpline.weights(x - (int) x, wx);
        CubicSpline.weights(y - (int) y, wy);
        for (int q = 0; q < SPLINES; q++) {
            double share = samples.weight(j) * wy[q];
            int o = (lowest(y) + q - r0) * width + lowest(x) - c0;
            for (int p = 0; p < SPLINES; p++) {
                window[o + p] += share * wx[p];
            }
        }
    }

    /** All samples, those with an x in common together. */
    private void addColumns(int c0, int width, int r0, int height) {
        int rows = axes.rows();
        if (rowAt.length < rows) {
            rowAt = new int[2 * rows];
            rowWeights = new double[2 * SPLINES * rows];
        }
        if (column.length < height) {
            column = new double[2 * height];
        }
        for (int r = 0; r < rows; r++) {
            double y = grid.row(axes.yUm(r));
            rowAt[r] = lowest(y) - r0;
            CubicSpline.weights(y - (int) y, wy);
            System.arraycopy(wy, 0, rowWeights, SPLINES * r, SPLINES);
        }
        for (int c = 0; c < axes.columns(); c++) {
            Arrays.fill(column, 0, height, 0);
            for (int s = axes.firstIn(c); s < axes.firstIn(c + 1); s++) {
                double weight = axes.weight(s);
                int at = rowAt[axes.row(s)];
                int w = SPLINES * axes.row(s);
                for (int q = 0; q < SPLINES; q++) {
                    column[at + q] += weight * rowWeights[w + q];
                }
            }
            double x = grid.column(axes.xUm(c));
            CubicSpline.weights(x - (int) x, wx);
            int o = lowest(x) - c0;
            for (int r = 0; r < height; r++) {
                double share = column[r];
                for (int p = 0; p < SPLINES; p++) {
                    window[o + p] += share * wx[p];
                }
                o += width;
            }
        }
    }
}
