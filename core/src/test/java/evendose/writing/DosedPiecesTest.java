package evendose.writing;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class DosedPiecesTest {
    @Test
    void shapesDosesAndAreasAreTaken() {
        DosedPieces pieces = new TestDoses()
                .trapezoid(7, 0, 2, 0, 4, 1, 3, 1.25, 5)
                .rectangle(8, 10, 0, 11, 1, 2, 9)
                .build();
        assertEquals(2, pieces.size());
        assertEquals(6, pieces.pieces().areaUm2(0));
        assertEquals(1.25, pieces.factor(0));
        assertEquals(0, pieces.level(0), "levels are numbered by rising dose");
        assertEquals(1, pieces.level(1));
        assertTrue(pieces.shape(0) != pieces.shape(1));
        assertEquals(7, pieces.areaUm2());
        assertEquals(1.25 * 6 + 2, pieces.dosedAreaUm2());
    }

    @Test
    void manyDosesAreGroupedInGeometricSteps() {
        TestDoses doses = new TestDoses();
        for (int k = 0; k < 1000; k++) {
            doses.rectangle(k, k, 0, k + 0.5, 1, 1 + k / 999.0, 0);
        }
        DosedPieces pieces = doses.build();
        double step = Math.log(2) / 255;
        for (int k = 0; k < 1000; k++) {
            assertEquals(Math.log(1 + k / 999.0) / step, pieces.level(k), 0.5 + 1e-6);
        }
    }

    @Test
    void aTableWithoutPiecesIsRefused(@TempDir Path folder) throws IOException {
        Path file = folder.resolve("x.csv");
        Files.writeString(file, "x1_um,y1_um,x2_um,y2_um,x3_um,y3_um,x4_um,y4_um,dose_factor\n");
        assertThrows(BadInputException.class, () -> DosedPieces.read(file));
        Files.writeString(file, "a,b\n1,2\n");
        assertThrows(BadInputException.class, () -> DosedPieces.read(file));
    }
}
