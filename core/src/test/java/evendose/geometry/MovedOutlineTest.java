package evendose.geometry;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertSame;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.MovedOutline.Part;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Geometry;
import org.locationtech.jts.geom.GeometryFactory;
import org.locationtech.jts.geom.Polygon;
import org.locationtech.jts.operation.overlayng.OverlayNG;
import org.locationtech.jts.operation.overlayng.OverlayNGRobust;
import org.locationtech.jts.operation.union.UnaryUnionOp;

/** Moved outlines against strips added and taken away by JTS. */
class MovedOutlineTest {
    private static final Workers WORKERS = Workers.of(2);
    private static final GeometryFactory JTS = new GeometryFactory();

    @AfterAll
    static void endWorkers() {
        WORKERS.close();
    }

    /** Rectangles and frames with parts of their sides moved, none at a corner: strips along the sides, exactly. */
    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4})
    void partsWithinSidesAreStripsAddedOrTakenAway(long seed) {
        Random random = new Random(seed);
        Polygons polygons = new Polygons();
        for (int k = 0; k < 30; k++) {
            long x = 1000L * (k % 6);
            long y = 1000L * (k / 6);
            frame(polygons, x, y, 300 + random.nextInt(400), 300 + random.nextInt(400), k % 3 == 0 ? 0 : 100);
        }
        Trapezoids merged = merged(polygons, 1);
        Outline outline = Outline.of(merged);
        List<Part> parts = new ArrayList<>();
        Geometry expected = jts(merged);
        for (int e = 0; e < outline.size(); e++) {
            double length = outline.length(e);
            if (random.nextInt(3) > 0 && length >= 90) {
                double middle = Math.rint(length / 2);
                // Two neighbours that move differently, or one alone.
                int first = random.nextInt(41) - 20;
                parts.add(new Part(e, 30, middle, first));
                expected = moved(expected, outline, e, 30, middle, first);
                if (random.nextBoolean()) {
                    int second = random.nextInt(41) - 20;
                    parts.add(new Part(e, middle, length - 10, second));
                    expected = moved(expected, outline, e, middle, length - 10, second);
                }
            }
        }
        Trapezoids moved = MovedOutline.of(merged, outline, parts, WORKERS, Progress.NONE);
        assertTrue(jts(moved).isValid());
        assertEquals(0, jts(moved).symDifference(expected).getArea(), 1e-6);
        assertTrue(new OutlineRings(outline).isLike(new OutlineRings(Outline.of(moved))));
        assertTrue(parts.stream().anyMatch(p -> p.out() > 0) && parts.stream().anyMatch(p -> p.out() < 0));
    }

    /** Neighbouring sides that move as a whole meet in a corner, whether they go the same way or not. */
    @Test
    void wholeSidesMeetInCorners() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 0, 0, 400, 300);
        Trapezoids merged = merged(polygons, 1);
        Outline outline = Outline.of(merged);
        double[] out = new double[4];
        List<Part> parts = new ArrayList<>();
        for (int e = 0; e < 4; e++) {
            double nx = outline.y1(e) - outline.y0(e);
            out[e] = nx > 0 ? 7 : nx < 0 ? -5 : outline.x1(e) > outline.x0(e) ? -3 : 4;
            parts.add(new Part(e, 0, outline.length(e), out[e]));
        }
        Trapezoids moved = MovedOutline.of(merged, outline, parts, WORKERS, Progress.NONE);
        assertEquals(1, moved.size());
        assertEquals(5, moved.xLeftBottom(0));
        assertEquals(407, moved.xRightTop(0));
        assertEquals(3, moved.yBottom(0));
        assertEquals(304, moved.yTop(0));
    }

    /** Sides of a needle of 1 to 5 on either side of its axis: a tip that would be longer than four times the move is cut off. */
    @Test
    void longTipsAreCutOff() {
        double out = 20;
        Polygons polygons = new Polygons();
        polygons.addPolygon(0, new long[] {0, 0, 5000, 1000, 0, 2000}, 3);
        Trapezoids merged = merged(polygons, 1);
        Outline outline = Outline.of(merged);
        List<Part> parts = new ArrayList<>();
        for (int e = 0; e < outline.size(); e++) {
            if (outline.x0(e) != outline.x1(e)) {
                parts.add(new Part(e, 0, outline.length(e), out));
            }
        }
        Trapezoids moved = MovedOutline.of(merged, outline, parts, WORKERS, Progress.NONE);
        // Along the normal of a side, (1, 5) over the root of 26, from its end; the blunt side stays, so its ends go
        // along it.
        double nx = out / Math.sqrt(26);
        double ny = 5 * out / Math.sqrt(26);
        double along = out * Math.sqrt(26) / 5;
        Geometry expected = polygon(0, -along, 5000 + nx, 1000 - ny, 5000 + nx, 1000 + ny, 0, 2000 + along);
        assertEquals(0, jts(moved).symDifference(expected).getArea(), 60);
    }

    @Test
    void whatDoesNotMoveIsGivenBack() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 0, 0, 400, 300);
        Trapezoids merged = merged(polygons, 1);
        assertSame(merged, MovedOutline.of(merged, Outline.of(merged), List.of(), WORKERS, Progress.NONE));
    }

    /** What lies in a hole stays, and a hole moves with its own sides. */
    @Test
    void holesKeepWhatLiesInThem() {
        Polygons polygons = new Polygons();
        frame(polygons, 0, 0, 1000, 1000, 100);
        polygons.addRectangle(0, 400, 400, 600, 600);
        Trapezoids merged = merged(polygons, 1);
        Outline outline = Outline.of(merged);
        int side = -1;
        for (int e = 0; e < outline.size(); e++) {
            // The left side of the hole runs upwards, so that the frame lies on its left.
            if (outline.x0(e) == 100 && outline.x1(e) == 100) {
                side = e;
            }
        }
        Trapezoids moved = MovedOutline.of(
                merged, outline, List.of(new Part(side, 0, outline.length(side), 30)), WORKERS, Progress.NONE);
        assertEquals(2, moved.shapes());
        assertEquals(merged.area() + 30 * 800, moved.area(), 1e-9);
    }

    /** A slanted bar: its end goes on by ten, its sides stay; a flat bend gets a step. */
    @Test
    void slantedSidesMoveAlongTheirNormal() {
        Polygons polygons = new Polygons();
        // 3-4-5: 500 long, 50 wide.
        polygons.addPolygon(0, new long[] {0, 0, 400, 300, 370, 340, -30, 40}, 4);
        Trapezoids merged = merged(polygons, 1);
        Outline outline = Outline.of(merged);
        List<Part> parts = new ArrayList<>();
        for (int e = 0; e < 4; e++) {
            if (outline.length(e) < 100 && outline.x0(e) > 200) {
                parts.add(new Part(e, 0, outline.length(e), 10));
            }
        }
        Trapezoids moved = MovedOutline.of(merged, outline, parts, WORKERS, Progress.NONE);
        Geometry expected = polygon(0, 0, 408, 306, 378, 346, -30, 40);
        assertEquals(0, jts(moved).symDifference(expected).getArea(), 0.01 * expected.getLength());
    }

    @Test
    void whatClosesOrVanishesIsTold() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 0, 0, 100, 100);
        polygons.addRectangle(0, 120, 0, 300, 100);
        Trapezoids merged = merged(polygons, 1);
        Outline outline = Outline.of(merged);
        for (int out = 10; out <= 20; out += 10) {
            List<Part> parts = new ArrayList<>();
            for (int e = 0; e < outline.size(); e++) {
                if (outline.x0(e) == 100 && outline.x1(e) == 100) {
                    parts.add(new Part(e, 0, 100, out));
                }
            }
            Outline after = Outline.of(MovedOutline.of(merged, outline, parts, WORKERS, Progress.NONE));
            assertEquals(out < 20, new OutlineRings(outline).isLike(new OutlineRings(after)));
        }
    }

    /** A shape beside another layer has no closed outline; a shape elsewhere in the same layout moves all the same. */
    @Test
    void shapesThatAbutAnotherLayerAreRefused() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 0, 0, 100, 100);
        polygons.addRectangle(1, 100, 0, 200, 100);
        polygons.addRectangle(1, 0, 500, 100, 600);
        Trapezoids merged = merged(polygons, 2);
        Outline outline = Outline.of(merged);
        OutlineRings rings = new OutlineRings(outline);
        int alone = -1;
        int seam = -1;
        for (int e = 0; e < outline.size(); e++) {
            boolean upper = outline.y0(e) >= 500;
            assertEquals(upper, rings.isWhole(outline.shape(e)));
            alone = upper ? e : alone;
            seam = upper ? seam : e;
        }
        Trapezoids moved =
                MovedOutline.of(merged, outline, List.of(new Part(alone, 0, 100, 5)), WORKERS, Progress.NONE);
        assertEquals(merged.area() + 500, moved.area(), 1e-9);
        List<Part> ofSeam = List.of(new Part(seam, 0, 100, 5));
        assertThrows(
                IllegalArgumentException.class, () -> MovedOutline.of(merged, outline, ofSeam, WORKERS, Progress.NONE));
    }

    /** Bars that cross at small angles leave outlines in pieces that nearly meet. */
    @Test
    void crossingBarsMoveAsWell() {
        Random random = new Random(7);
        Polygons polygons = new Polygons();
        for (int k = 0; k < 8; k++) {
            long y = 100L * k;
            polygons.addPolygon(0, new long[] {0, y, 1500, y + 131, 1496, y + 181, -4, y + 50}, 4);
            long x = 140L * k;
            polygons.addPolygon(0, new long[] {x, 0, x + 50, 4, x - 70 + random.nextInt(9), 1200, x - 120, 1196}, 4);
        }
        Trapezoids merged = merged(polygons, 1);
        Outline outline = Outline.of(merged);
        OutlineRings rings = new OutlineRings(outline);
        List<Part> parts = new ArrayList<>();
        Geometry expected = jts(merged);
        for (int e = 0; e < outline.size(); e++) {
            if (outline.length(e) >= 60) {
                int out = random.nextInt(7) - 3;
                parts.add(new Part(e, 15, 45, out));
                expected = moved(expected, outline, e, 15, 45, out);
            }
            assertTrue(rings.isWhole(outline.shape(e)));
        }
        Trapezoids moved = MovedOutline.of(merged, outline, parts, WORKERS, Progress.NONE);
        assertTrue(parts.size() > 100);
        Geometry different = OverlayNGRobust.overlay(jts(moved), expected, OverlayNG.SYMDIFFERENCE);
        assertEquals(0, different.getArea(), 0.01 * expected.getLength());
        assertTrue(rings.isLike(new OutlineRings(Outline.of(moved))));
    }

    private static void frame(Polygons polygons, long x, long y, long w, long h, long rim) {
        if (rim == 0) {
            polygons.addRectangle(0, x, y, x + w, y + h);
            return;
        }
        polygons.addRectangle(0, x, y, x + w, y + rim);
        polygons.addRectangle(0, x, y + h - rim, x + w, y + h);
        polygons.addRectangle(0, x, y, x + rim, y + h);
        polygons.addRectangle(0, x + w - rim, y, x + w, y + h);
    }

    /** A strip added to or taken from a geometry; the inside lies left of the edge. */
    private static Geometry moved(Geometry g, Outline o, int e, double from, double to, double out) {
        double ux = (o.x1(e) - o.x0(e)) / o.length(e);
        double uy = (o.y1(e) - o.y0(e)) / o.length(e);
        double ax = o.x0(e) + from * ux;
        double ay = o.y0(e) + from * uy;
        double bx = o.x0(e) + to * ux;
        double by = o.y0(e) + to * uy;
        Geometry strip = polygon(ax, ay, ax + out * uy, ay - out * ux, bx + out * uy, by - out * ux, bx, by);
        // What snapping leaves without area goes.
        return out == 0
                ? g
                : OverlayNGRobust.overlay(g, strip, out > 0 ? OverlayNG.UNION : OverlayNG.DIFFERENCE)
                        .buffer(0);
    }

    private static Trapezoids merged(Polygons polygons, int groups) {
        return Merge.of(polygons, groups, WORKERS, Progress.NONE);
    }

    private static Polygon polygon(double... xy) {
        Coordinate[] ring = new Coordinate[xy.length / 2 + 1];
        for (int k = 0; k < ring.length; k++) {
            int i = 2 * (k % (ring.length - 1));
            ring[k] = new Coordinate(xy[i], xy[i + 1]);
        }
        return JTS.createPolygon(ring);
    }

    private static Geometry jts(Trapezoids t) {
        List<Geometry> all = new ArrayList<>();
        for (int i = 0; i < t.size(); i++) {
            all.add(polygon(
                    t.xLeftBottom(i),
                    t.yBottom(i),
                    t.xRightBottom(i),
                    t.yBottom(i),
                    t.xRightTop(i),
                    t.yTop(i),
                    t.xLeftTop(i),
                    t.yTop(i)));
        }
        return UnaryUnionOp.union(all);
    }
}
