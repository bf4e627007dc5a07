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
    /** Begins a cell; one at a time. */
    void beginCell(String name) throws IOException;

    /** Ends the cell that was begun. */
    void endCell() throws IOException;

    /** Sets the layer of all shapes that follow. */
    void layer(Layer layer);

    /**
     * Writes an axis-parallel rectangle.
     *
     * @return whether it was written: one without area is not
     * @throws BadInputException if a coordinate does not fit the format
     */
    default boolean rectangle(long x0, long y0, long x1, long y1) throws IOException {
        return trapezoid(y0, y1, x0, x1, x0, x1);
    }

    /**
     * Writes a trapezoid with horizontal parallel sides; where one of them has length zero, a triangle.
     *
     * @param yBottom below {@code yTop}
     * @param xLeftBottom at most {@code xRightBottom}
     * @param xLeftTop at most {@code xRightTop}
     * @return whether it was written: one without area is not
     * @throws BadInputException if a coordinate does not fit the format
     */
    boolean trapezoid(long yBottom, long yTop, long xLeftBottom, long xRightBottom, long xLeftTop, long xRightTop)
            throws IOException;

    /** Ends the file and closes the stream. */
    @Override
    void close() throws IOException;
}
