package evendose.geometry;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.CoordinateList;
import org.locationtech.jts.geom.GeometryFactory;

/** What is called simple is, by the JTS topology suite, a general geometry library. */
class SimplePolygonsPropertyTest {
    private final SimplePolygons simple = new SimplePolygons();

    private boolean surely(long... xy) {
        return simple.surely(xy, 0, xy.length / 2);
    }

    private static boolean isSimple(long[] xy) {
        CoordinateList ring = new CoordinateList();
        for (int k = 0; k < xy.length; k += 2) {
            // A vertex that is given twice is one.
            ring.add(new Coordinate(xy[k], xy[k + 1]), false);
        }
        ring.closeRing();
        if (ring.size() < 4) {
            return false;
        }
        return new GeometryFactory().createLinearRing(ring.toCoordinateArray()).isSimple();
    }

    /** Small coordinates, so that touching corners, level and upright edges and common points are frequent. */
    @Test
    void smallPolygonsAreJudgedRightly() {
        SplittableRandom random = new SplittableRandom(5);
        int accepted = 0;
        for (int trial = 0; trial < 60_000; trial++) {
            int n = 3 + random.nextInt(6);
            int extent = 3 + random.nextInt(8);
            long[] xy = random.longs(2L * n, 0, extent).toArray();
            boolean expected = isSimple(xy);
            boolean level = true;
            for (int k = 1; k < n; k++) {
                level &= xy[2 * k + 1] == xy[1];
            }
            assertEquals(expected && !level, surely(xy), () -> Arrays.toString(xy));
            accepted += expected ? 1 : 0;
        }
        assertTrue(accepted > 5000, accepted + " simple polygons");
    }

    @Test
    void ringsDrawnInOneStrokeAreSimpleWhicheverWayRound() {
        int n = 4000;
        long[] xy = new long[4 * n];
        for (int k = 0; k < n; k++) {
            double angle = 1.9 * Math.PI * k / n;
            xy[2 * k] = Math.round(50_000 * Math.cos(angle));
            xy[2 * k + 1] = Math.round(50_000 * Math.sin(angle));
            xy[4 * n - 2 - 2 * k] = Math.round(49_550 * Math.cos(angle));
            xy[4 * n - 1 - 2 * k] = Math.round(49_550 * Math.sin(angle));
        }
        assertTrue(surely(xy));
        long[] reversed = new long[xy.length];
        for (int k = 0; k < xy.length; k += 2) {
            reversed[k] = xy[xy.length - 2 - k];
            reversed[k + 1] = xy[xy.length - 1 - k];
        }
        assertTrue(surely(reversed));
        // One vertex of the outer side moved through the inner side.
        xy[2 * 1000] = 0;
        xy[2 * 1000 + 1] = 30_000;
        assertFalse(surely(xy));
    }

    @Test
    void manyTurnsAreLeftToTheSweep() {
        long[] comb = new long[4 * 40 + 4];
        for (int k = 0; k <= 80; k++) {
            comb[2 * k] = k;
            comb[2 * k + 1] = k % 2 == 0 ? 0 : 10;
        }
        comb[2 * 81] = 40;
        comb[2 * 81 + 1] = -10;
        assertFalse(surely(comb));
        assertTrue(isSimple(comb));
    }
}
