package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.Optional;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.locationtech.jts.algorithm.Orientation;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Envelope;
import org.locationtech.jts.geom.GeometryFactory;
import org.locationtech.jts.geom.Polygon;

/** Corners, boxes and areas of both kinds of pieces against JTS. */
class PiecesPropertyTest {
    private static Pieces of(Trapezoid... t) {
        double[][] six = new double[6][t.length];
        boolean[] standing = new boolean[t.length];
        int[] first = new int[t.length + 1];
        for (int i = 0; i < t.length; i++) {
            double[] values = {t[i].low(), t[i].high(), t[i].fromLow(), t[i].toLow(), t[i].fromHigh(), t[i].toHigh()};
            for (int k = 0; k < 6; k++) {
                six[k][i] = values[k];
            }
            standing[i] = t[i].standing();
            first[i + 1] = i + 1;
        }
        return new Pieces(six, standing, first, new int[] {0, t.length}, new int[] {0});
    }

    /** On a coarse grid, so that right angles, triangles and equal corners are common. */
    private static Trapezoid random(SplittableRandom random) {
        double low = random.nextInt(9) / 7.0;
        double fromLow = random.nextInt(4) / 3.0;
        double fromHigh = random.nextInt(4) / 3.0;
        double toLow = fromLow + random.nextInt(3) / 11.0;
        double toHigh = fromHigh + random.nextInt(3) / 11.0;
        boolean rectangle = fromLow == fromHigh && toLow == toHigh;
        if (toLow == fromLow && toHigh == fromHigh) {
            toHigh += 0.5;
        }
        return new Trapezoid(
                random.nextBoolean() && !rectangle,
                low,
                low + 0.1 + random.nextDouble(),
                fromLow,
                toLow,
                fromHigh,
                toHigh);
    }

    private static double[] corners(Pieces p, int i) {
        double[] xy = new double[8];
        for (int k = 0; k < 4; k++) {
            xy[2 * k] = p.cornerXUm(i, k);
            xy[2 * k + 1] = p.cornerYUm(i, k);
        }
        return xy;
    }

    @Test
    void cornersGoAnticlockwiseFromTheLowestAndGiveThePieceAgain() {
        SplittableRandom random = new SplittableRandom(1);
        for (int n = 0; n < 5000; n++) {
            Trapezoid t = random(random);
            Pieces p = of(t);
            double[] xy = corners(p, 0);
            assertEquals(Optional.of(t), Trapezoid.ofCorners(xy));
            Coordinate[] ring = new Coordinate[5];
            for (int k = 0; k < 5; k++) {
                ring[k] = new Coordinate(xy[2 * k % 8], xy[(2 * k + 1) % 8]);
                assertTrue(ring[k].y > ring[0].y || (ring[k].y == ring[0].y && ring[k].x >= ring[0].x));
            }
            assertTrue(Orientation.isCCW(ring));
            Polygon polygon = new GeometryFactory().createPolygon(ring);
            Envelope box = polygon.getEnvelopeInternal();
            assertEquals(polygon.getArea(), p.areaUm2(0), 1e-14);
            assertEquals(new Envelope(p.leftUm(0), p.rightUm(0), p.bottomUm(0), p.topUm(0)), box);
            double[] bounds = {box.getMinX(), box.getMinY(), box.getMaxX(), box.getMaxY()};
            assertTrue(Arrays.equals(bounds, p.unitBoundsUm(0)) && Arrays.equals(bounds, p.boundsUm()));
            assertTrue(
                    polygon.contains(polygon.getFactory().createPoint(new Coordinate(p.middleXUm(0), p.middleYUm(0)))));
        }
    }

    @Test
    void cornersMayBeginAnywhereAndGoEitherWay() {
        SplittableRandom random = new SplittableRandom(2);
        for (int n = 0; n < 2000; n++) {
            Trapezoid t = random(random);
            double[] xy = corners(of(t), 0);
            double[] other = new double[8];
            int start = random.nextInt(4);
            int step = random.nextBoolean() ? 1 : 3;
            for (int k = 0; k < 4; k++) {
                System.arraycopy(xy, 2 * ((start + k * step) % 4), other, 2 * k, 2);
            }
            assertEquals(Optional.of(t), Trapezoid.ofCorners(other));
        }
    }

    @Test
    void threeCornersMakeATriangle() {
        assertEquals(Optional.of(new Trapezoid(false, 1, 2, 0, 3, 1, 1)), Trapezoid.ofCorners(3, 1, 1, 2, 0, 1));
        assertEquals(Optional.of(new Trapezoid(true, 1, 2, 0, 3, 1, 1)), Trapezoid.ofCorners(1, 0, 2, 1, 1, 3));
        assertEquals(
                Optional.of(new Trapezoid(false, 0, 1, 0, 2, 0, 0)),
                Trapezoid.ofCorners(0, 0, 2, 0, 0, 1),
                "level if it can");
    }

    @Test
    void whatIsNoTrapezoidAlongAnAxisIsRefused() {
        assertTrue(Trapezoid.ofCorners(0, 0, 2, 1, 1, 3).isEmpty(), "no side along an axis");
        assertTrue(Trapezoid.ofCorners(0, 0, 2, 0, 2, 1, 0, 1.5, 0, 1).isEmpty(), "five corners");
        assertTrue(Trapezoid.ofCorners(0, 0, 2, 0.5, 3, 2, 1, 1.5).isEmpty(), "parallel, but not along an axis");
        assertTrue(Trapezoid.ofCorners(0, 0, 2, 0, 0, 1, 2, 1).isEmpty(), "crosses itself");
        assertTrue(Trapezoid.ofCorners(0, 0, 2, 0, 2, 0, 0, 0).isEmpty(), "no area");
        assertTrue(Trapezoid.ofCorners(1, 0, 1, 0, 2, 3, 2, 3).isEmpty(), "no area");
    }

    @Test
    void rectanglesDoNotStand() {
        assertThrows(IllegalArgumentException.class, () -> of(new Trapezoid(true, 0, 1, 0, 2, 0, 2)));
    }

    @Test
    void partsKeepWhatStands() {
        Pieces p = of(
                new Trapezoid(false, 0, 1, 0, 2, 0, 2),
                new Trapezoid(true, 3, 4, 0, 2, 1, 2),
                new Trapezoid(true, 5, 6, 0, 2, 1, 2));
        Pieces part = p.ofUnits(new boolean[] {true, false, true});
        assertFalse(part.standing(0));
        assertTrue(part.standing(1));
        assertEquals(5, part.leftUm(1));
        assertEquals(7, p.onLayers(new int[] {7}).layerOfShape(0));
        assertTrue(p.onLayers(new int[] {7}).standing(2));
    }
}
