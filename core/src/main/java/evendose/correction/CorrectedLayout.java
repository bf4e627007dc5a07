package evendose.correction;

import evendose.Supported;
import evendose.files.BadInputException;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.formats.LayoutFormat;
import evendose.parallel.Progress;
import evendose.pieces.Pieces;
import java.nio.file.Path;

/**
 * The pieces as a layout: one cell, each piece on the layer it came from, with its dose level as datatype. Corners are
 * rounded to the database unit; a piece that rounding leaves without area is left out.
 */
@Supported
public final class CorrectedLayout {
    /** Name of the one cell. */
    public static final String CELL = "CORRECTED";

    private CorrectedLayout() {}

    /**
     * Writes the pieces, in the database unit of what was drawn.
     *
     * @param table the doses
     * @param file the file to write
     * @param format format of the file
     * @return number of pieces that rounding left without area
     * @throws BadInputException if the file cannot be written or a coordinate does not fit it
     */
    public static long write(DoseTable table, Path file, LayoutFormat format) {
        return write(
                table, table.pattern().unit(), file, format, table.options().progress());
    }

    static long write(DoseTable table, DatabaseUnit unit, Path file, LayoutFormat format, Progress progress) {
        Pieces p = table.pieces();
        int[] shape = p.shapeOfUnit();
        return PieceLayout.write(
                p,
                u -> new Layer(
                        table.roles().get(p.layerOfShape(shape[u])).layer().number(), table.level(u)),
                CELL,
                unit,
                file,
                format,
                progress);
    }
}
