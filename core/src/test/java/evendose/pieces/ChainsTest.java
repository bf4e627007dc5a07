package evendose.pieces;

import static evendose.pieces.DrawnRings.JTS;
import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.EdgeBuffer;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import java.util.TreeMap;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Envelope;
import org.locationtech.jts.geom.Geometry;
import org.locationtech.jts.geom.Point;
import org.locationtech.jts.geom.Polygon;

/** Rising borders of polygons against where JTS crosses their outline, and the area it finds below a height. */
class ChainsTest {
    /** With a grid of 20 many sides lie along an axis; 200 corners fill the arrays more than once. */
    @ParameterizedTest
    @CsvSource({"9, 1, false", "9, 20, true", "30, 20, false", "30, 1, true", "200, 1, false", "200, 1, true"})
    void crossingsAndAreasAreThoseOfTheOutline(int corners, int grid, boolean standing) {
        SplittableRandom random = new SplittableRandom(corners + grid);
        Polygon polygon = DrawnRings.star(random, corners, 400, 1000, grid);
        DrawnRings from = new DrawnRings(polygon, c -> false);
        Chains chains = new Chains(from.drawn);
        EdgeBuffer level = new EdgeBuffer();
        // A second filling finds nothing of the first.
        chains.fill(from.rings, !standing, level);
        level.clear();
        chains.fill(from.rings, standing, level);
        for (int n = 0; n < 60; n++) {
            double at = -900 + 30.0 * n + random.nextDouble(29);
            TreeMap<Double, Boolean> crossings = new TreeMap<>();
            double below = 0;
            for (int c = 0; c < chains.count; c++) {
                double sign = chains.right[c] ? 1 : -1;
                if (chains.low(c) < at) {
                    double to = Math.min(at, chains.high(c));
                    int e = chains.findEdge(c, to);
                    below += sign * chains.integralTo(e, to);
                }
                if (chains.low(c) < at && chains.high(c) > at) {
                    int e = chains.findEdge(c, at);
                    assertTrue(chains.v[e] <= at && at < chains.v[e + 1]);
                    assertEquals(e, chains.edgeAt(c, at, chains.first[c] + random.nextInt(corners)));
                    assertEquals(e, chains.edgeAt(c, at, e - 1));
                    crossings.put(chains.on(e, at), chains.right[c]);
                    assertEquals(chains.on(e, at), chains.drawnAt(e, at), 1e-9);
                }
            }
            double[] expected = crossed(polygon, standing, at);
            double[] found = crossings.keySet().stream().mapToDouble(u -> u).toArray();
            assertArrayEquals(expected, found, 1e-9);
            boolean right = false;
            for (boolean isRight : crossings.values()) {
                assertEquals(right, isRight, "left and right borders take turns");
                right = !right;
            }
            assertEquals(areaBelow(polygon, standing, at), below, 1e-6 * polygon.getArea());
        }
        assertLevel(polygon, standing, level);
    }

    private static double[] crossed(Polygon polygon, boolean standing, double at) {
        Coordinate a = standing ? new Coordinate(at, -2000) : new Coordinate(-2000, at);
        Coordinate b = standing ? new Coordinate(at, 2000) : new Coordinate(2000, at);
        Geometry points = polygon.getBoundary().intersection(JTS.createLineString(new Coordinate[] {a, b}));
        return Arrays.stream(points.getCoordinates())
                .mapToDouble(c -> standing ? c.y : c.x)
                .sorted()
                .toArray();
    }

    private static double areaBelow(Polygon polygon, boolean standing, double at) {
        Envelope box = standing ? new Envelope(-2000, at, -2000, 2000) : new Envelope(-2000, 2000, -2000, at);
        return polygon.intersection(JTS.toGeometry(box)).getArea();
    }

    /** Sides along the cuts, the inside on their left, and no others. */
    private static void assertLevel(Polygon polygon, boolean standing, EdgeBuffer level) {
        Coordinate[] c = polygon.getBoundary().getCoordinates();
        double expected = 0;
        for (int k = 0; k + 1 < c.length; k++) {
            double along = standing ? c[k + 1].x - c[k].x : c[k + 1].y - c[k].y;
            boolean isEdge = polygon.getBoundary().covers(JTS.createLineString(new Coordinate[] {c[k], c[k + 1]}));
            expected += isEdge && along == 0 ? c[k].distance(c[k + 1]) : 0;
        }
        double found = 0;
        for (int e = 0; e < level.size(); e++) {
            double dx = level.x1(e) - level.x0(e);
            double dy = level.y1(e) - level.y0(e);
            assertEquals(0, standing ? dx : dy);
            found += level.length(e);
            Point left = JTS.createPoint(new Coordinate(
                    0.5 * (level.x0(e) + level.x1(e)) - 0.01 * Math.signum(dy),
                    0.5 * (level.y0(e) + level.y1(e)) + 0.01 * Math.signum(dx)));
            assertTrue(polygon.contains(left));
            assertEquals(Cut.NO_PIECE, level.owner(e));
        }
        assertEquals(expected, found, 1e-9);
    }

    /** A triangle drawn off the grid: rounded vertices know where they are drawn, corners stay, and a seam is where it is. */
    @Test
    void verticesAndEdgesKnowWhereTheyAreDrawn() {
        for (boolean standing : new boolean[] {false, true}) {
            EdgeBuffer drawn = new EdgeBuffer();
            double[] x = {0.3, 40.2, 10.4};
            double[] y = {0.2, 9.6, 30.7};
            Ring ring = new Ring(3);
            for (int k = 0; k < 3; k++) {
                drawn.add(x[k], y[k], x[(k + 1) % 3], y[(k + 1) % 3], 0);
                byte mark = (byte) (k == 2 ? 0 : k == 1 ? Ring.EXPOSED : Ring.EXPOSED | Ring.CORNER);
                ring.add(Math.rint(x[k]), Math.rint(y[k]), mark, k == 2 ? Ring.NONE : k);
            }
            assertTrue(ring.close());
            Chains chains = new Chains(drawn);
            chains.fill(List.of(ring), standing, new EdgeBuffer());
            int seen = 0;
            for (int c = 0; c < chains.count; c++) {
                for (int e = chains.first[c]; e < chains.last[c]; e++) {
                    int edge = chains.drawn[e];
                    double middle = 0.5 * (chains.v[e] + chains.v[e + 1]);
                    assertFalse(chains.isVertex(e, middle));
                    assertTrue(chains.isVertex(e, chains.v[e]) && chains.isVertex(e, chains.v[e + 1]));
                    assertEquals(chains.u[e], chains.drawnAt(e, chains.v[e]));
                    assertEquals(chains.u[e + 1], chains.drawnAt(e, chains.v[e + 1]));
                    if (edge == Ring.NONE) {
                        assertFalse(chains.isExposed(e));
                        assertEquals(0.5 * (chains.u[e] + chains.u[e + 1]), chains.drawnAt(e, middle), 1e-12);
                        assertEquals(chains.u[e], chains.fromU(e));
                        assertEquals(chains.v[e], chains.fromV(e));
                        assertEquals(chains.u[e + 1], chains.toU(e));
                        assertEquals(chains.v[e + 1], chains.toV(e));
                    } else {
                        seen++;
                        assertTrue(chains.isExposed(e));
                        int to = (edge + 1) % 3;
                        assertEquals(standing ? y[edge] : x[edge], chains.fromU(e));
                        assertEquals(standing ? x[edge] : y[edge], chains.fromV(e));
                        assertEquals(standing ? y[to] : x[to], chains.toU(e));
                        assertEquals(standing ? x[to] : y[to], chains.toV(e));
                        double f = (middle - chains.fromV(e)) / (chains.toV(e) - chains.fromV(e));
                        double at = chains.fromU(e) + f * (chains.toU(e) - chains.fromU(e));
                        assertEquals(at, chains.drawnAt(e, middle), 1e-12);
                    }
                }
                for (int k = chains.first[c]; k <= chains.last[c]; k++) {
                    int vertex = 0;
                    while (Math.rint(standing ? y[vertex] : x[vertex]) != chains.u[k]) {
                        vertex++;
                    }
                    // The corner stays on the grid; so does what ends a seam, seen from the seam.
                    boolean stays = vertex == 0 || chains.drawn[k] == Ring.NONE;
                    assertEquals(vertex == 0, (chains.mark[k] & Ring.CORNER) != 0);
                    double u = standing ? y[vertex] : x[vertex];
                    double v = standing ? x[vertex] : y[vertex];
                    assertEquals(stays ? Math.rint(u) : u, chains.drawnU[k]);
                    assertEquals(stays ? Math.rint(v) : v, chains.drawnV[k]);
                }
            }
            assertEquals(2, seen);
        }
    }
}
