package evendose.layout;

import evendose.files.BadInputException;
import java.io.Closeable;
import java.io.IOException;

/**
 * Writes a layout shape by shape, without keeping any. The same shapes give the same bytes.
 *
 * <p>Cells come one after the other: {@link #beginCell}, {@link #layer}, shapes, {@link #endCell}.
 */
public interface LayoutWriter extends Closeable {
    /**
     * Begins a cell; one at a time.
     *
     * @param name name of the cell
     * @throws IOException if the stream cannot be written to
     */
    void beginCell(String name) throws IOException;

    /**
     * Ends the cell that was begun.
     *
     * @throws IOException if the stream cannot be written to
     */
    void endCell() throws IOException;

    /**
     * Sets the layer of all shapes that follow.
     *
     * @param layer layer and datatype
     */
    void layer(Layer layer);

    /**
     * Writes an axis-parallel rectangle.
     *
     * @param x0 left end, dbu
     * @param y0 lower end, dbu
     * @param x1 right end, dbu
     * @param y1 upper end, dbu
     * @return whether it was written: one without area is not
     * @throws BadInputException if a coordinate does not fit the format
     * @throws IOException if the stream cannot be written to
     */
    default boolean rectangle(long x0, long y0, long x1, long y1) throws IOException {
        return trapezoid(false, y0, y1, x0, x1, x0, x1);
    }

    /**
     * Writes a trapezoid with two sides along x, or, if it stands, along y; where one of them has length zero, a triangle.
     *
     * @param standing whether the parallel sides lie along y: then low and high are x, from and to y, else the other way
     * @param low position of the low parallel side
     * @param high position of the high one, at least {@code low}
     * @param fromLow where the low side begins
     * @param toLow where it ends, at least {@code fromLow}
     * @param fromHigh where the high side begins
     * @param toHigh where it ends, at least {@code fromHigh}
     * @return whether it was written: one without area is not
     * @throws BadInputException if a coordinate does not fit the format
     * @throws IOException if the stream cannot be written to
     */
    boolean trapezoid(boolean standing, long low, long high, long fromLow, long toLow, long fromHigh, long toHigh)
            throws IOException;

    /**
     * Places another cell in the one that was begun, moved only.
     *
     * @param name name of the cell
     * @param x where its origin goes, dbu
     * @param y where its origin goes, dbu
     * @throws BadInputException if a coordinate does not fit the format
     * @throws IOException if the stream cannot be written to
     */
    void place(String name, long x, long y) throws IOException;

    /** Ends the file and closes the stream. */
    @Override
    void close() throws IOException;
}
