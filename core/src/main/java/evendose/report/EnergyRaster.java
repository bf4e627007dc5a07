package evendose.report;

import evendose.energy.PixelGrid;
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

    private final PixelGrid pixels;
    private final float[] values;

    private EnergyRaster(PixelGrid pixels, float[] values) {
        this.pixels = pixels;
        this.values = values;
    }

    /**
     * Computes the energies.
     *
     * @param energy the energy at any point
     * @param x0Um left end of the window, um
     * @param y0Um lower end, um
     * @param x1Um right end, um; moved outwards to whole pixels
     * @param y1Um upper end, um; moved outwards to whole pixels
     * @param pixelUm side of a pixel, um, positive
     * @param workers threads to compute on
     * @return the energies
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
        PixelGrid pixels = new PixelGrid(x0Um, y0Um, pixelUm, (int) columns, (int) rows);
        return new EnergyRaster(pixels, energy.at(pixels, workers));
    }

    /** {@return columns of pixels} */
    public int columns() {
        return pixels.columns();
    }

    /** {@return rows of pixels} */
    public int rows() {
        return pixels.rows();
    }

    /** {@return side of a pixel, um} */
    public double pixelUm() {
        return pixels.pixelUm();
    }

    /** Left end, um. */
    double leftUm() {
        return pixels.x0Um();
    }

    /** Lower end, um. */
    double bottomUm() {
        return pixels.y0Um();
    }

    /** x of the centre of column {@code c}, um. */
    double xUm(int c) {
        return pixels.xUm(c);
    }

    /** y of the centre of row {@code r}, um. */
    double yUm(int r) {
        return pixels.yUm(r);
    }

    /** Energy at the centre of a pixel. */
    float value(int column, int row) {
        return values[row * pixels.columns() + column];
    }

    /** {@return largest energy} */
    public float highest() {
        float high = 0;
        for (float v : values) {
            high = Math.max(high, v);
        }
        return high;
    }
}
