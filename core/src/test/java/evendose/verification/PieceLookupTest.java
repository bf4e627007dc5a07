package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.GeometryFactory;
import org.locationtech.jts.geom.Polygon;

class PieceLookupTest {
    /** A square in a level and a standing triangle: each point lies in the one on its side of the diagonal. */
    @Test
    void findsLevelAndStandingPieces() throws IOException {
        PieceLookup lookup = new PieceLookup(new TestExposure()
                .piece(0, 0, 1, 0, 0, 1, 0, 1)
                .piece(1, 0, 1, 1, 0, 1, 0, 1)
                .build(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6))
                .pieces());
        SplittableRandom random = new SplittableRandom(4);
        for (int k = 0; k < 1000; k++) {
            double x = random.nextDouble();
            double y = random.nextDouble();
            assertEquals(x + y < 1 ? 0 : 1, lookup.at(x, y, 0), x + " " + y);
        }
        assertEquals(-1, lookup.at(1.1, 0.5, 0.05));
        assertEquals(1, lookup.at(1.04, 0.5, 0.05));
        assertEquals(-1, lookup.at(0.5, -0.1, 0.05));
    }

    /** Random pieces of both kinds far off the origin, and random points and pairs, against JTS. */
    @Test
    void agreesWithALoopOverAllPieces() {
        SplittableRandom random = new SplittableRandom(5);
        GeometryFactory jts = new GeometryFactory();
        int n = 60;
        double[][] c = new double[6][n];
        boolean[] standing = new boolean[n];
        int[] first = new int[n + 1];
        for (int i = 0; i < n; i++) {
            standing[i] = random.nextBoolean();
            // Along x from 500 on, along y from -300 on.
            double across = (standing[i] ? 500 : -300) + random.nextDouble(40);
            double along = (standing[i] ? -300 : 500) + random.nextDouble(40);
            c[0][i] = across;
            c[1][i] = across + 1 + random.nextDouble(6);
            c[2][i] = along;
            c[3][i] = along + 1 + random.nextDouble(6);
            c[4][i] = along + random.nextDouble(6);
            c[5][i] = c[4][i] + random.nextDouble(6);
            first[i + 1] = i + 1;
        }
        Pieces pieces = new Pieces(c, standing, first, new int[] {0, n}, new int[] {0});
        Polygon[] polygon = new Polygon[n];
        for (int i = 0; i < n; i++) {
            Coordinate[] ring = new Coordinate[5];
            for (int q = 0; q < 5; q++) {
                ring[q] = new Coordinate(pieces.cornerXUm(i, q & 3), pieces.cornerYUm(i, q & 3));
            }
            polygon[i] = jts.createPolygon(ring);
        }
        PieceLookup lookup = new PieceLookup(pieces);
        int inside = 0;
        for (int k = 0; k < 3000; k++) {
            double x = 495 + random.nextDouble(60);
            double y = -305 + random.nextDouble(60);
            var point = jts.createPoint(new Coordinate(x, y));
            int found = lookup.at(x, y, 0);
            if (found < 0) {
                assertTrue(Arrays.stream(polygon).noneMatch(p -> p.contains(point)), x + " " + y);
            } else {
                assertTrue(polygon[found].contains(point), x + " " + y);
                inside++;
            }
        }
        assertTrue(inside > 300, inside + " points inside");
        List<String> pairs = new ArrayList<>();
        lookup.forOverlaps((i, j, area) -> {
            assertEquals(polygon[i].intersection(polygon[j]).getArea(), area, 1e-9);
            pairs.add(i + " " + j);
        });
        List<String> expected = new ArrayList<>();
        for (int i = 0; i < n; i++) {
            for (int j = i + 1; j < n; j++) {
                if (polygon[i].intersection(polygon[j]).getArea() > 1e-9) {
                    expected.add(i + " " + j);
                }
            }
        }
        assertTrue(expected.size() > 20, expected.size() + " pairs");
        expected.sort(null);
        pairs.sort(null);
        assertEquals(expected, pairs);
    }

    /** A piece is widened on all four sides, slanted ones along its parallel sides. */
    @Test
    void slackWidensAllSides() {
        double[][] c = {{20}, {24}, {10}, {12}, {13}, {15}};
        Pieces pieces = new Pieces(c, new boolean[] {false}, new int[] {0, 1}, new int[] {0, 1}, new int[] {0});
        PieceLookup lookup = new PieceLookup(pieces);
        for (double[] at : new double[][] {{11.5, 22}, {13.5, 22}, {11, 20}, {14, 24}}) {
            double x = at[0];
            double y = at[1];
            double dx = y == 22 ? (x < 12.5 ? -1 : 1) : 0;
            double dy = y == 22 ? 0 : y - 22 > 0 ? 1 : -1;
            assertEquals(0, lookup.at(x + 0.09 * dx, y + 0.09 * dy, 0.1));
            assertEquals(-1, lookup.at(x + 0.11 * dx, y + 0.11 * dy, 0.1));
            assertEquals(-1, lookup.at(x + 0.01 * dx, y + 0.01 * dy, 0));
            assertEquals(0, lookup.at(x - 0.01 * dx, y - 0.01 * dy, 0));
        }
    }

    @Test
    void nothingHoldsNothing() {
        Pieces none = new Pieces(new double[6][0], new boolean[0], new int[] {0}, new int[] {0}, new int[0]);
        assertEquals(-1, new PieceLookup(none).at(0.5, 0.5, 1));
    }
}
