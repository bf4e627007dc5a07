package evendose.energy;

import evendose.parallel.Workers;
import java.util.Arrays;
import org.jtransforms.fft.DoubleFFT_1D;
import org.jtransforms.utils.CommonUtils;

/**
 * Convolves grids of spline coverages with the density of some terms and undoes the smoothing by the cubic B-spline, once for
 * assignment and once for interpolation: one forward and one inverse Fourier transform with the transfer function
 *
 * <pre>h(|k|) / (sinc(kx p/2) sinc(ky p/2))^8</pre>
 *
 * <p>where {@code h} is the sum of the terms' transforms and {@code p} the pitch. This is the particle-mesh Ewald idea (Essmann et al.,
 * J. Chem. Phys. 103, 8577 (1995)) applied to exposure.
 *
 * <p>The grid is one period: what goes beyond an end comes back at the other. So the grid must hold nothing within the density's
 * reach of its ends, which {@link FarGrid} sees to.
 *
 * <p>All rows, then all columns, are transformed one by one (JTransforms), each by one thread, so the result does not depend on
 * their number. A few columns at a time are transformed, multiplied and transformed back while they lie in the cache.
 */
final class FourierFilter {
    private static final int ROWS_PER_PART = 16;

    private static final int COLUMNS_PER_PART = 64;

    /** Complex columns that are copied together: four cache lines of each row. */
    private static final int COLUMNS_PER_BLOCK = 16;

    /** Waves of which less than this passes are left out. */
    private static final double SILENT = 1e-10;

    static {
        // JTransforms would share long transforms among threads of its own, as many as the machine has.
        CommonUtils.setThreadsBeginN_1D_FFT_2Threads(Long.MAX_VALUE);
        CommonUtils.setThreadsBeginN_1D_FFT_4Threads(Long.MAX_VALUE);
    }

    private final int columns;
    private final int rows;
    private final DoubleFFT_1D alongRows;
    private final DoubleFFT_1D alongColumns;

    /** {@code transfer[kx * (rows / 2 + 1) + ky] / rows} for waves of kx and ky periods over the grid. */
    private final double[] transfer;

    private final int silentFrom;

    /** A filter for a grid, which must have an even number of columns. */
    FourierFilter(FarGrid grid, FarTerms terms, Workers workers) {
        columns = grid.columns();
        rows = grid.rows();
        alongRows = new DoubleFFT_1D(columns);
        alongColumns = new DoubleFFT_1D(rows);
        int high = rows / 2 + 1;
        transfer = new double[(columns / 2 + 1) * high];
        double[] kx = waveNumbers(columns, grid.pitchUm());
        double[] ky = waveNumbers(rows, grid.pitchUm());
        double[] fadesX = correction(kx, grid.pitchUm());
        double[] fadesY = correction(ky, grid.pitchUm());
        FarTerms.Waves waves = terms.waves(kx, ky);
        workers.runRanges(kx.length, COLUMNS_PER_PART, (from, to, part) -> {
            for (int i = from; i < to; i++) {
                waves.addTo(transfer, i);
                for (int j = 0; j < high; j++) {
                    transfer[i * high + j] *= fadesX[i] * fadesY[j] / rows;
                }
            }
        });
        silentFrom = silentFrom();
    }

    /** Wave numbers of 0 to {@code n / 2} periods over {@code n} pitches, 1/um. */
    private static double[] waveNumbers(int n, double pitchUm) {
        double[] k = new double[n / 2 + 1];
        for (int i = 0; i < k.length; i++) {
            k[i] = 2 * Math.PI * i / (n * pitchUm);
        }
        return k;
    }

    private static double[] correction(double[] k, double pitchUm) {
        double[] c = new double[k.length];
        for (int i = 0; i < c.length; i++) {
            double s = CubicSpline.transform(k[i] * pitchUm);
            c[i] = 1 / (s * s);
        }
        return c;
    }

    /**
     * Filters a grid.
     *
     * @param in {@code rows * columns} values, row after row
     * @param out receives as many; another array
     */
    void apply(double[] in, double[] out, Workers workers) {
        workers.runRanges(rows, ROWS_PER_PART, (from, to, part) -> {
            System.arraycopy(in, from * columns, out, from * columns, (to - from) * columns);
            for (int r = from; r < to; r++) {
                if (!isZero(out, r * columns)) {
                    alongRows.realForward(out, r * columns);
                }
            }
        });
        workers.runRanges(columns / 2, COLUMNS_PER_PART, (from, to, part) -> {
            double[] block = new double[COLUMNS_PER_BLOCK * 2 * rows];
            if (from == 0) {
                // JTransforms keeps the real parts of the waves of 0 and of columns / 2 periods in the first two
                // places.
                filterReal(out, 0, 0, block);
                filterReal(out, 1, columns / 2, block);
            }
            for (int kx = Math.max(1, from); kx < to; kx += COLUMNS_PER_BLOCK) {
                filter(out, kx, Math.min(to, kx + COLUMNS_PER_BLOCK), block);
            }
        });
        workers.runRanges(rows, ROWS_PER_PART, (from, to, part) -> {
            for (int r = from; r < to; r++) {
                alongRows.realInverse(out, r * columns, true);
            }
        });
    }

    private boolean isZero(double[] values, int from) {
        for (int i = from; i < from + columns; i++) {
            if (values[i] != 0) {
                return false;
            }
        }
        return true;
    }

    /** Filters the column of real values at {@code place}, the waves of {@code kx} periods along x. */
    private void filterReal(double[] out, int place, int kx, double[] column) {
        for (int r = 0; r < rows; r++) {
            column[2 * r] = out[r * columns + place];
            column[2 * r + 1] = 0;
        }
        multiply(column, 0, kx);
        for (int r = 0; r < rows; r++) {
            out[r * columns + place] = column[2 * r];
        }
    }

    /** Filters the complex columns of the waves of {@code from} to {@code to - 1} periods along x. */
    private void filter(double[] out, int from, int to, double[] block) {
        if (from >= silentFrom) {
            for (int r = 0; r < rows; r++) {
                Arrays.fill(out, r * columns + 2 * from, r * columns + 2 * to, 0);
            }
            return;
        }
        int length = 2 * rows;
        for (int r = 0; r < rows; r++) {
            int o = r * columns + 2 * from;
            for (int at = 2 * r; at < (to - from) * length; at += length) {
                block[at] = out[o];
                block[at + 1] = out[o + 1];
                o += 2;
            }
        }
        for (int kx = from; kx < to; kx++) {
            multiply(block, (kx - from) * length, kx);
        }
        for (int r = 0; r < rows; r++) {
            int o = r * columns + 2 * from;
            for (int at = 2 * r; at < (to - from) * length; at += length) {
                out[o] = block[at];
                out[o + 1] = block[at + 1];
                o += 2;
            }
        }
    }

    /** Filters the complex column that begins at {@code at}. */
    private void multiply(double[] block, int at, int kx) {
        alongColumns.complexForward(block, at);
        int o = kx * (rows / 2 + 1);
        for (int r = 0; r < rows; r++) {
            double h = transfer[o + Math.min(r, rows - r)];
            block[at + 2 * r] *= h;
            block[at + 2 * r + 1] *= h;
        }
        alongColumns.complexInverse(block, at, false);
    }

    /** The least number of periods along x from which on all that passes is less than {@link #SILENT}. */
    private int silentFrom() {
        int high = rows / 2 + 1;
        int from = columns / 2 + 1;
        while (from > 0) {
            for (int j = 0; j < high; j++) {
                if (Math.abs(transfer[(from - 1) * high + j]) * rows > SILENT) {
                    return from;
                }
            }
            from--;
        }
        return from;
    }
}
