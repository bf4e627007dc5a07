package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Overlap;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.GeometryFactory;
import org.locationtech.jts.geom.Polygon;

class AreaCheckTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);

    /** For pieces that follow the outline exactly. */
    private static final double TOLERANCE_UM = 1e-6;

    private static AreaCheck check(TestExposure layout, TestExposure table) throws IOException {
        return AreaCheck.of(
                layout.merged(),
                TestExposure.DBU_UM,
                table.build(PSF).pieces(),
                TOLERANCE_UM,
                Workers.of(1),
                Progress.NONE);
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
        assertEquals(2, areas.missingUm2(), 1e-5);
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
        assertEquals(0.002, areas.missingUm2(), 1e-5);
        assertEquals(0.002, areas.excessUm2(), 1e-5);
    }

    /** A strip as wide as the tolerance may be missing all along, a spot that reaches further in may not, however small. */
    @Test
    void whatIsMissingIsJudgedByItsPlace() throws IOException {
        TestExposure layout = new TestExposure().rectangle(0, 0, 100, 100, 1);
        TestExposure narrower = new TestExposure().rectangle(0.0005, 0.0005, 99.9995, 99.9995, 1);
        AreaCheck within = AreaCheck.of(
                layout.merged(),
                TestExposure.DBU_UM,
                narrower.build(PSF).pieces(),
                0.0006,
                Workers.of(1),
                Progress.NONE);
        assertTrue(within.holds());
        assertEquals(0.2, within.strayedUm2(), 1e-3);
        TestExposure dented = new TestExposure()
                .rectangle(0, 0, 100, 50, 1)
                .rectangle(0, 50, 99.998, 50.01, 1)
                .rectangle(0, 50.01, 100, 100, 1);
        AreaCheck beyond = AreaCheck.of(
                layout.merged(), TestExposure.DBU_UM, dented.build(PSF).pieces(), 0.0006, Workers.of(1), Progress.NONE);
        assertFalse(beyond.holds());
        // 2 nm by 10 nm less the tolerance on the outline.
        assertEquals(1.4e-3 * 10e-3, beyond.missingUm2(), 1e-9);
        assertEquals(TroubleSpot.Kind.MISSING_AREA, beyond.spots().get(0).kind());
        assertEquals(50.005, beyond.spots().get(0).yUm(), 1e-3);
    }

    /** A shape thinner than the tolerance lies within it of its own outline, and is missing all the same. */
    @Test
    void aThinShapeIsMissed() throws IOException {
        TestExposure layout = new TestExposure().rectangle(0, 0, 1, 1, 1).rectangle(2, 0, 2.001, 1, 1);
        TestExposure table = new TestExposure().rectangle(0, 0, 1, 1, 1);
        AreaCheck areas = AreaCheck.of(
                layout.merged(), TestExposure.DBU_UM, table.build(PSF).pieces(), 0.0006, Workers.of(1), Progress.NONE);
        assertEquals(1, areas.missingShapes());
        assertFalse(areas.holds());
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

    /** Areas shared by random pieces of both kinds against JTS, near the origin and far from it. */
    @Test
    void overlapsOfPiecesOfBothKindsEqualJts() {
        Random random = new Random(10);
        GeometryFactory factory = new GeometryFactory();
        int mixed = 0;
        for (int k = 0; k < 3000; k++) {
            double[][] c = new double[6][2];
            boolean[] standing = {random.nextBoolean(), random.nextBoolean()};
            for (int i = 0; i < 2; i++) {
                c[0][i] = random.nextDouble();
                c[1][i] = c[0][i] + 0.2 + random.nextDouble();
                c[2][i] = random.nextDouble();
                c[3][i] = c[2][i] + Math.max(0, random.nextDouble() - 0.2);
                c[4][i] = random.nextDouble();
                c[5][i] = c[4][i] + 0.01 + random.nextDouble();
            }
            // Every other pair on a coarse grid, where corners lie on sides.
            for (int q = 0; q < 6 && k % 2 == 0; q++) {
                for (int i = 0; i < 2; i++) {
                    c[q][i] = Math.ceil(4 * c[q][i] + (q % 2)) / 4;
                }
            }
            for (int i = 0; i < 2; i++) {
                standing[i] &= c[2][i] != c[4][i] || c[3][i] != c[5][i];
            }
            Pieces p = new Pieces(c, standing, new int[] {0, 1, 2}, new int[] {0, 2}, new int[] {0});
            Polygon[] polygon = new Polygon[2];
            for (int i = 0; i < 2; i++) {
                Coordinate[] ring = new Coordinate[5];
                for (int q = 0; q < 5; q++) {
                    ring[q] = new Coordinate(p.cornerXUm(i, q & 3), p.cornerYUm(i, q & 3));
                }
                polygon[i] = factory.createPolygon(ring);
            }
            double expected = polygon[0].intersection(polygon[1]).getArea();
            assertEquals(expected, Overlap.areaUm2(p, 0, 1), 1e-12);
            assertEquals(expected, Overlap.areaUm2(p, 1, 0), 1e-12);
            mixed += standing[0] != standing[1] && expected > 0.01 ? 1 : 0;
        }
        assertTrue(mixed > 500, mixed + " mixed pairs share area");
    }

    /** A square in a level triangle and a standing one that share its diagonal: all is there once. */
    @Test
    void levelAndStandingPiecesMeet() throws IOException {
        TestExposure layout = new TestExposure().rectangle(0, 0, 1, 1, 1);
        TestExposure table = new TestExposure().piece(0, 0, 1, 0, 0, 1, 0, 1).piece(1, 0, 1, 1, 0, 1, 0, 1);
        Pieces pieces = table.build(PSF).pieces();
        assertTrue(!pieces.standing(0) && pieces.standing(1));
        AreaCheck areas =
                AreaCheck.of(layout.merged(), TestExposure.DBU_UM, pieces, TOLERANCE_UM, Workers.of(1), Progress.NONE);
        assertTrue(areas.holds());
        assertEquals(0, areas.overlapUm2(), 1e-15);
    }
}
