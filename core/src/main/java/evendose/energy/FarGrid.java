package evendose.energy;

import java.io.Serializable;

/**
 * A square grid of spline nodes: node ({@code column}, {@code row}) lies at ({@code x0Um + column * pitchUm},
 * {@code y0Um + row * pitchUm}) and has number {@code row * columns + column}.
 *
 * @param x0Um x of column 0, um
 * @param y0Um y of row 0, um
 * @param pitchUm distance of nodes, um
 * @param columns number of columns
 * @param rows number of rows
 * @serial exclude
 */
record FarGrid(double x0Um, double y0Um, double pitchUm, int columns, int rows) implements Serializable {
    /** Nodes per range, at most: see {@code EnergyModelTest} for the accuracy this buys, and {@link FarTerms#pitchUm}. */
    static final int NODES_PER_RANGE = 4;

    /** More nodes than this are refused: the grid would not fit an array. */
    static final long MOST_NODES = 1L << 30;

    /** Number of nodes that a grid for these terms over these bounds would have; may be far too many. */
    static double nodesFor(double[] boundsUm, double pitchUm, double reachUm) {
        int margin = margin(reachUm, pitchUm);
        return (double) nodesAlong((boundsUm[2] - boundsUm[0]) / pitchUm, margin)
                * nodesAlong((boundsUm[3] - boundsUm[1]) / pitchUm, margin);
    }

    /**
     * A grid over bounds, placed relative to the bounds' corner so that a moved layout gives the same numbers. Its margins hold
     * all nodes that the energy reaches.
     *
     * @param pitchUm distance of nodes, um
     * @param reachUm how far the energy reaches, um
     */
    static FarGrid over(double[] boundsUm, double pitchUm, double reachUm) {
        int margin = margin(reachUm, pitchUm);
        return new FarGrid(
                boundsUm[0] - margin * pitchUm,
                boundsUm[1] - margin * pitchUm,
                pitchUm,
                (int) nodesAlong((boundsUm[2] - boundsUm[0]) / pitchUm, margin),
                (int) nodesAlong((boundsUm[3] - boundsUm[1]) / pitchUm, margin));
    }

    /** The part of this grid, on the same nodes, that begins at a node. */
    FarGrid part(int column, int row, int width, int height) {
        return new FarGrid(x0Um + column * pitchUm, y0Um + row * pitchUm, pitchUm, width, height);
    }

    /** Two more than are reached, for the splines at either end. */
    private static int margin(double reachUm, double pitch) {
        return (int) Math.ceil(reachUm / pitch - 1e-9) + 2;
    }

    private static long nodesAlong(double extent, int margin) {
        return handySize((long) Math.ceil(extent) + 2 * margin + 1);
    }

    /** The smallest even product of powers of 2, 3 and 5 that is at least {@code n}: such lengths are transformed fast. */
    static long handySize(long n) {
        long best = Long.MAX_VALUE;
        for (long five = 1; five < best; five *= 5) {
            for (long three = five; three < best; three *= 3) {
                long size = 2 * three;
                while (size < n) {
                    size *= 2;
                }
                best = Math.min(best, size);
            }
        }
        return best;
    }

    int nodes() {
        return columns * rows;
    }

    /** x in pitches from column 0. */
    double column(double xUm) {
        return (xUm - x0Um) / pitchUm;
    }

    /** y in pitches from row 0. */
    double row(double yUm) {
        return (yUm - y0Um) / pitchUm;
    }

    /** The spline surface with the given coefficients at a point; zero beyond the grid. */
    double interpolate(double[] coefficients, double xUm, double yUm, double[] wx, double[] wy) {
        double x = column(xUm);
        double y = row(yUm);
        if (!(x >= 1 && x < columns - 2 && y >= 1 && y < rows - 2)) {
            return 0;
        }
        int c = (int) x;
        int r = (int) y;
        CubicSpline.weights(x - c, wx);
        CubicSpline.weights(y - r, wy);
        double sum = 0;
        for (int i = 0; i < 4; i++) {
            int o = (r - 1 + i) * columns + c - 1;
            sum += wy[i]
                    * (wx[0] * coefficients[o]
                            + wx[1] * coefficients[o + 1]
                            + wx[2] * coefficients[o + 2]
                            + wx[3] * coefficients[o + 3]);
        }
        return sum;
    }

    /**
     * Adds {@code factor} times the spline surface at the centres of the pixels of rows {@code from} to {@code to - 1}, as
     * {@link #interpolate} gives it; {@code sum} holds these rows alone.
     */
    void addTo(PixelGrid pixels, int from, int to, double[] coefficients, double factor, double[] sum) {
        int wide = pixels.columns();
        // Columns of the grid and spline weights are the same for all rows.
        int[] first = new int[wide];
        double[] shares = new double[4 * wide];
        double[] w = new double[4];
        int c0 = Integer.MAX_VALUE;
        int c1 = 0;
        for (int c = 0; c < wide; c++) {
            double x = column(pixels.xUm(c));
            first[c] = x >= 1 && x < columns - 2 ? (int) x - 1 : -1;
            if (first[c] >= 0) {
                CubicSpline.weights(x - (int) x, w);
                System.arraycopy(w, 0, shares, 4 * c, 4);
                c0 = Math.min(c0, first[c]);
                c1 = Math.max(c1, first[c] + 4);
            }
        }
        double[] line = new double[Math.max(0, c1 - c0)];
        for (int r = from; r < to && c0 < c1; r++) {
            double y = row(pixels.yUm(r));
            if (!(y >= 1 && y < rows - 2)) {
                continue;
            }
            CubicSpline.weights(y - (int) y, w);
            int o = ((int) y - 1) * columns;
            for (int c = c0; c < c1; c++) {
                line[c - c0] = factor
                        * (w[0] * coefficients[o + c]
                                + w[1] * coefficients[o + columns + c]
                                + w[2] * coefficients[o + 2 * columns + c]
                                + w[3] * coefficients[o + 3 * columns + c]);
            }
            for (int c = 0; c < wide; c++) {
                int q = first[c] - c0;
                if (first[c] >= 0) {
                    sum[(r - from) * wide + c] += shares[4 * c] * line[q]
                            + shares[4 * c + 1] * line[q + 1]
                            + shares[4 * c + 2] * line[q + 2]
                            + shares[4 * c + 3] * line[q + 3];
                }
            }
        }
    }
}
