package evendose.geometry;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.LineSegment;

/** Random edges far off the origin, each asked one by one by JTS. */
class EdgeGridTest {
    private static final int EDGES = 150;

    private final LineSegment[] segments = new LineSegment[EDGES];
    private final EdgeGrid grid = grid(new SplittableRandom(6));

    private EdgeGrid grid(SplittableRandom random) {
        double[][] c = new double[4][EDGES];
        for (int e = 0; e < EDGES; e++) {
            c[0][e] = 500 + random.nextDouble(30);
            c[1][e] = -300 + random.nextDouble(20);
            // Some upright, some level, some long.
            double reach = e % 10 == 0 ? 30 : 3;
            c[2][e] = c[0][e] + (e % 3 == 0 ? 0 : random.nextDouble(-reach, reach));
            c[3][e] = c[1][e] + (e % 3 == 1 ? 0 : random.nextDouble(-reach, reach));
            segments[e] = new LineSegment(c[0][e], c[1][e], c[2][e], c[3][e]);
        }
        return new EdgeGrid(c[0], c[1], c[2], c[3]);
    }

    @Test
    void raysMeetTheNearestEdgeBetweenTheirLimits() {
        SplittableRandom random = new SplittableRandom(7);
        int hits = 0;
        for (int k = 0; k < 2000; k++) {
            Coordinate at = new Coordinate(495 + random.nextDouble(40), -305 + random.nextDouble(30));
            double angle = random.nextDouble(2 * Math.PI);
            double ux = Math.cos(angle);
            double uy = Math.sin(angle);
            double from = k % 2 == 0 ? 0 : random.nextDouble(2);
            double most = from + random.nextDouble(8);
            LineSegment ray = new LineSegment(at.x + from * ux, at.y + from * uy, at.x + most * ux, at.y + most * uy);
            int nearest = -1;
            double distance = Double.MAX_VALUE;
            for (int e = 0; e < EDGES; e++) {
                Coordinate meets = ray.intersection(segments[e]);
                if (meets != null && meets.distance(at) < distance) {
                    distance = meets.distance(at);
                    nearest = e;
                }
            }
            EdgeGrid.Hit hit = grid.ray(at.x, at.y, ux, uy, from, most);
            assertEquals(nearest, hit == null ? -1 : hit.edge(), "ray " + k);
            if (hit != null) {
                assertEquals(distance, hit.distanceUm(), 1e-9);
                hits++;
            }
        }
        assertTrue(hits > 500 && hits < 1900, hits + " hits");
    }

    /** One edge, met at a distance of 5 from (1, 2), and ways past it. */
    @Test
    void aRayByHand() {
        EdgeGrid one = new EdgeGrid(new double[] {6}, new double[] {0}, new double[] {6}, new double[] {4});
        assertEquals(new EdgeGrid.Hit(0, 5), one.ray(1, 2, 1, 0, 0, 10));
        assertEquals(new EdgeGrid.Hit(0, 5), one.ray(1, 2, 1, 0, 5, 5));
        assertNull(one.ray(1, 2, 1, 0, 5.01, 10));
        assertNull(one.ray(1, 2, 1, 0, 0, 4.99));
        assertNull(one.ray(1, 2, -1, 0, 0, 10));
        assertNull(one.ray(6, 7, 0, -1, 0, 10), "along the edge");
        assertNull(one.ray(1, 4.01, 1, 0, 0, 10));
        assertNull(one.ray(1, -0.01, 1, 0, 0, 10));
        assertEquals(5 / 0.8, one.ray(1, 0, 0.8, 0.6, 0, 10).distanceUm(), 1e-12);
    }

    @Test
    void theNearestEdgeIsFoundAndWhereItIsNearest() {
        SplittableRandom random = new SplittableRandom(8);
        int found = 0;
        for (int k = 0; k < 2000; k++) {
            Coordinate at = new Coordinate(495 + random.nextDouble(40), -305 + random.nextDouble(30));
            double most = random.nextDouble(2);
            int nearest = -1;
            double distance = most;
            for (int e = 0; e < EDGES; e++) {
                if (segments[e].distance(at) < distance) {
                    distance = segments[e].distance(at);
                    nearest = e;
                }
            }
            assertEquals(nearest, grid.nearest(at.x, at.y, most), "place " + k);
            if (nearest >= 0) {
                double share = grid.share(nearest, at.x, at.y);
                assertEquals(segments[nearest].segmentFraction(at), share, 1e-9);
                Coordinate closest = segments[nearest].closestPoint(at);
                assertEquals(closest.x, grid.x(nearest, share), 1e-9);
                assertEquals(closest.y, grid.y(nearest, share), 1e-9);
                found++;
            }
        }
        assertTrue(found > 400 && found < 1900, found + " found");
    }

    /** Of equally near edges the first counts. */
    @Test
    void tiesGoToTheFirst() {
        EdgeGrid two = new EdgeGrid(new double[] {2, 0}, new double[] {0, 0}, new double[] {2, 0}, new double[] {4, 4});
        assertEquals(0, two.nearest(1, 2, 5));
        assertEquals(1, two.nearest(0.9, 2, 5));
        assertEquals(-1, two.nearest(1, 2, 0.9));
        assertEquals(
                0, new EdgeGrid(new double[] {3}, new double[] {3}, new double[] {3}, new double[] {3}).share(0, 9, 9));
    }

    @Test
    void noEdgesAreNeverMet() {
        EdgeGrid none = new EdgeGrid(new double[0], new double[0], new double[0], new double[0]);
        assertNull(none.ray(0, 0, 1, 0, 0, 10));
        assertEquals(-1, none.nearest(0, 0, 10));
    }
}
