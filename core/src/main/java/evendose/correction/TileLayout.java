package evendose.correction;

import evendose.files.BadInputException;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.LayoutWriter;
import evendose.layout.formats.LayoutFormat;
import evendose.parallel.Progress;
import evendose.pieces.Pieces;
import java.io.IOException;
import java.io.Serializable;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.List;
import java.util.Map;

/** Writes the pieces of tiles as one layout, a cell a tile and one that places them, each piece on the layer it came from with its dose level as datatype. */
public final class TileLayout implements AutoCloseable {
    private final LayoutWriter writer;
    private final DatabaseUnit unit;
    private final Path file;
    private final Map<Integer, Long> lostOf = new HashMap<>();
    private long lost;

    /**
     * Begins a file.
     *
     * @param unit unit of its coordinates
     * @param file the file to write
     * @param format format of the file
     * @throws BadInputException if it cannot be written
     */
    public TileLayout(DatabaseUnit unit, Path file, LayoutFormat format) {
        this.unit = unit;
        this.file = file;
        try {
            writer = PieceLayout.writer(unit, file, format);
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
    }

    /**
     * The pieces of a tile with their layers.
     *
     * @serial exclude
     */
    public static final class Cell implements Serializable {
        private static final long serialVersionUID = 1L;

        private final Pieces pieces;
        private final int[] layer;
        private final int[] level;

        /**
         * Of a table.
         *
         * @param table the doses
         */
        public Cell(DoseTable table) {
            pieces = table.pieces();
            layer = new int[pieces.units()];
            level = new int[layer.length];
            int[] shape = pieces.shapeOfUnit();
            for (int u = 0; u < layer.length; u++) {
                layer[u] =
                        table.roles().get(pieces.layerOfShape(shape[u])).layer().number();
                level[u] = table.level(u);
            }
        }
    }

    /**
     * Adds a cell.
     *
     * @param tile number of the tile that the cell is for
     * @param cell the pieces
     * @throws BadInputException if the file cannot be written or a coordinate does not fit it
     */
    public void add(int tile, Cell cell) {
        try {
            long left = PieceLayout.cell(
                    writer, cell.pieces, u -> new Layer(cell.layer[u], cell.level[u]), name(tile), unit, Progress.NONE);
            lostOf.put(tile, left);
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
    }

    private static String name(int tile) {
        return "TILE-" + tile;
    }

    /**
     * Adds the cell at the top, which places those of tiles.
     *
     * @param places where to
     * @throws BadInputException if the file cannot be written or a coordinate does not fit it
     */
    public void place(List<TilePlace> places) {
        try {
            writer.beginCell("TILES");
            for (TilePlace place : places) {
                writer.place(name(place.part()), Math.round(place.dx()), Math.round(place.dy()));
                lost += lostOf.getOrDefault(place.part(), 0L);
            }
            writer.endCell();
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
    }

    /** {@return number of pieces that rounding left without area} */
    public long lost() {
        return lost;
    }

    @Override
    public void close() {
        try {
            writer.close();
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
    }
}
