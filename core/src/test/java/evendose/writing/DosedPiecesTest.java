package evendose.writing;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import evendose.files.BadInputException;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class DosedPiecesTest {
    private static final String HEADER =
            "piece,shape,y_bottom_um,y_top_um,x_left_bottom_um,x_right_bottom_um,x_left_top_um,x_right_top_um,level,dose_factor";

    @TempDir
    private Path folder;

    private Path file(String... lines) throws IOException {
        Path file = folder.resolve("doses.csv");
        Files.writeString(file, HEADER + "\n" + String.join("\n", lines) + "\n");
        return file;
    }

    @Test
    void columnsAreFoundByName() throws IOException {
        DosedPieces pieces = DosedPieces.read(file("0,7,0,2,0,4,1,3,5,1.25", "", "1,8,0,1,10,11,10,11,0,2"));
        assertEquals(2, pieces.size());
        assertEquals(6, pieces.areaUm2(0));
        assertEquals(7, pieces.shape(0));
        assertEquals(5, pieces.level(0));
        assertEquals(1.25, pieces.factor(0));
        assertEquals(7, pieces.areaUm2());
        assertEquals(1.25 * 6 + 2, pieces.dosedAreaUm2());
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "0,0,0,2,0,4,1,3,5|line 2: has 9 fields where the header has 10",
                "0,0,0,2,0,4,1,3,5,x|line 2: dose_factor is 'x', not a number",
                "0,0,0,2,0,4,1,3,5,-1|line 2: dose_factor must be positive, got -1.0",
                "0,0,2,2,0,4,1,3,5,1|line 2: the piece has no area: top must lie above bottom and right beyond left",
                "0,0.5,0,2,0,4,1,3,5,1|line 2: shape and level must be whole numbers from 0",
            })
    void badRowsAreNamed(String row, String message) throws IOException {
        Path file = file(row);
        BadInputException e = assertThrows(BadInputException.class, () -> DosedPieces.read(file));
        assertEquals(file + ", " + message, e.getMessage());
    }

    @Test
    void aTableWithoutAColumnIsRefused() throws IOException {
        Path file = folder.resolve("x.csv");
        Files.writeString(file, "a,b\n1,2\n");
        BadInputException e = assertThrows(BadInputException.class, () -> DosedPieces.read(file));
        assertEquals(file + ", line 1: has no column shape; give the doses.csv that 'correct' writes", e.getMessage());
    }
}
