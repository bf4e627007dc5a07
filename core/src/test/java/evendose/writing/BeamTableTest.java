package evendose.writing;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class BeamTableTest {
    @TempDir
    Path folder;

    private Path file(String rows) throws IOException {
        return Files.writeString(folder.resolve("beam.csv"), "current_na,beam_nm\n" + rows);
    }

    private static String refusal(double[] currents, double[] diameters) {
        return assertThrows(IllegalArgumentException.class, () -> BeamTable.of(currents, diameters))
                .getMessage();
    }

    @Test
    void rowsAreCheckedOneByOne() {
        assertTrue(refusal(new double[] {1}, new double[] {4}).contains("two rows"));
        assertTrue(refusal(new double[] {1, 2, 3}, new double[] {4, 5}).contains("two rows"));
        assertTrue(refusal(new double[] {0, 2}, new double[] {4, 5}).contains("row 1"));
        assertTrue(refusal(new double[] {-1, 2}, new double[] {4, 5}).contains("row 1"));
        assertTrue(refusal(new double[] {1, 2}, new double[] {4, 0}).contains("row 2"));
        assertTrue(refusal(new double[] {1, 2, 2}, new double[] {4, 5, 6}).contains("row 3"));
        assertTrue(refusal(new double[] {1, 2, 1.5}, new double[] {4, 5, 6}).contains("row 3"));
        // A beam may become finer with current: only currents must rise.
        assertEquals(
                4,
                BeamTable.of(new double[] {1, 2}, new double[] {4, 3})
                        .diameterNm(1)
                        .orElseThrow(),
                1e-12);
    }

    @Test
    void aFileIsReadAsItStands() throws IOException {
        BeamTable table = BeamTable.read(file("0.5,4\n2,8\n8,10\n"));
        assertArrayEquals(new double[] {0.5, 2, 8}, table.currentsNa());
        assertArrayEquals(new double[] {4, 8, 10}, table.diametersNm());
        // Half way in the logarithm of the current: the geometric mean.
        assertEquals(Math.sqrt(4 * 8), table.diameterNm(1).orElseThrow(), 1e-12);
        assertEquals(Math.sqrt(8 * 10), table.diameterNm(4).orElseThrow(), 1e-12);
    }

    @Test
    void aBadFileIsRefusedAtItsLine() throws IOException {
        for (String rows : new String[] {"1,4\n1,5\n", "1,4\n0.5,5\n", "1,4\n2,0\n", "1,4\n-2,5\n"}) {
            Path file = file(rows);
            String message = assertThrows(BadInputException.class, () -> BeamTable.read(file))
                    .getMessage();
            assertTrue(message.contains("beam.csv") && message.contains("line 3"), message);
        }
        Path single = file("1,4\n");
        assertTrue(assertThrows(BadInputException.class, () -> BeamTable.read(single))
                .getMessage()
                .contains("two rows"));
    }

    @Test
    void tablesAreEqualByTheirRows() {
        BeamTable table = BeamTable.of(new double[] {1, 2}, new double[] {4, 5});
        BeamTable same = BeamTable.of(new double[] {1, 2}, new double[] {4, 5});
        assertEquals(table, same);
        assertEquals(table.hashCode(), same.hashCode());
        assertTrue(table.toString().contains("[4.0, 5.0]"));
        for (BeamTable other : List.of(
                BeamTable.of(new double[] {1, 3}, new double[] {4, 5}),
                BeamTable.of(new double[] {1, 2}, new double[] {4, 6}))) {
            assertNotEquals(table, other);
            assertNotEquals(table.hashCode(), other.hashCode());
        }
        assertNotEquals(table, (Object) "a table");
    }
}
