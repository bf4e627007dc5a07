package evendose.energy;

import evendose.pieces.Pieces;
import evendose.psf.GaussianTerm;

/**
 * Energies of one short-ranged term at all pixels of some rows. Goes from the pieces to the pixels they reach: a rectangle's share is an
 * outer product of a column's and a row's share, and nothing is searched for pixel by pixel. Arguments are not checked.
 *
 * <p>A term much wider than a pixel is computed at every {@code step}-th pixel, an eighth of its range apart or closer, and
 * interpolated between by cubics, which loses less than 2e-5 of the term's weight (held by {@code EnergyFieldTest}).
 */
final class RasterKernel {
    /** Computed points per range, at least. */
    private static final double POINTS_PER_RANGE = 8;

    private final Pieces pieces;
    private final double[] doseOfPiece;
    private final PieceIndex index;
    private final PixelGrid pixels;
    private final PieceIndex.Hits hits = new PieceIndex.Hits();
    private double[] columnShare = new double[0];

    RasterKernel(Pieces pieces, double[] doseOfPiece, PieceIndex index, PixelGrid pixels) {
        this.pieces = pieces;
        this.doseOfPiece = doseOfPiece;
        this.index = index;
        this.pixels = pixels;
    }

    /** Adds the term to the rows {@code from} to {@code to - 1}; {@code sum} holds these rows alone. */
    void add(GaussianTerm term, int from, int to, double[] sum) {
        int step = (int) Math.max(1, term.rangeUm() / (POINTS_PER_RANGE * pixels.pixelUm()));
        int columns = pixels.columns();
        if (step == 1) {
            fill(term, pixels.xUm(0), pixels.yUm(from), pixels.pixelUm(), columns, to - from, sum);
            return;
        }
        // Coarse points start one step before the pixels and end two behind, and lie at the same places for all rows.
        int wide = (columns - 1) / step + 4;
        int firstRow = from / step - 1;
        int high = (to - 1) / step + 3 - firstRow;
        double[] coarse = new double[wide * high];
        fill(term, pixels.xUm(-step), pixels.yUm(firstRow * step), step * pixels.pixelUm(), wide, high, coarse);
        double[] line = new double[wide];
        double[] weight = new double[4];
        for (int r = from; r < to; r++) {
            int o = (r / step - 1 - firstRow) * wide;
            lagrange((double) (r % step) / step, weight);
            for (int c = 0; c < wide; c++) {
                line[c] = weight[0] * coarse[o + c]
                        + weight[1] * coarse[o + wide + c]
                        + weight[2] * coarse[o + 2 * wide + c]
                        + weight[3] * coarse[o + 3 * wide + c];
            }
            int row = (r - from) * columns;
            for (int phase = 0; phase < step && phase < columns; phase++) {
                lagrange((double) phase / step, weight);
                for (int c = phase, q = 0; c < columns; c += step, q++) {
                    sum[row + c] += weight[0] * line[q]
                            + weight[1] * line[q + 1]
                            + weight[2] * line[q + 2]
                            + weight[3] * line[q + 3];
                }
            }
        }
    }

    /** Weights of the values at -1, 0, 1 and 2 for the cubic through them at {@code t}. */
    private static void lagrange(double t, double[] weight) {
        weight[0] = -t * (t - 1) * (t - 2) / 6;
        weight[1] = (t + 1) * (t - 1) * (t - 2) / 2;
        weight[2] = -(t + 1) * t * (t - 2) / 2;
        weight[3] = (t + 1) * t * (t - 1) / 6;
    }

    /** Adds the term at points {@code pitch} apart, the first at ({@code x0}, {@code y0}). */
    private void fill(GaussianTerm term, double x0, double y0, double pitch, int columns, int rows, double[] sum) {
        double reach = GaussianKernel.ENGINE.reach() * term.rangeUm();
        double perRange = 1 / term.rangeUm();
        index.find(x0 - reach, y0 - reach, x0 + (columns - 1) * pitch + reach, y0 + (rows - 1) * pitch + reach, hits);
        if (columnShare.length < columns) {
            columnShare = new double[columns];
        }
        double step = pitch * perRange;
        for (int h = 0; h < hits.size; h++) {
            int i = hits.piece[h];
            int c0 = (int) Math.max(0, Math.ceil((index.left(i) - reach - x0) / pitch));
            int c1 = (int) Math.min(columns - 1, Math.floor((index.right(i) + reach - x0) / pitch));
            int r0 = (int) Math.max(0, Math.ceil((index.bottom(i) - reach - y0) / pitch));
            int r1 = (int) Math.min(rows - 1, Math.floor((index.top(i) + reach - y0) / pitch));
            double factor = term.weight() * doseOfPiece[i];
            boolean standing = pieces.standing(i);
            double u0 = standing ? y0 : x0;
            double v0 = standing ? x0 : y0;
            double low = (pieces.lowUm()[i] - v0) * perRange;
            double high = (pieces.highUm()[i] - v0) * perRange;
            double fromLow = (pieces.fromLowUm()[i] - u0) * perRange;
            double toLow = (pieces.toLowUm()[i] - u0) * perRange;
            if (pieces.isRectangle(i)) {
                for (int c = c0; c <= c1; c++) {
                    columnShare[c] = GaussianKernel.ENGINE.band(fromLow - c * step, toLow - c * step);
                }
                for (int r = r0; r <= r1; r++) {
                    double rowShare = factor * GaussianKernel.ENGINE.band(low - r * step, high - r * step);
                    for (int c = c0; c <= c1; c++) {
                        sum[r * columns + c] += rowShare * columnShare[c];
                    }
                }
            } else {
                // In the piece's own frame: v across its parallel sides, u along them.
                double fromHigh = (pieces.fromHighUm()[i] - u0) * perRange;
                double toHigh = (pieces.toHighUm()[i] - u0) * perRange;
                int uStride = standing ? columns : 1;
                int vStride = standing ? 1 : columns;
                int lastU = standing ? r1 : c1;
                int lastV = standing ? c1 : r1;
                for (int nv = standing ? c0 : r0; nv <= lastV; nv++) {
                    double v = nv * step;
                    for (int nu = standing ? r0 : c0; nu <= lastU; nu++) {
                        double u = nu * step;
                        sum[nv * vStride + nu * uStride] += factor
                                * GaussianKernel.ENGINE.trapezoid(
                                        low - v, high - v, fromLow - u, toLow - u, fromHigh - u, toHigh - u);
                    }
                }
            }
        }
    }
}
