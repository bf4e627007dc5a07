package evendose.correction;

import evendose.files.BadInputException;
import evendose.files.CsvTable;
import evendose.layout.DatabaseUnit;
import java.io.IOException;
import java.io.Writer;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;

/**
 * Where the doses of a tile are: in the table of a part, which is its own or that of an equal tile, moved. Kept in {@value #FILE}.
 *
 * @param tile number of the tile
 * @param part number of the table
 * @param dx how far the tile lies from that of the table along x, dbu
 * @param dy how far it lies along y, dbu
 * @param pieces number of pieces
 */
public record TilePlace(int tile, int part, double dx, double dy, long pieces) {
    /** Name of the table of places. */
    public static final String FILE = "tiles.csv";

    /** Rows as they are read, arranged, and the exposure made of them: less than any command takes. */
    private static final double BYTES_PER_PIECE = 200;

    /**
     * Writes the table of places.
     *
     * @param places the places
     * @param unit unit of their coordinates
     * @param file the file to write
     * @throws BadInputException if it cannot be written
     */
    public static void write(List<TilePlace> places, DatabaseUnit unit, Path file) {
        try (Writer out = Files.newBufferedWriter(file)) {
            out.write("tile,part,dx_um,dy_um,pieces\n");
            for (TilePlace place : places) {
                out.write(place.tile + "," + DoseTableReader.part(place.part) + "," + unit.toUm(place.dx) + ","
                        + unit.toUm(place.dy) + "," + place.pieces + "\n");
            }
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
    }

    /** A table of a tile, and how far its pieces are to be moved, um. */
    record Part(Path file, double dxUm, double dyUm) {}

    /** Reads the table of places of a folder. */
    static List<Part> read(Path file) {
        List<Part> parts = new ArrayList<>();
        double pieces = 0;
        try (CsvTable table = CsvTable.open(file, "part", "dx_um", "dy_um", "pieces")) {
            table.requireWholeRows();
            while (table.next()) {
                String name = table.text("part");
                if (!DoseTableReader.isPart(name)) {
                    throw table.error("'" + name + "' is no name of a table of doses");
                }
                parts.add(new Part(file.resolveSibling(name), table.number("dx_um"), table.number("dy_um")));
                pieces += table.whole("pieces");
            }
        }
        MemoryNeed.require(
                BYTES_PER_PIECE * pieces, String.format(Locale.ROOT, "%s places %,.0f pieces", file, pieces));
        return parts;
    }
}
