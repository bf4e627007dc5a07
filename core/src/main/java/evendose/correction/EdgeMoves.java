package evendose.correction;

import evendose.files.BadInputException;
import evendose.files.CsvTable;
import evendose.layout.Layer;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;

/** The table of moved edges that a correction leaves beside its doses. */
public final class EdgeMoves {
    /** The file's usual name. */
    public static final String FILE = "moved-edges.csv";

    private EdgeMoves() {}

    /**
     * Reads the table.
     *
     * @param file a table with columns {@code layer,datatype,x0_um,y0_um,x1_um,y1_um,out_nm}
     * @return the moves, in the order of the file
     * @throws BadInputException naming file and line if it cannot be read or a value is wrong
     */
    public static List<EdgeMove> read(Path file) {
        List<EdgeMove> moves = new ArrayList<>();
        try (CsvTable table = CsvTable.open(file, "layer", "datatype", "x0_um", "y0_um", "x1_um", "y1_um", "out_nm")) {
            table.requireWholeRows();
            while (table.next()) {
                try {
                    moves.add(new EdgeMove(
                            new Layer(Math.toIntExact(table.whole("layer")), Math.toIntExact(table.whole("datatype"))),
                            table.number("x0_um"),
                            table.number("y0_um"),
                            table.number("x1_um"),
                            table.number("y1_um"),
                            1e-3 * table.number("out_nm")));
                } catch (IllegalArgumentException | ArithmeticException e) {
                    throw table.error(e.getMessage());
                }
            }
        }
        return List.copyOf(moves);
    }
}
