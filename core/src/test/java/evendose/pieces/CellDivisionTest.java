package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import org.junit.jupiter.api.Test;

class CellDivisionTest {
    private static final double CELL = 2400;

    /** Four by four cells; two by two are the most that is cut at once. */
    private static final EvenCells EVEN = new EvenCells(0, 0, 4 * CELL, 4 * CELL, CELL);

    private static final Block FOUR_CELLS = EVEN.all().lowerHalf(2 * CELL).lowerHalf(2 * CELL);

    @Test
    void onlyNarrowCurvesInFourCellsAreCutAtOnce() {
        List<Ring> guide = arc(450).rings;
        assertTrue(isCutAtOnce(guide, FOUR_CELLS));
        assertFalse(isCutAtOnce(guide, EVEN.all()));
        assertFalse(isCutAtOnce(guide, EVEN.all().lowerHalf(2 * CELL)));
        // As wide as a cell.
        assertFalse(isCutAtOnce(arc(2400).rings, FOUR_CELLS));
        assertFalse(isCutAtOnce(
                new DrawnRings(DrawnRings.polygon(0, 0, 4800, 0, 4800, 450, 0, 450), c -> false).rings, FOUR_CELLS));
    }

    /** What winds is no guide: pieces in its bends are thinner the more of it is cut at once. */
    @Test
    void whatWindsIsCutCellByCell() {
        int teeth = 12;
        double[] xy = new double[8 * teeth];
        for (int k = 0; k < teeth; k++) {
            double x = 380 * k;
            put(xy, 2 * k, x, 100);
            put(xy, 2 * k + 1, x + 190, 4300);
            // The same lifted by 200, on the way back.
            put(xy, 4 * teeth - 1 - 2 * k, x, 300);
            put(xy, 4 * teeth - 2 - 2 * k, x + 190, 4500);
        }
        List<Ring> lattice = new DrawnRings(DrawnRings.polygon(xy), c -> false).rings;
        assertFalse(isCutAtOnce(lattice, FOUR_CELLS));
        for (Ring r : lattice) {
            assertTrue(r.extent(true) > 0.9 * r.extent(false));
        }
    }

    @Test
    void regionsWithHolesAreCutCellByCell() {
        double[] xy = new double[64];
        double[] hole = new double[64];
        for (int k = 0; k < 32; k++) {
            double a = 2 * Math.PI * (k + 0.5) / 32;
            put(xy, k, 2400 + 1500 * Math.cos(a), 2400 + 1500 * Math.sin(a));
            put(hole, k, 2400 + 1100 * Math.cos(a), 2400 + 1100 * Math.sin(a));
        }
        DrawnRings drawn = new DrawnRings(
                (org.locationtech.jts.geom.Polygon) DrawnRings.polygon(xy).difference(DrawnRings.polygon(hole)),
                c -> false);
        assertTrue(drawn.rings.size() == 2 && !isCutAtOnce(drawn.rings, FOUR_CELLS));
    }

    private static boolean isCutAtOnce(List<Ring> rings, Block block) {
        CellDivision division = new CellDivision(List.of(), false, 1e-3, 20, CELL, null, null);
        division.setEven(EVEN);
        return division.isCutAtOnce(rings, block);
    }

    /** A quarter of a ring around the origin, 4 um in the middle, drawn with 200 vertices on each side. */
    private static DrawnRings arc(double width) {
        int n = 200;
        double[] xy = new double[4 * n];
        for (int k = 0; k < n; k++) {
            double a = 0.5 * Math.PI * (k + 0.5) / n;
            put(xy, k, (4000 + 0.5 * width) * Math.cos(a), (4000 + 0.5 * width) * Math.sin(a));
            put(xy, 2 * n - 1 - k, (4000 - 0.5 * width) * Math.cos(a), (4000 - 0.5 * width) * Math.sin(a));
        }
        return new DrawnRings(DrawnRings.polygon(xy), c -> false);
    }

    private static void put(double[] xy, int k, double x, double y) {
        xy[2 * k] = Math.rint(x);
        xy[2 * k + 1] = Math.rint(y);
    }
}
