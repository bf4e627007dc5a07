package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.util.Random;
import org.junit.jupiter.api.Test;

class AreaCheckTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);

    private static AreaCheck check(TestExposure layout, TestExposure table) throws IOException {
        return AreaCheck.of(
                layout.merged(), TestExposure.DBU_UM, table.build(PSF).pieces(), false, Workers.of(1), Progress.NONE);
    }

    private static TestExposure two() {
        return new TestExposure().rectangle(0, 0, 1, 1, 1).rectangle(3, 0, 5, 1, 1);
    }

    @Test
    void allIsThereOnce() throws IOException {
        AreaCheck areas = check(two(), two());
        assertTrue(areas.holds());
        assertEquals(3, areas.layoutUm2(), 1e-12);
        assertEquals(0, areas.errorUm2(), 1e-9);
    }

    @Test
    void aMissingShapeIsNamed() throws IOException {
        AreaCheck areas = check(two(), new TestExposure().rectangle(0, 0, 1, 1, 1));
        assertFalse(areas.holds());
        assertEquals(2, areas.missingUm2(), 1e-9);
        assertEquals(1, areas.missingShapes());
        assertEquals(TroubleSpot.Kind.MISSING_SHAPE, areas.spots().get(0).kind());
        assertEquals(4, areas.spots().get(0).xUm(), 1e-9);
    }

    @Test
    void anOverlapIsMeasured() throws IOException {
        AreaCheck areas = check(two(), two().rectangle(4.5, 0, 5, 0.5, 1));
        assertFalse(areas.holds());
        assertEquals(0.25, areas.overlapUm2(), 1e-12);
        assertEquals(0, areas.errorUm2(), 1e-9);
    }

    @Test
    void aShiftIsMissingOnOneSideAndInExcessOnTheOther() throws IOException {
        TestExposure moved = new TestExposure().rectangle(0.001, 0, 1.001, 1, 1).rectangle(3.001, 0, 5.001, 1, 1);
        AreaCheck areas = check(two(), moved);
        assertFalse(areas.holds());
        assertEquals(0.002, areas.missingUm2(), 1e-9);
        assertEquals(0.002, areas.excessUm2(), 1e-9);
    }

    /** Areas shared by random trapezoids against a sum over many thin slices. */
    @Test
    void overlapsOfTrapezoidsEqualASumOverSlices() {
        Random random = new Random(9);
        for (int k = 0; k < 50; k++) {
            double[][] c = new double[6][2];
            for (int i = 0; i < 2; i++) {
                c[0][i] = random.nextDouble();
                c[1][i] = c[0][i] + 0.2 + random.nextDouble();
                c[2][i] = random.nextDouble();
                c[3][i] = c[2][i] + random.nextDouble();
                c[4][i] = random.nextDouble();
                c[5][i] = c[4][i] + random.nextDouble();
            }
            Pieces p = new Pieces(c, new int[] {0, 1, 2}, new int[] {0, 2}, new int[] {0});
            double y0 = Math.max(c[0][0], c[0][1]);
            double y1 = Math.min(c[1][0], c[1][1]);
            double sum = 0;
            int n = 20_000;
            for (int s = 0; s < n && y1 > y0; s++) {
                double y = y0 + (s + 0.5) * (y1 - y0) / n;
                double left = -Double.MAX_VALUE;
                double right = Double.MAX_VALUE;
                for (int i = 0; i < 2; i++) {
                    double t = (y - c[0][i]) / (c[1][i] - c[0][i]);
                    left = Math.max(left, c[2][i] + t * (c[4][i] - c[2][i]));
                    right = Math.min(right, c[3][i] + t * (c[5][i] - c[3][i]));
                }
                sum += Math.max(0, right - left) * (y1 - y0) / n;
            }
            assertEquals(sum, Overlap.areaUm2(p, 0, 1), 1e-6);
        }
    }
}
