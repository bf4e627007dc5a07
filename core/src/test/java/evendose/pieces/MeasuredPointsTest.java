package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.List;
import java.util.Optional;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Where the outcome is measured: off corners, on short sides near them, and in which cell each point counts. */
class MeasuredPointsTest {
    private static final double ALPHA_UM = 0.02;

    private static Fracture.Result cut(double maxPieceUm, long[]... rings) {
        Polygons polygons = new Polygons();
        for (long[] ring : rings) {
            polygons.addPolygon(0, ring, ring.length / 2);
        }
        try (Workers one = Workers.of(1)) {
            return Fracture.of(
                    Merge.of(polygons, 1, one, Progress.NONE),
                    0.001,
                    new FractureOptions(maxPieceUm, ALPHA_UM, 0.5, FractureOptions.Judging.EDGES, PieceRules.exact()),
                    Optional.of(new Measuring(0.3, 0.01)),
                    List.of(),
                    Optional.empty(),
                    one,
                    Progress.NONE);
        }
    }

    /** What a side between two corners counts: the fade of both, summed finely. */
    private static double counted(double sideUm) {
        int n = 100_000;
        double sum = 0;
        for (int k = 0; k < n; k++) {
            double t = sideUm * (k + 0.5) / n;
            sum += fade(t / ALPHA_UM) * fade((sideUm - t) / ALPHA_UM) * sideUm / n;
        }
        return sum;
    }

    private static double fade(double t) {
        return Math.pow(t, 8) / (Math.pow(t, 8) + Math.pow(1.75, 8));
    }

    /** A frame of 2 um with a square hole, drawn as one ring with a slit of no width; sides up to six direct ranges count near corners. */
    @ParameterizedTest
    @ValueSource(longs = {40, 80, 100, 118, 130})
    void shortSidesAreMeasuredAsTheyCount(long hole) {
        long a = 1_000;
        long b = a + hole;
        OutlinePoints points = cut(
                        5, new long[] {0, 0, 2_000, 0, 2_000, 2_000, 0, 2_000, 0, a, a, a, a, b, b, b, b, a, 0, a})
                .measured();
        double sideUm = hole / 1e3;
        double offUm = Math.max(0, sideUm - 4 * ALPHA_UM);
        int near = 0;
        double off = 0;
        for (int p = 0; p < points.size(); p++) {
            double x = points.xUm()[p];
            double y = points.yUm()[p];
            boolean isOfHole = x > 0.5 && x < 1.5 && y > 0.5 && y < 1.5;
            if (points.nearCorner()[p]) {
                near++;
                assertTrue(isOfHole, "long sides count off corners alone");
                assertEquals(counted(sideUm) - offUm, points.lengthUm()[p], 0.01 * ALPHA_UM);
                double toCorner = Math.min(
                        Math.max(Math.abs(x - 1), Math.abs(y - 1)),
                        Math.max(Math.abs(x - b / 1e3), Math.abs(y - b / 1e3)));
                assertEquals(sideUm / 2, toCorner, 1e-9, "in the middle of a side");
            } else if (isOfHole) {
                off += points.lengthUm()[p];
            }
        }
        assertEquals(sideUm < 6 * ALPHA_UM && counted(sideUm) - offUm > 1e-3 * ALPHA_UM ? 4 : 0, near);
        assertEquals(4 * offUm, off, 1e-6);
        OutlinePoints offCorners = points.offCorners();
        assertEquals(points.size() - near, offCorners.size());
        for (boolean isNear : offCorners.nearCorner()) {
            assertFalse(isNear);
        }
    }

    /** A bar at a slant over several even cells: what reaches across a border counts in the cell of its unit, at the border. */
    @Test
    void pointsCountInTheCellOfTheirUnit() {
        Fracture.Result cut = cut(1, new long[] {0, 0, 90, 0, 490, 5_000, 400, 5_000});
        OutlinePoints points = cut.measured();
        Pieces pieces = cut.pieces();
        int cells = 5;
        assertEquals(cells, pieces.units());
        assertTrue(points.size() > 20);
        for (int p = 0; p < points.size(); p++) {
            double bottom = points.unit()[p];
            assertEquals(points.xUm()[p], points.inCellXUm()[p], 0);
            assertEquals(
                    Math.max(bottom, Math.min(bottom + 1, points.yUm()[p])),
                    points.inCellYUm()[p],
                    1e-9,
                    "unit " + bottom);
        }
        assertEquals(
                points.size(),
                IntStream.of(points.unit()).filter(u -> u >= 0 && u < cells).count());
    }

    /** Teeth that reach a little across the border of even cells stay with their unit. */
    @ParameterizedTest
    @ValueSource(booleans = {false, true})
    void teethAcrossABorderCountAtTheBorder(boolean upsideDown) {
        // Two cells of 1 um; a tooth reaches 0.06 um beyond the border at y = 1 um, too little to be cut off.
        long[] xy = {0, 0, 1_000, 0, 1_000, 1_060, 800, 1_060, 800, 900, 500, 900, 500, 2_000, 0, 2_000};
        for (int k = 1; k < xy.length; k += 2) {
            xy[k] = upsideDown ? 2_000 - xy[k] : xy[k];
        }
        Fracture.Result cut = cut(1, xy);
        OutlinePoints points = cut.measured();
        int across = 0;
        for (int p = 0; p < points.size(); p++) {
            double y = points.yUm()[p];
            double inCell = points.inCellYUm()[p];
            assertTrue(points.unit()[p] == 0 ? inCell <= 1 + 1e-9 : inCell >= 1 - 1e-9);
            if (inCell != y) {
                across++;
                assertEquals(1, inCell, 1e-9);
                assertTrue(Math.abs(y - 1) < 0.07);
            }
        }
        assertTrue(across > 0, "the tooth reaches across");
    }
}
