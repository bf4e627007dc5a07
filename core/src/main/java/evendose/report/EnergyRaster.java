package evendose.report;

import evendose.parallel.Workers;
import evendose.verification.PointEnergy;

/**
 * Energies at the centres of square pixels of a window: {@code value(column, row)}, columns from the left, rows from the bottom.
 *
 * <p>Energies are those at the centres, not means over pixels: pixels should be smaller than the direct range.
 */
public final class EnergyRaster {
    /** Most pixels. */
    public static final int MOST_PIXELS = 100_000_000;

    private final double x0;
    private final double y0;
    private final double pixel;
    private final int columns;
    private final int rows;
    private final float[] values;

    private EnergyRaster(double x0, double y0, double pixel, int columns, int rows) {
        this.x0 = x0;
        this.y0 = y0;
        this.pixel = pixel;
        this.columns = columns;
        this.rows = rows;
        this.values = new float[columns * rows];
    }

    /**
     * Computes the energies.
     *
     * @param x0Um left end of the window, um
     * @param y0Um lower end, um
     * @param x1Um right end, um; moved outwards to whole pixels
     * @param y1Um upper end, um; moved outwards to whole pixels
     * @param pixelUm side of a pixel, um, positive
     * @throws IllegalArgumentException if the window is empty or has more than {@link #MOST_PIXELS} pixels
     */
    public static EnergyRaster of(
            PointEnergy energy, double x0Um, double y0Um, double x1Um, double y1Um, double pixelUm, Workers workers) {
        if (!(pixelUm > 0) || !(x1Um > x0Um) || !(y1Um > y0Um)) {
            throw new IllegalArgumentException("the window must not be empty and the pixel must be positive");
        }
        double columns = Math.ceil((x1Um - x0Um) / pixelUm - 1e-9);
        double rows = Math.ceil((y1Um - y0Um) / pixelUm - 1e-9);
        if (columns * rows > MOST_PIXELS) {
            throw new IllegalArgumentException(String.format(
                    java.util.Locale.ROOT,
                    "a window of %.0f by %.0f pixels is beyond the limit of %,d pixels; use larger pixels",
                    columns,
                    rows,
                    MOST_PIXELS));
        }
        EnergyRaster raster = new EnergyRaster(x0Um, y0Um, pixelUm, (int) columns, (int) rows);
        workers.run(raster.rows, r -> {
            double y = raster.yUm(r);
            for (int c = 0; c < raster.columns; c++) {
                raster.values[r * raster.columns + c] = (float) energy.at(raster.xUm(c), y);
            }
        });
        return raster;
    }

    public int columns() {
        return columns;
    }

    public int rows() {
        return rows;
    }

    /** Side of a pixel, um. */
    public double pixelUm() {
        return pixel;
    }

    /** Left end, um. */
    public double leftUm() {
        return x0;
    }

    /** Lower end, um. */
    public double bottomUm() {
        return y0;
    }

    /** x of the centre of column {@code c}, um. */
    public double xUm(int c) {
        return x0 + (c + 0.5) * pixel;
    }

    /** y of the centre of row {@code r}, um. */
    public double yUm(int r) {
        return y0 + (r + 0.5) * pixel;
    }

    /** Energy at the centre of a pixel. */
    public float value(int column, int row) {
        return values[row * columns + column];
    }

    /** Largest energy. */
    public float highest() {
        float high = 0;
        for (float v : values) {
            high = Math.max(high, v);
        }
        return high;
    }
}
