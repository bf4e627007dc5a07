package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import java.util.stream.LongStream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Geometry;
import org.locationtech.jts.geom.GeometryFactory;
import org.locationtech.jts.geom.LinearRing;
import org.locationtech.jts.geom.Polygon;

/** Outlines put together again, and which of their vertices stay. */
class ShapeRingsTest {
    private static final GeometryFactory FACTORY = new GeometryFactory();

    /** A walk: how far to go, how far to turn left there, degrees, and whether the vertex must stay. */
    private record Step(double length, double turn, boolean stays) {}

    private static Trapezoids merged(Polygons polygons, int groups) {
        try (Workers workers = Workers.of(1)) {
            return Merge.of(polygons, groups, workers, Progress.NONE);
        }
    }

    /** With a tolerance of 5, sides from 10,000 on are straight, and turns are looked at over 200. */
    @ParameterizedTest
    @ValueSource(booleans = {false, true})
    void cornersAreSharpTurnsAndEndsOfStraightSides(boolean mirrored) {
        List<Step> walk = List.of(
                new Step(25_000, 10, true),
                new Step(12_000, 1, false),
                new Step(11_000, 1, true),
                new Step(2000, 20, false),
                new Step(3000, 40, true),
                new Step(3000, 25, false),
                new Step(3000, -40, true),
                // In three short steps, as far as 45 degrees.
                new Step(3000, 15, false),
                new Step(60, 15, true),
                new Step(60, 15, false),
                new Step(3000, 3, false),
                new Step(9000, 3, false),
                new Step(3000, 1.5, false),
                new Step(11_000, 3, true),
                new Step(13_000, 80, true));
        double heading = 0;
        double x = 0;
        double y = 0;
        List<long[]> corners = new ArrayList<>();
        for (Step step : walk) {
            x += step.length * Math.cos(Math.toRadians(heading));
            y += step.length * Math.sin(Math.toRadians(heading));
            corners.add(new long[] {(mirrored ? -1 : 1) * Math.round(x), Math.round(y)});
            heading += step.turn;
        }
        corners.add(new long[] {(mirrored ? 1 : -1) * 20_000, Math.round(y)});
        corners.add(new long[] {0, 0});
        long[] xy = corners.stream().flatMapToLong(Arrays::stream).toArray();
        Polygons polygons = new Polygons();
        polygons.addPolygon(0, xy, corners.size());
        Trapezoids merged = merged(polygons, 1);
        assertTrue(ShapeRings.isOneGroup(merged));
        ShapeRings rings = new ShapeRings(merged, true, 1, false, 5);
        rings.collect(0);
        assertEquals(1, rings.rings.size());
        Ring ring = rings.rings.get(0);
        for (int s = 0; s < walk.size(); s++) {
            int found = -1;
            for (int k = 0; k < ring.size; k++) {
                found = ring.x[k] == corners.get(s)[0] && ring.y[k] == corners.get(s)[1] ? k : found;
            }
            Step step = walk.get(s);
            assertTrue(found >= 0, step.toString());
            // Neighbours of the middle of a corner in short steps may stay or not.
            boolean besideShort = s == 7 || s == 9;
            if (!besideShort) {
                assertEquals(step.stays, (ring.mark[found] & Ring.CORNER) != 0, step.toString());
            }
        }
    }

    /** A hundred corners and a hole, cut by the scan line at each: the drawn vertices are found again, the area rounding adds is told. */
    @ParameterizedTest
    @ValueSource(doubles = {1, 0.2, 5})
    void drawnVerticesAreFoundAgain(double gridPerDbu) {
        for (int corners : new int[] {9, 100}) {
            Polygon star = DrawnRings.star(new SplittableRandom(corners), corners, 3000, 9000, 1);
            Polygons polygons = new Polygons();
            polygons.addPolygon(0, rimWithHole(star), star.getNumPoints() + 1);
            for (boolean exact : new boolean[] {false, true}) {
                ShapeRings rings = new ShapeRings(merged(polygons, 1), true, gridPerDbu, exact, 0.5);
                rings.collect(0);
                rings.collect(0);
                assertEquals(2, rings.rings.size());
                assertEquals(star.getNumPoints() - 2, rings.drawn.size());
                double area = 0;
                for (Ring r : rings.rings) {
                    area += r.area();
                    for (int k = 0; k < r.size; k++) {
                        int e = r.drawn[k];
                        double away = Math.hypot(rings.drawn.x0(e) - r.x[k], rings.drawn.y0(e) - r.y[k]);
                        assertTrue(away <= (exact ? 1e-9 : Math.sqrt(0.5)));
                        assertEquals(rings.drawn.x1(e), rings.drawn.x0(r.drawn[(k + 1) % r.size]));
                        assertTrue((r.mark[k] & Ring.EXPOSED) != 0);
                    }
                }
                double expected = star.getArea() * gridPerDbu * gridPerDbu;
                assertEquals(expected + rings.addedArea, area, 1e-6 * expected);
                assertEquals(0, exact ? rings.addedArea : 0, 1e-6 * expected);
            }
        }
    }

    /** The rim, a cut to the hole, the hole, and back. */
    private static long[] rimWithHole(Polygon star) {
        LinearRing hole = star.getInteriorRingN(0);
        List<Coordinate> all = new ArrayList<>(List.of(star.getExteriorRing().getCoordinates()));
        Coordinate[] back = hole.getCoordinates();
        for (int k = back.length - 1; k >= 0; k--) {
            all.add(back[k]);
        }
        all.add(all.get(0));
        return all.stream()
                .flatMapToLong(c -> LongStream.of((long) c.x, (long) c.y))
                .toArray();
    }

    /** Bars turned by 5 degrees that cross each other: corners at crossings lie on the outline of their union, to what heights are rounded. */
    @Test
    void crossingsOfSteepAndFlatSidesLieOnBoth() {
        long[] flat = {8407, 1790, 8410, 1830, 5920, 2047, 5916, 2008};
        long[] steep = {6478, 1758, 6538, 1753, 6756, 4243, 6696, 4249};
        Polygons polygons = new Polygons();
        polygons.addPolygon(0, flat, 4);
        polygons.addPolygon(0, steep, 4);
        Geometry outline = polygon(flat).union(polygon(steep)).getBoundary();
        ShapeRings rings = new ShapeRings(merged(polygons, 1), true, 1, true, 0.5);
        rings.collect(0);
        assertEquals(1, rings.rings.size());
        Ring ring = rings.rings.get(0);
        assertTrue(ring.size >= 12, "eight corners and four crossings");
        for (int k = 0; k < ring.size; k++) {
            double away = outline.distance(FACTORY.createPoint(new Coordinate(ring.x[k], ring.y[k])));
            assertTrue(away <= 1.0 / 1024, "corner " + k + " is " + away + " away");
        }
    }

    private static Polygon polygon(long[] xy) {
        Coordinate[] closed = new Coordinate[xy.length / 2 + 1];
        for (int k = 0; k < closed.length; k++) {
            closed[k] = new Coordinate(xy[2 * k % xy.length], xy[(2 * k + 1) % xy.length]);
        }
        return FACTORY.createPolygon(closed);
    }

    /** Another layer abuts part of the top and part of the bottom: there the ring is not exposed. */
    @Test
    void seamsOfLevelSidesAreNotExposed() {
        Polygons polygons = new Polygons();
        polygons.addPolygon(0, new long[] {0, 0, 1000, 0, 1100, 400, 50, 400}, 4);
        polygons.addRectangle(1, 300, 400, 700, 800);
        polygons.addRectangle(1, 900, 400, 1300, 700);
        polygons.addRectangle(1, 200, -300, 400, 0);
        Trapezoids merged = merged(polygons, 2);
        assertFalse(ShapeRings.isOneGroup(merged));
        ShapeRings rings = new ShapeRings(merged, false, 1, false, 0.5);
        int seen = 0;
        for (int s = 0; s < merged.shapes(); s++) {
            if (merged.group(merged.first(s)) != 0) {
                continue;
            }
            seen++;
            rings.collect(s);
            assertEquals(1, rings.rings.size());
            Ring ring = rings.rings.get(0);
            assertEquals(0.5 * (1000 + 1050) * 400, ring.area());
            for (int k = 0; k < ring.size; k++) {
                int next = (k + 1) % ring.size;
                double x = 0.5 * (ring.x[k] + ring.x[next]);
                boolean top = ring.y[k] == 400 && ring.y[next] == 400;
                boolean bottom = ring.y[k] == 0 && ring.y[next] == 0;
                boolean seam = top && ((x > 300 && x < 700) || x > 900) || bottom && x > 200 && x < 400;
                assertEquals(!seam, (ring.mark[k] & Ring.EXPOSED) != 0, "at " + x);
                // No part is exposed in one place and not in another.
                for (double end : new double[] {200, 300, 400, 700, 900}) {
                    boolean on = end == 200 || end == 400 ? bottom : top;
                    assertTrue(!on || (ring.x[k] - end) * (ring.x[next] - end) >= 0, "at " + end);
                }
            }
        }
        assertEquals(1, seen);
    }
}
