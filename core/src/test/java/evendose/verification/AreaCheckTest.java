package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Overlap;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.util.List;
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

    private static AreaCheck check(Trapezoids layout, TestExposure table, double toleranceUm) throws IOException {
        return AreaCheck.of(
                layout, TestExposure.DBU_UM, table.build(PSF).pieces(), toleranceUm, Workers.of(1), Progress.NONE);
    }

    /** Two pieces that share a strip of 0.5 nm, away from the origin. */
    @Test
    void aStripAsWideAsTheToleranceIsNoOverlap() throws IOException {
        TestExposure layout = new TestExposure().rectangle(10, 20, 12, 21, 1);
        TestExposure table =
                new TestExposure().rectangle(10, 20, 11.0005, 21, 1).rectangle(11, 20, 12, 21, 1);
        assertEquals(0, check(layout.merged(), table, 0.0006).overlapUm2());
        AreaCheck beyond = check(layout.merged(), table, 0.0004);
        assertEquals(0.0005, beyond.overlapUm2(), 1e-12);
        assertFalse(beyond.holds());
        assertEquals(2.0005, beyond.tableUm2(), 1e-9);
    }

    /** Sums count all, lists the largest twenty of each kind, the graver kind first. */
    @Test
    void theLargestOfEachKindAreNamed() throws IOException {
        TestExposure layout = new TestExposure();
        TestExposure table = new TestExposure();
        double overlaps = 0;
        for (int k = 1; k <= 25; k++) {
            layout.rectangle(3 * k, 0, 3 * k + 1, 1, 1).rectangle(3 * k, 5, 3 * k + 0.01 * k, 6, 1);
            table.rectangle(3 * k, 0, 3 * k + 1, 1, 1).rectangle(3 * k, 0, 3 * k + 0.01 * k, 1, 1);
            overlaps += 0.01 * k;
        }
        AreaCheck areas = check(layout.merged(), table, TOLERANCE_UM);
        assertEquals(overlaps, areas.overlapUm2(), 1e-9);
        assertEquals(25, areas.missingShapes());
        List<TroubleSpot> spots = areas.spots();
        assertEquals(60, spots.size());
        for (int k = 0; k < 20; k++) {
            int of = 25 - k;
            assertSpot(TroubleSpot.Kind.MISSING_SHAPE, 3 * of + 0.005 * of, 5.5, 0.01 * of, 1e-9, spots.get(k));
            assertSpot(TroubleSpot.Kind.MISSING_AREA, 3 * of + 0.005 * of, 5.5, 0.01 * of, 1e-5, spots.get(20 + k));
            assertSpot(TroubleSpot.Kind.OVERLAP, 3 * of + 0.005 * of, 0.5, 0.01 * of, 1e-9, spots.get(40 + k));
        }
    }

    private static void assertSpot(
            TroubleSpot.Kind kind, double x, double y, double size, double tolerance, TroubleSpot spot) {
        assertEquals(kind, spot.kind());
        assertEquals(x, spot.xUm(), tolerance);
        assertEquals(y, spot.yUm(), tolerance);
        assertEquals(size, spot.size(), tolerance);
    }

    /** An L and one that stands on its foot: named at the middle of the larger of two parts, with the area of both. */
    @Test
    void aMissingShapeIsNamedWhereItIsLargest() throws IOException {
        TestExposure layout = new TestExposure()
                .rectangle(0, 0, 1, 1, 1)
                .rectangle(10, 20, 13, 21, 1)
                .rectangle(10, 21, 11, 21.5, 1)
                .rectangle(30, 20, 31, 20.5, 1)
                .rectangle(30, 20.5, 33, 21.7, 1);
        AreaCheck areas = check(layout.merged(), new TestExposure().rectangle(0, 0, 1, 1, 1), TOLERANCE_UM);
        assertEquals(2, areas.missingShapes());
        assertSpot(
                TroubleSpot.Kind.MISSING_SHAPE,
                31.5,
                21.1,
                4.1,
                1e-9,
                areas.spots().get(0));
        assertSpot(
                TroubleSpot.Kind.MISSING_SHAPE,
                11.5,
                20.5,
                3.5,
                1e-9,
                areas.spots().get(1));
        assertSpot(
                TroubleSpot.Kind.MISSING_AREA,
                31.5,
                21.1,
                4.1,
                1e-4,
                areas.spots().get(2));
    }

    /** Where two layers abut each may stray by the tolerance: 0.5 nm each way of 0.6 nm pass, 1 nm each way does not. */
    @Test
    void seamsOfLayersHaveTheToleranceToo() throws IOException {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 10_000, 20_000, 11_000, 21_000);
        polygons.addRectangle(1, 11_000, 20_000, 12_000, 21_000);
        Trapezoids layout = Merge.of(polygons, 2, Workers.of(1), Progress.NONE);
        AreaCheck within = check(
                layout, new TestExposure().rectangle(10, 20, 10.9995, 21, 1).rectangle(11.0005, 20, 12, 21, 1), 0.0006);
        assertTrue(within.holds());
        assertEquals(0.001, within.strayedUm2(), 1e-8);
        AreaCheck beyond = check(
                layout, new TestExposure().rectangle(10, 20, 10.999, 21, 1).rectangle(11.001, 20, 12, 21, 1), 0.0006);
        // 2 nm less twice the tolerance across, and along but for the tolerance at both ends.
        assertEquals(0.0008 * (1 - 0.0012), beyond.missingUm2(), 1e-8);
        assertEquals(11, beyond.spots().get(0).xUm(), 1e-3);
    }

    /**
     * A parallelogram with sides along (3, 4) / 5 whose piece is narrower by h on either side, 0.8 h across: at a tolerance of 1 nm 1.25 nm
     * of h pass. Of what is more, all but 1 nm above and below is missing.
     */
    @Test
    void theToleranceIsMeasuredSquareToSlantedSides() throws IOException {
        Trapezoids layout = new TestExposure().parallelogram(10, 20, 2, 4, 3, 1).merged();
        for (double h : new double[] {0.0012, 0.0013, -0.0012, -0.0013}) {
            AreaCheck areas =
                    check(layout, new TestExposure().piece(10 + h, 20, 12 - h, 20, 15 - h, 24, 13 + h, 24), 0.001);
            double left = 2 * Math.max(0, Math.abs(h) - 0.00125);
            assertEquals(h > 0 ? left * 3.998 : 0, areas.missingUm2(), 1e-7);
            assertEquals(h < 0 ? left * 4 : 0, areas.excessUm2(), left * 3e-3 + 1e-7);
            assertEquals(left == 0, areas.holds());
            assertEquals(areas.missingUm2() + areas.excessUm2(), areas.errorUm2(), 1e-15);
            assertEquals(2 * Math.abs(h) * 4 - areas.errorUm2(), areas.strayedUm2(), 1e-7);
        }
    }

    /** A metre from the origin areas are told as well as beside it. */
    @Test
    void farFromTheOriginAreasAreAccountedForToo() throws IOException {
        double far = 1e6;
        TestExposure layout = new TestExposure().rectangle(far, -far, far + 2, 1 - far, 1);
        AreaCheck good = check(layout.merged(), layout, TOLERANCE_UM);
        assertTrue(good.holds());
        assertEquals(2, good.layoutUm2(), 1e-9);
        AreaCheck half = check(layout.merged(), new TestExposure().rectangle(far, -far, far + 1, 1 - far, 1), 1e-4);
        assertEquals(1, half.missingUm2(), 1e-3);
        assertSpot(
                TroubleSpot.Kind.MISSING_AREA,
                far + 1.5,
                0.5 - far,
                1,
                1e-3,
                half.spots().get(0));
        // A stray piece there, beside a layout near the origin.
        TestExposure near = new TestExposure().rectangle(0, 0, 1, 1, 1);
        AreaCheck stray = check(
                near.merged(),
                new TestExposure().rectangle(0, 0, 1, 1, 1).rectangle(far, -far, far + 2, 1 - far, 1),
                1e-4);
        assertEquals(2, stray.excessUm2(), 1e-3);
        assertSpot(
                TroubleSpot.Kind.EXCESS_AREA,
                far + 1,
                0.5 - far,
                2,
                1e-3,
                stray.spots().get(0));
    }
}
