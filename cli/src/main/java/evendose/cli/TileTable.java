package evendose.cli;

import evendose.correction.DoseTable;
import java.io.Serializable;
import java.nio.file.Path;

/** A kind of file that holds the doses of a tile, beside the table that every run writes. It travels to where the tile is. */
public interface TileTable extends Serializable {
    /**
     * {@return the name of the file of a tile}
     *
     * @param tile number of the tile
     */
    String name(int tile);

    /**
     * Writes it. It appears whole, also where several processes write it at once.
     *
     * @param table the doses
     * @param file the file to write
     * @throws evendose.files.BadInputException if it cannot be written
     */
    void write(DoseTable table, Path file);
}
