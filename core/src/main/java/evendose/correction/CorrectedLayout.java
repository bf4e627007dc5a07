package evendose.correction;

import evendose.Supported;
import evendose.files.BadInputException;
import evendose.files.OutputFolder;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.LayoutWriter;
import evendose.layout.formats.LayoutFormat;
import evendose.parallel.Progress;
import evendose.pieces.Pieces;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;

/**
 * The pieces as a layout: one cell, each piece on the layer it came from, with its dose level as datatype. Corners are
 * rounded to the database unit; a piece that rounding leaves without area is left out.
 */
@Supported
public final class CorrectedLayout {
    /** Name of the one cell. */
    public static final String CELL = "CORRECTED";

    private static final int PIECES_PER_STEP = 1 << 16;

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
        progress.begin("writing the layout", p.size());
        long lost = 0;
        try (LayoutWriter writer = format.writer(
                Files.newOutputStream(file), OutputFolder.destination(file).toString(), "EVENDOSE", unit)) {
            writer.beginCell(CELL);
            for (int s = 0; s < p.shapes(); s++) {
                int number = table.roles().get(p.layerOfShape(s)).layer().number();
                for (int u = p.shapeFirst(s); u < p.shapeFirst(s + 1); u++) {
                    writer.layer(new Layer(number, table.level(u)));
                    for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                        boolean written = writer.trapezoid(
                                p.standing(i),
                                unit(unit, p.lowUm()[i]),
                                unit(unit, p.highUm()[i]),
                                unit(unit, p.fromLowUm()[i]),
                                unit(unit, p.toLowUm()[i]),
                                unit(unit, p.fromHighUm()[i]),
                                unit(unit, p.toHighUm()[i]));
                        lost += written ? 0 : 1;
                        if (i % PIECES_PER_STEP == 0) {
                            progress.advance(PIECES_PER_STEP);
                        }
                    }
                }
            }
            writer.endCell();
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
        return lost;
    }

    private static long unit(DatabaseUnit unit, double um) {
        return Math.round(unit.fromUm(um));
    }
}
