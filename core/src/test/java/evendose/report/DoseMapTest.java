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

    /** A level piece to the left of x = 1 and a standing one to the right, of different doses, on a field of 2 by 1 um. */
    @Test
    void levelAndStandingPiecesLieWhereTheyShould() throws IOException {
        BufferedImage image = map("0,0,0.2,0,0.9,1,0,1,1\n1,0,2,0,2,1,1,0.2,2\n");
        // Within a frame: 66 pixels on the left, 38 above. Margins are 2 % of the width.
        double scale = 300 / 2.08;
        int height = (int) Math.round(scale * 1.08);
        int[] seen = new int[3];
        for (int k = 0; k < 400; k++) {
            double x = (k % 20 + 0.4) / 10;
            double y = (k / 20 + 0.4) / 20;
            int column = 66 + (int) (scale * (x + 0.04));
            int row = 38 + (int) (0.5 * height + scale * (0.5 - y));
            double side = x < 1 ? 0.2 + 0.7 * y - x : 0.2 + 0.8 * (x - 1) - y;
            if (Math.abs(side) > 0.03) {
                int what = side < 0 ? 0 : x < 1 ? 1 : 2;
                int expected = what == 0 ? 0xffffff : ColourScale.rgb(2 - what);
                assertEquals(expected, image.getRGB(column, row) & 0xffffff, x + " " + y);
                seen[what]++;
            }
        }
        assertTrue(seen[0] > 80 && seen[1] > 80 && seen[2] > 80);
    }
}
