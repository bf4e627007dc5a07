package evendose.verification;

import evendose.energy.PixelGrid;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;

/**
 * Exposure averaged by a Gaussian far wider than pieces, for checks: pieces are summed up in square bins, each bin stands for its charge by area,
 * centroid and second moments, and the sum over the bins takes the Gaussian to second order about each centroid:
 *
 * <pre>E(x) = sum_b m_b (1 + (C_xx d_xx + 2 C_xy d_xy + C_yy d_yy) / 2) g(x - x_b),     g(r) = exp(-r^2 / s^2) / (pi s^2)</pre>
 *
 * <p>Error below 1e-5 of a plane's energy (held by {@code BinnedExposureTest} against error functions). It shares nothing with the engine's grids.
 */
final class BinnedExposure {
    /** Bins per range. */
    private static final int BINS = 6;

    /** Beyond so many ranges nothing counts: exp(-13.7) is 1e-6. */
    private static final double REACH = 3.7;

    /** Slabs per bin that a slanted piece is taken as. */
    private static final int SLABS = 16;

    /** Pixels per range between which nothing is interpolated: that loses 1e-4 of a plane's energy. */
    private static final double PIXELS = 64;

    /** Bins that an array can hold. */
    private static final double MOST_BINS = 1 << 24;

    /** Charge, its first and its second moments: so many numbers a bin. */
    private static final int MOMENTS = 6;

    private final double rangeUm;
    private final double x0;
    private final double y0;
    private final double bin;
    private final int columns;
    private final int rows;
    private final double[] moments;

    /** Sums up pieces with a dose factor for each of their units. */
    static BinnedExposure of(Pieces pieces, double[] doseOfUnit, double rangeUm) {
        BinnedExposure sums = new BinnedExposure(pieces.boundsUm(), rangeUm);
        for (int u = 0; u < pieces.units(); u++) {
            for (int i = pieces.unitFirst(u); i < pieces.unitFirst(u + 1); i++) {
                sums.add(pieces, i, doseOfUnit[u]);
            }
        }
        sums.centre();
        return sums;
    }

    private BinnedExposure(double[] boundsUm, double rangeUm) {
        this.rangeUm = rangeUm;
        this.bin = rangeUm / BINS;
        boolean isEmpty = boundsUm.length == 0;
        this.x0 = isEmpty ? 0 : boundsUm[0];
        this.y0 = isEmpty ? 0 : boundsUm[1];
        double across = isEmpty ? 1 : Math.floor((boundsUm[2] - x0) / bin) + 1;
        double up = isEmpty ? 1 : Math.floor((boundsUm[3] - y0) / bin) + 1;
        if (across * up > MOST_BINS) {
            throw new IllegalArgumentException(
                    "the layout is too large for an average over a range of " + rangeUm + " um");
        }
        this.columns = (int) across;
        this.rows = (int) up;
        this.moments = new double[MOMENTS * columns * rows];
    }

    private void add(Pieces p, int i, double dose) {
        double slant =
                Math.max(Math.abs(p.fromHighUm()[i] - p.fromLowUm()[i]), Math.abs(p.toHighUm()[i] - p.toLowUm()[i]));
        double low = p.lowUm()[i];
        double high = p.highUm()[i];
        int slabs = p.isRectangle(i) ? 1 : (int) Math.ceil(SLABS * Math.max(slant, high - low) / bin);
        for (int k = 0; k < slabs; k++) {
            double middle = (k + 0.5) / slabs;
            double a = low + (high - low) * k / slabs;
            double b = low + (high - low) * (k + 1) / slabs;
            double from = p.fromLowUm()[i] + middle * (p.fromHighUm()[i] - p.fromLowUm()[i]);
            double to = p.toLowUm()[i] + middle * (p.toHighUm()[i] - p.toLowUm()[i]);
            if (p.standing(i)) {
                add(a, from, b, to, dose);
            } else {
                add(from, a, to, b, dose);
            }
        }
    }

    /** A rectangle, cut at the borders of bins. */
    private void add(double left, double bottom, double right, double top, double dose) {
        int c1 = index(right - x0, columns);
        int r1 = index(top - y0, rows);
        for (int r = index(bottom - y0, rows); r <= r1; r++) {
            double b = Math.max(bottom - y0, r * bin);
            double t = Math.min(top - y0, (r + 1) * bin);
            for (int c = index(left - x0, columns); c <= c1; c++) {
                double a = Math.max(left - x0, c * bin);
                double z = Math.min(right - x0, (c + 1) * bin);
                if (z > a && t > b) {
                    add(MOMENTS * (r * columns + c), 0.5 * (a + z), 0.5 * (b + t), z - a, t - b, dose);
                }
            }
        }
    }

    private int index(double um, int count) {
        return (int) Math.max(0, Math.min(count - 1, Math.floor(um / bin)));
    }

    private void add(int at, double x, double y, double width, double height, double dose) {
        double charge = dose * width * height;
        moments[at] += charge;
        moments[at + 1] += charge * x;
        moments[at + 2] += charge * y;
        moments[at + 3] += charge * (x * x + width * width / 12);
        moments[at + 4] += charge * x * y;
        moments[at + 5] += charge * (y * y + height * height / 12);
    }

    /** Makes moments about the corner of all moments about centroids. */
    private void centre() {
        for (int at = 0; at < moments.length; at += MOMENTS) {
            double charge = moments[at];
            if (charge != 0) {
                double x = moments[at + 1] / charge;
                double y = moments[at + 2] / charge;
                moments[at + 1] = x;
                moments[at + 2] = y;
                moments[at + 3] -= charge * x * x;
                moments[at + 4] -= charge * x * y;
                moments[at + 5] -= charge * y * y;
            }
        }
    }

    double rangeUm() {
        return rangeUm;
    }

    /** The average at the centres of pixels, bilinear between some of them where they are far finer than the range; one a pixel. */
    double[] at(PixelGrid pixels, Workers workers) {
        int columns = pixels.columns();
        int rows = pixels.rows();
        double most = Math.min(Math.max(columns, rows), rangeUm / PIXELS / pixels.pixelUm());
        int step = (int) Math.max(1, most);
        int wide = (columns - 1) / step + 2;
        int high = (rows - 1) / step + 2;
        double[] node = new double[wide * high];
        workers.run(high, r -> {
            for (int c = 0; c < wide; c++) {
                node[r * wide + c] = at(pixels.xUm(c * step), pixels.yUm(r * step));
            }
        });
        double[] average = new double[columns * rows];
        workers.run(rows, r -> {
            double v = (double) (r % step) / step;
            for (int c = 0; c < columns; c++) {
                double u = (double) (c % step) / step;
                int o = r / step * wide + c / step;
                average[r * columns + c] = (1 - v) * ((1 - u) * node[o] + u * node[o + 1])
                        + v * ((1 - u) * node[o + wide] + u * node[o + wide + 1]);
            }
        });
        return average;
    }

    /** The average at a point, um: 1 in the midst of a plane at factor 1. */
    double at(double xUm, double yUm) {
        double x = xUm - x0;
        double y = yUm - y0;
        double reach = REACH * rangeUm;
        double perRange2 = 1 / (rangeUm * rangeUm);
        int c0 = (int) Math.max(0, Math.floor((x - reach) / bin));
        int c1 = (int) Math.min(columns - 1, Math.floor((x + reach) / bin));
        int r0 = (int) Math.max(0, Math.floor((y - reach) / bin));
        int r1 = (int) Math.min(rows - 1, Math.floor((y + reach) / bin));
        double sum = 0;
        for (int r = r0; r <= r1; r++) {
            for (int c = c0; c <= c1; c++) {
                int at = MOMENTS * (r * columns + c);
                if (moments[at] == 0) {
                    continue;
                }
                double dx = x - moments[at + 1];
                double dy = y - moments[at + 2];
                double bent = perRange2
                        * (moments[at + 3] * (2 * dx * dx * perRange2 - 1)
                                + moments[at + 4] * 4 * dx * dy * perRange2
                                + moments[at + 5] * (2 * dy * dy * perRange2 - 1));
                sum += (moments[at] + bent) * Math.exp(-(dx * dx + dy * dy) * perRange2);
            }
        }
        return sum * perRange2 / Math.PI;
    }
}
