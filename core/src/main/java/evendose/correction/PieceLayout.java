package evendose.correction;

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
import java.util.function.IntFunction;

/** Writes pieces as a layout of one cell. Corners are rounded to the database unit; a piece that this leaves without area is left out. */
final class PieceLayout {
    private static final int PIECES_PER_STEP = 1 << 16;

    private PieceLayout() {}

    /**
     * Writes.
     *
     * @param p the pieces
     * @param layerOfUnit layer that the pieces of each unit go to
     * @param cell name of the cell
     * @return number of pieces that rounding left without area
     * @throws BadInputException if the file cannot be written or a coordinate does not fit it
     */
    static long write(
            Pieces p,
            IntFunction<Layer> layerOfUnit,
            String cell,
            DatabaseUnit unit,
            Path file,
            LayoutFormat format,
            Progress progress) {
        progress.begin("writing the layout", p.size());
        try (LayoutWriter writer = writer(unit, file, format)) {
            return cell(writer, p, layerOfUnit, cell, unit, progress);
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
    }

    /** Begins a file. */
    static LayoutWriter writer(DatabaseUnit unit, Path file, LayoutFormat format) throws IOException {
        return format.writer(
                Files.newOutputStream(file), OutputFolder.destination(file).toString(), "EVENDOSE", unit);
    }

    /** Writes pieces as one cell of a file; returns how many rounding left without area. */
    static long cell(
            LayoutWriter writer,
            Pieces p,
            IntFunction<Layer> layerOfUnit,
            String cell,
            DatabaseUnit unit,
            Progress progress)
            throws IOException {
        long lost = 0;
        writer.beginCell(cell);
        for (int u = 0; u < p.units(); u++) {
            writer.layer(layerOfUnit.apply(u));
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
        writer.endCell();
        return lost;
    }

    private static long unit(DatabaseUnit unit, double um) {
        return Math.round(unit.fromUm(um));
    }
}
