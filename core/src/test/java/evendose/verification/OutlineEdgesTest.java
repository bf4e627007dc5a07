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

    private static OutlineEdges edges(Polygons polygons, double dbuUm) {
        return OutlineEdges.of(Merge.of(polygons, 2, Workers.of(1), Progress.NONE), dbuUm);
    }

    private static OutlineEdges polygon(long... xy) {
        Polygons polygons = new Polygons();
        polygons.addPolygon(0, xy, xy.length / 2);
        return edges(polygons, 0.001);
    }

    /** The edge that ends at a place, um. */
    private static int ending(OutlineEdges edges, double x, double y) {
        for (int e = 0; e < edges.size(); e++) {
            if (Math.hypot(edges.xUm(e, 1) - x, edges.yUm(e, 1) - y) < 1e-9) {
                return e;
            }
        }
        throw new AssertionError("no edge ends at " + x + ", " + y);
    }

    @Test
    void normalsOfSlantedSidesAreUnitAndOutward() {
        OutlineEdges edges =
                new TestExposure().parallelogram(10, 20, 2, 4, 3, 1).edges();
        int right = ending(edges, 15, 24);
        assertEquals(0.8, edges.outX(right), 1e-12);
        assertEquals(-0.6, edges.outY(right), 1e-12);
        int left = ending(edges, 10, 20);
        assertEquals(-0.8, edges.outX(left), 1e-12);
        assertEquals(0.6, edges.outY(left), 1e-12);
        assertEquals(5, edges.lengthUm(left), 1e-12);
    }

    /** Each side is near a corner within the distance of either end, not beyond. */
    @Test
    void distancesToCornersAreMeasuredAlongTheSide() {
        OutlineEdges edges = new TestExposure().rectangle(10, 20, 12, 21, 1).edges();
        for (int e = 0; e < 4; e++) {
            double length = edges.lengthUm(e);
            for (double off : new double[] {0.039, 0.041}) {
                assertEquals(off < 0.04, edges.nearCorner(e, off / length, 0.04, 0.02));
                assertEquals(off < 0.04, edges.nearCorner(e, 1 - off / length, 0.04, 0.02));
            }
            assertEquals(1, edges.cornerAfter(e, 0.02));
            assertEquals(1, edges.cornerBefore(e, 0.02));
        }
    }

    /** An L: five corners stick out, one is notched. */
    @Test
    void notchesAreTold() {
        OutlineEdges edges = polygon(0, 0, 3000, 0, 3000, 1000, 1000, 1000, 1000, 2000, 0, 2000);
        for (int e = 0; e < edges.size(); e++) {
            boolean notch = Math.hypot(edges.xUm(e, 1) - 1, edges.yUm(e, 1) - 1) < 1e-9;
            assertEquals(notch ? -1 : 1, edges.cornerAfter(e, 0.02));
            assertEquals(
                    Math.hypot(edges.xUm(e, 0) - 1, edges.yUm(e, 0) - 1) < 1e-9 ? -1 : 1, edges.cornerBefore(e, 0.02));
        }
    }

    /** The upper right corner is cut by two steps of 5.8 nm that turn by 30 degrees each: a corner over 20 nm, a curve over 5 nm. */
    @Test
    void aRoundedCornerIsOneOverLongLengthsOnly() {
        OutlineEdges edges = polygon(0, 0, 1000, 0, 1000, 990, 997, 995, 992, 998, 0, 998);
        int right = ending(edges, 1, 0.99);
        int top = ending(edges, 0, 0.998);
        assertEquals(1, edges.cornerAfter(right, 0.02));
        assertEquals(0, edges.cornerAfter(right, 0.005));
        assertEquals(1, edges.cornerBefore(top, 0.02));
        assertEquals(0, edges.cornerBefore(top, 0.005));
        double below = 1 - 0.03 / 0.99;
        assertTrue(edges.nearCorner(right, below, 0.04, 0.02));
        assertFalse(edges.nearCorner(right, below, 0.029, 0.02));
        assertFalse(edges.nearCorner(right, below, 0.04, 0.005));
        assertTrue(edges.nearCorner(top, 0.03 / 0.992, 0.04, 0.02));
        assertFalse(edges.nearCorner(top, 0.03 / 0.992, 0.029, 0.02));
        assertFalse(edges.nearCorner(top, 0.03 / 0.992, 0.04, 0.005));
        // A corner of 90 degrees behind two more steps: 30 + 5.8 + 5.8 nm along the outline, and the sides' own ends
        // far off.
        assertTrue(edges.nearCorner(right, 1, 1.01, 0.005));
    }

    /** Once round, and no corner: a disc of 10 nm. */
    @Test
    void aSmallDiscHasNoCornerHoweverFarOneLooks() {
        Polygons disc = new Polygons();
        long[] xy = new long[128];
        for (int i = 0; i < 64; i++) {
            xy[2 * i] = Math.round(5000 * Math.cos(2 * Math.PI * i / 64));
            xy[2 * i + 1] = Math.round(5000 * Math.sin(2 * Math.PI * i / 64));
        }
        disc.addPolygon(0, xy, 64);
        OutlineEdges edges = edges(disc, 1e-6);
        for (int e = 0; e < edges.size(); e++) {
            assertFalse(edges.nearCorner(e, 0.5, 0.04, 4e-4));
            assertEquals(0, edges.cornerAfter(e, 4e-4));
        }
    }

    /** Two layers that abut at x = 1: their outlines end there, which is as good as a corner but none of either kind. */
    @Test
    void outlinesEndWhereLayersAbut() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 0, 0, 1000, 500);
        polygons.addRectangle(1, 1000, 0, 2000, 500);
        OutlineEdges edges = edges(polygons, 0.001);
        assertEquals(6, edges.size());
        for (int e = 0; e < 6; e++) {
            assertEquals(edges.xUm(e, 0.5) < 1 ? 0 : 1, edges.layer(e));
            assertEquals(edges.xUm(e, 1) == 1 ? 0 : 1, edges.cornerAfter(e, 0.02));
            assertEquals(edges.xUm(e, 0) == 1 ? 0 : 1, edges.cornerBefore(e, 0.02));
            for (double off : new double[] {0.039, 0.041}) {
                assertEquals(off < 0.04, edges.nearCorner(e, off / edges.lengthUm(e), 0.04, 0.02));
                assertEquals(off < 0.04, edges.nearCorner(e, 1 - off / edges.lengthUm(e), 0.04, 0.02));
            }
        }
    }

    /** From the middle of the second step the corner beyond the next long side is 995 nm away, the one behind the step before 999 nm; and the other way round. */
    @Test
    void cornersBeyondTheNextSideCount() {
        OutlineEdges edges = polygon(0, 0, 1000, 0, 1000, 990, 997, 995, 992, 998, 0, 998);
        int second = ending(edges, 0.992, 0.998);
        assertTrue(edges.nearCorner(second, 0.5, 0.9955, 0.005));
        assertFalse(edges.nearCorner(second, 0.5, 0.9945, 0.005));
        OutlineEdges turned = polygon(0, 0, 998, 0, 998, 992, 995, 997, 990, 1000, 0, 1000);
        int first = ending(turned, 0.995, 0.997);
        assertTrue(turned.nearCorner(first, 0.5, 0.9955, 0.005));
        assertFalse(turned.nearCorner(first, 0.5, 0.9945, 0.005));
    }
}
