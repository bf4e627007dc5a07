package evendose.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.DoseTableReader;
import evendose.correction.LayerRole;
import evendose.layout.Layer;
import evendose.psf.PointSpreadFunction;
import evendose.verification.Exposure;
import java.awt.image.BufferedImage;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import javax.imageio.ImageIO;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class DoseMapTest {
    @TempDir
    private Path folder;

    private BufferedImage map(String rows) throws IOException {
        Path file = Files.writeString(
                folder.resolve("doses.csv"), "x1_um,y1_um,x2_um,y2_um,x3_um,y3_um,x4_um,y4_um,dose_factor\n" + rows);
        Exposure exposure = Exposure.of(
                DoseTableReader.read(file),
                List.of(LayerRole.corrected(new Layer(1, 0))),
                CorrectionOptions.of(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6)),
                "doses.csv");
        return ImageIO.read(new ByteArrayInputStream(DoseMap.of(exposure, 300).png()));
    }

    /** A square in a level and a standing triangle of different doses: each on its side of the diagonal, and no gap. */
    @Test
    void levelAndStandingPiecesLieWhereTheyShould() throws IOException {
        BufferedImage image = map("0,0,1,0,0,1,0,1,1\n1,0,1,1,0,1,0,1,2\n");
        // The map is 300 pixels wide within a frame: 66 pixels on the left, 38 above; margins of 2 % around the square.
        int low = 0;
        int high = 0;
        for (int k = 0; k < 100; k++) {
            double x = (k % 10 + 0.5) / 10;
            double y = (k / 10 + 0.25) / 10;
            int column = 66 + (int) (300 * (0.02 + x) / 1.04);
            int row = 38 + (int) (300 * (1.02 - y) / 1.04);
            int rgb = image.getRGB(column, row) & 0xffffff;
            if (Math.abs(x + y - 1) > 0.02) {
                assertEquals(ColourScale.rgb(x + y < 1 ? 1 : 0), rgb, x + " " + y);
            }
            low += rgb == ColourScale.rgb(1) ? 1 : 0;
            high += rgb == ColourScale.rgb(0) ? 1 : 0;
        }
        assertTrue(low > 40 && high > 40, low + " and " + high);
    }
}
