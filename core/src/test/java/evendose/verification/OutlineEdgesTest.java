package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.EdgeGrid;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.Random;
import org.junit.jupiter.api.Test;

class OutlineEdgesTest {
    @Test
    void normalsPointOutward() {
        OutlineEdges edges = new TestExposure().rectangle(0, 0, 2, 1, 1).edges();
        assertEquals(4, edges.size());
        for (int e = 0; e < 4; e++) {
            double x = edges.xUm(e, 0.5) + 0.1 * edges.outX(e);
            double y = edges.yUm(e, 0.5) + 0.1 * edges.outY(e);
            assertFalse(x > 0 && x < 2 && y > 0 && y < 1);
        }
    }

    /** Rays against a plain loop over all edges. */
    @Test
    void raysFindWhatALoopOverAllEdgesFinds() {
        Polygons polygons = new Polygons();
        Random random = new Random(3);
        for (int i = 0; i < 200; i++) {
            long x = random.nextInt(20_000);
            long y = random.nextInt(20_000);
            polygons.addPolygon(
                    0,
                    new long[] {
                        x, y, x + 300 + random.nextInt(900), y + random.nextInt(500), x + random.nextInt(700), y + 800
                    },
                    3);
        }
        OutlineEdges edges = OutlineEdges.of(Merge.of(polygons, 1, Workers.of(1), Progress.NONE), 0.001);
        int hits = 0;
        for (int k = 0; k < 500; k++) {
            double x = 20 * random.nextDouble();
            double y = 20 * random.nextDouble();
            double angle = 2 * Math.PI * random.nextDouble();
            double ux = Math.cos(angle);
            double uy = Math.sin(angle);
            double expected = Double.MAX_VALUE;
            for (int e = 0; e < edges.size(); e++) {
                double ax = edges.xUm(e, 0) - x;
                double ay = edges.yUm(e, 0) - y;
                double bx = edges.xUm(e, 1) - x;
                double by = edges.yUm(e, 1) - y;
                // Distances of the ends from the ray's line, with sign.
                double da = ux * ay - uy * ax;
                double db = ux * by - uy * bx;
                if (da * db < 0) {
                    double t = da / (da - db);
                    double d = ux * (ax + t * (bx - ax)) + uy * (ay + t * (by - ay));
                    if (d >= 0 && d < expected) {
                        expected = d;
                    }
                }
            }
            EdgeGrid.Hit hit = edges.ray(x, y, ux, uy, 0, 3);
            if (expected > 3) {
                assertNull(hit);
            } else {
                assertNotNull(hit);
                assertEquals(expected, hit.distanceUm(), 1e-9);
                hits++;
            }
        }
        assertTrue(hits > 100);
    }

    @Test
    void aCornerIsNearItsEndsOnlyAndARoundShapeHasNone() {
        OutlineEdges square = new TestExposure().rectangle(0, 0, 2, 2, 1).edges();
        assertTrue(square.nearCorner(0, 0.01, 0.04, 0.02));
        assertFalse(square.nearCorner(0, 0.5, 0.04, 0.02));
        Polygons disc = new Polygons();
        long[] xy = new long[128];
        for (int i = 0; i < 64; i++) {
            xy[2 * i] = Math.round(1000 * Math.cos(2 * Math.PI * i / 64));
            xy[2 * i + 1] = Math.round(1000 * Math.sin(2 * Math.PI * i / 64));
        }
        disc.addPolygon(0, xy, 64);
        OutlineEdges round = OutlineEdges.of(Merge.of(disc, 1, Workers.of(1), Progress.NONE), 0.001);
        for (int e = 0; e < round.size(); e++) {
            assertFalse(round.nearCorner(e, 0.5, 0.04, 0.02));
        }
    }
}
