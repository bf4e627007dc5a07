package evendose.energy;

/**
 * Square pixels: the centre of pixel ({@code column}, {@code row}) lies at ({@code x0Um + (column + 1/2) pixelUm},
 * {@code y0Um + (row + 1/2) pixelUm}), and its value in an array has index {@code row * columns + column}.
 *
 * @param x0Um left end, um
 * @param y0Um lower end, um
 * @param pixelUm side of a pixel, um, positive
 * @param columns number of columns, positive
 * @param rows number of rows, positive; {@code columns * rows} must fit an array
 */
public record PixelGrid(double x0Um, double y0Um, double pixelUm, int columns, int rows) {
    /** Checks that values lie in their ranges. {@inheritDoc} */
    public PixelGrid {
        if (!(pixelUm > 0 && pixelUm < Double.POSITIVE_INFINITY) || columns < 1 || rows < 1) {
            throw new IllegalArgumentException(
                    "pixels must have a positive size and number, got " + columns + " by " + rows + " of " + pixelUm);
        }
        Math.multiplyExact(columns, rows);
    }

    /**
     * {@return x of the centre of column {@code c}, um}
     *
     * @param c number of the column, from 0
     */
    public double xUm(int c) {
        return x0Um + (c + 0.5) * pixelUm;
    }

    /**
     * {@return y of the centre of row {@code r}, um}
     *
     * @param r number of the row, from 0
     */
    public double yUm(int r) {
        return y0Um + (r + 0.5) * pixelUm;
    }
}
