package evendose.report;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.DoseTableReader;
import evendose.correction.LayerRole;
import evendose.correction.StoredDoses;
import evendose.layout.Layer;
import evendose.pieces.Pieces;
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

    /** White is white, and colours differ by rounding only. */
    private static void assertAlike(int rgb, int other) {
        assertEquals((rgb & 0xffffff) == 0xffffff, (other & 0xffffff) == 0xffffff);
        for (int shift = 0; shift < 24; shift += 8) {
            assertEquals(rgb >> shift & 0xff, other >> shift & 0xff, 1.0);
        }
    }

    /** Parts put together show what the whole shows, and a part that lies a number of pixels away shows the same there. */
    @Test
    void aMapIsTheSumOfItsParts() throws IOException {
        Path file = Files.writeString(
                folder.resolve("doses.csv"),
                "x1_um,y1_um,x2_um,y2_um,x3_um,y3_um,x4_um,y4_um,dose_factor\n"
                        + "0,0,0.2,0,0.9,1,0,1,1\n1,0,2,0,2,1,1,0.2,2\n0.95,1,1.3,1,1.25,1.9,1,1.9,1.5\n");
        StoredDoses doses = DoseTableReader.read(file);
        Pieces all = doses.pieces();
        DoseColours colours = DoseColours.over(1, 2);
        DoseRaster.Area area = DoseRaster.Area.around(all.boundsUm(), 200);
        DoseRaster sum = DoseRaster.empty(area);
        DoseHistogram histogram = new DoseHistogram(1, 2);
        for (int u = 0; u < 3; u++) {
            boolean[] keep = new boolean[3];
            keep[u] = true;
            Pieces one = all.ofUnits(keep);
            double[] factor = {doses.factors()[u]};
            sum.add(DoseRaster.of(area, one, factor), 0, 0);
            DoseHistogram ofOne = new DoseHistogram(1, 2);
            ofOne.add(one, factor);
            histogram.add(ofOne);
        }
        DoseRaster whole = DoseRaster.of(area, all, doses.factors());
        DoseRaster inAll = DoseRaster.empty(area);
        inAll.add(whole, 0, 0);
        BufferedImage expected = inAll.image(colours);
        BufferedImage found = sum.image(colours);
        DoseRaster away = DoseRaster.empty(area);
        away.add(whole, 20 / area.scale(), -10 / area.scale());
        BufferedImage moved = away.image(colours);
        int coloured = 0;
        for (int y = 0; y < area.height() - 10; y++) {
            for (int x = 0; x < area.width() - 20; x++) {
                assertAlike(expected.getRGB(x, y), found.getRGB(x, y));
                assertAlike(expected.getRGB(x, y), moved.getRGB(x + 20, y + 10));
                coloured += (expected.getRGB(x, y) & 0xffffff) == 0xffffff ? 0 : 1;
            }
        }
        assertTrue(coloured > 5000, coloured + " pixels");
        DoseHistogram ofAll = DoseHistogram.of(all, doses.factors());
        assertArrayEquals(ofAll.areaUm2, histogram.areaUm2, 1e-12);
        assertEquals(0.55 + 0.6 + 0.27, histogram.totalUm2, 1e-9);
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
