package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Envelope;
import org.locationtech.jts.geom.LineSegment;
import org.locationtech.jts.geom.Polygon;

/**
 * Short guides between two borders that wave against the fewest pieces there are, found by trying all places on the grid near the borders for
 * all heights: each side within the tolerance of all vertices beside it, no piece lower than the smallest.
 */
class FewestPiecesTest {
    private static final int HEIGHT = 120;
    private static final int VERTICES = 13;
    private static final int SMALLEST = 6;

    /** A border: a vertex each ten steps. */
    private static double[] border(SplittableRandom random, double from, double slope, double waves) {
        double phase = random.nextDouble(6);
        double[] u = new double[VERTICES];
        for (int k = 0; k < VERTICES; k++) {
            u[k] = Math.rint(from + slope * 10 * k + waves * Math.sin(0.6 * k + phase));
        }
        return u;
    }

    private static double at(double[] border, double v) {
        int k = Math.min(VERTICES - 2, (int) (v / 10));
        return border[k] + (v / 10 - k) * (border[k + 1] - border[k]);
    }

    private static boolean passes(double[] border, int a, double ua, int b, double ub, double tolerance) {
        LineSegment side = new LineSegment(ua, a, ub, b);
        for (int k = 0; k < VERTICES; k++) {
            double v = 10.0 * k;
            if (v > a && v < b && side.distance(new Coordinate(border[k], v)) > tolerance) {
                return false;
            }
        }
        return true;
    }

    /** Places on the grid within the tolerance of the border. */
    private static double[] places(double[] border, int v, double tolerance) {
        double at = at(border, v);
        List<Double> found = new ArrayList<>();
        for (double u = Math.rint(at) - 2; u <= Math.rint(at) + 2; u++) {
            int k = Math.min(VERTICES - 2, v / 10);
            LineSegment side = new LineSegment(border[k], 10.0 * k, border[k + 1], 10.0 * (k + 1));
            if (side.distance(new Coordinate(u, v)) <= tolerance) {
                found.add(u);
            }
        }
        return found.stream().mapToDouble(u -> u).toArray();
    }

    /** Least number of pieces from the bottom, where both borders have their vertices, to the top, where they have. */
    private static int fewest(double[] left, double[] right, double tolerance) {
        int[][][] least = new int[HEIGHT + 1][5][5];
        for (int[][] of : least) {
            Arrays.stream(of).forEach(row -> Arrays.fill(row, 1000));
        }
        double[][] l = new double[HEIGHT + 1][];
        double[][] r = new double[HEIGHT + 1][];
        for (int v = 0; v <= HEIGHT; v++) {
            boolean end = v == 0 || v == HEIGHT;
            l[v] = end ? new double[] {at(left, v)} : places(left, v, tolerance);
            r[v] = end ? new double[] {at(right, v)} : places(right, v, tolerance);
        }
        least[0][0][0] = 0;
        for (int b = SMALLEST; b <= HEIGHT; b++) {
            for (int a = 0; a <= b - SMALLEST; a++) {
                boolean[][] ll = sides(left, a, l[a], b, l[b], tolerance);
                boolean[][] rr = sides(right, a, r[a], b, r[b], tolerance);
                for (int i = 0; i < l[a].length; i++) {
                    for (int j = 0; j < r[a].length; j++) {
                        for (int m = 0; m < l[b].length; m++) {
                            for (int n = 0; n < r[b].length; n++) {
                                if (ll[i][m] && rr[j][n]) {
                                    least[b][m][n] = Math.min(least[b][m][n], least[a][i][j] + 1);
                                }
                            }
                        }
                    }
                }
            }
        }
        return least[HEIGHT][0][0];
    }

    private static boolean[][] sides(double[] border, int a, double[] from, int b, double[] to, double tolerance) {
        boolean[][] may = new boolean[from.length][to.length];
        for (int i = 0; i < from.length; i++) {
            for (int m = 0; m < to.length; m++) {
                may[i][m] = passes(border, a, from[i], b, to[m], tolerance);
            }
        }
        return may;
    }

    @ParameterizedTest
    @CsvSource({"1.2, 0.1, 3, false", "0.8, -0.4, 4, true", "0.8, 0.02, 2, false", "1, 0.7, 6, true"})
    void atMostOnePieceMoreThanTheFewestIsMade(double tolerance, double slope, double waves, boolean standing) {
        SplittableRandom random = new SplittableRandom(5);
        int made = 0;
        int least = 0;
        double before = 0;
        double after = 0;
        for (int n = 0; n < 6; n++) {
            double[] left = border(random, 0, slope, waves);
            double[] right = border(random, 40, slope, waves);
            double[] xy = new double[4 * VERTICES];
            for (int k = 0; k < VERTICES; k++) {
                int last = 2 * VERTICES - 1 - k;
                xy[2 * k + (standing ? 1 : 0)] = left[k];
                xy[2 * k + (standing ? 0 : 1)] = 10.0 * k;
                xy[2 * last + (standing ? 1 : 0)] = right[k];
                xy[2 * last + (standing ? 0 : 1)] = 10.0 * k;
            }
            Polygon guide = DrawnRings.polygon(xy);
            DrawnRings from = new DrawnRings(guide, c -> {
                double v = standing ? c.x : c.y;
                return v == 0 || v == HEIGHT;
            });
            RegionSweep sweep = new RegionSweep(from.drawn, false, tolerance, SMALLEST);
            Cut cut = sweep.cut(from.rings, standing, 0, 1, false, 1000);
            assertNotNull(cut);
            int fewest = fewest(left, right, tolerance);
            assertTrue(
                    cut.pieces >= fewest && cut.pieces <= fewest + 1, cut.pieces + " pieces, " + fewest + " would do");
            made += cut.pieces;
            least += fewest;
            assertFollows(cut, left, right, standing, tolerance);
            double area = DrawnRings.pieces(cut).stream()
                    .mapToDouble(Polygon::getArea)
                    .sum();
            assertEquals(area - guide.getArea(), cut.addedArea, 1e-6);
            // With an error of 7 to be made up for, and breaks moved for that.
            Cut uneven = sweep.cut(from.rings, standing, 7, 0.5, false, 1000);
            Cut evened = sweep.cut(from.rings, standing, 7, 0.5, true, 1000);
            assertEquals(uneven.pieces, evened.pieces);
            assertTrue(evened.pieces <= fewest + 1);
            assertFollows(evened, left, right, standing, tolerance);
            assertTrue(Math.abs(7 + evened.addedArea) <= Math.abs(7 + uneven.addedArea));
            before += Math.abs(7 + uneven.addedArea);
            after += Math.abs(7 + evened.addedArea);
            double evenedArea = DrawnRings.pieces(evened).stream()
                    .mapToDouble(Polygon::getArea)
                    .sum();
            assertEquals(evenedArea - guide.getArea(), evened.addedArea, 1e-6);
            // As many are too many if fewer are asked for.
            assertNull(sweep.cut(from.rings, standing, 0, 1, false, cut.pieces));
            assertNotNull(sweep.cut(from.rings, standing, 0, 1, false, cut.pieces + 1));
        }
        assertTrue(made <= least + 2, made + " pieces, " + least + " would do");
        assertTrue(after < 0.6 * before, before + " evened to " + after);
    }

    /**
     * A straight side opposite to a zigzag is cut at each of its corners, where it lies off the grid: it is rounded one way or the other, so
     * that the area up to each of them comes out within two steps times the height of a tooth: always the nearer place would add up to five.
     */
    @ParameterizedTest
    @CsvSource({"0.0349, false", "0.11, true", "-0.21, false", "0.025625, true", "-0.025625, false"})
    void placesOppositeToCornersKeepTheArea(double slope, boolean standing) {
        int teeth = 40;
        int rise = 40;
        int height = teeth * rise;
        double[][] corners = new double[teeth + 3][];
        int n = 0;
        corners[n++] = new double[] {Math.rint(slope * height), height};
        corners[n++] = new double[] {0, 0};
        for (int k = 0; k <= teeth; k++) {
            corners[n++] = new double[] {Math.rint(600 + slope * rise * k) + (k % 2 == 0 ? 0 : 60), rise * k};
        }
        double[] xy = new double[2 * n];
        for (int k = 0; k < n; k++) {
            xy[2 * k + (standing ? 1 : 0)] = corners[k][0];
            xy[2 * k + (standing ? 0 : 1)] = corners[k][1];
        }
        Polygon guide = DrawnRings.polygon(xy);
        DrawnRings from = new DrawnRings(guide, c -> true);
        Cut cut = new RegionSweep(from.drawn, false, 0.5, SMALLEST).cut(from.rings, standing, 0, 1, false, 1e6);
        assertEquals(teeth, cut.pieces);
        double area = 0;
        double off = 0;
        int pieces = 0;
        LineSegment side = new LineSegment(0, 0, Math.rint(slope * height), height);
        for (Polygon p : DrawnRings.pieces(cut)) {
            area += p.getArea();
            pieces++;
            Envelope below =
                    standing ? new Envelope(0, rise * pieces, -999, 999) : new Envelope(-999, 999, 0, rise * pieces);
            double drawn = guide.intersection(DrawnRings.JTS.toGeometry(below)).getArea();
            assertEquals(drawn, area, 2 * rise, "up to piece " + pieces);
            for (Coordinate c : p.getCoordinates()) {
                Coordinate turned = standing ? new Coordinate(c.y, c.x) : c;
                off = turned.x < 500 + slope * turned.y ? Math.max(off, side.distance(turned)) : off;
            }
        }
        assertTrue(off <= Math.sqrt(0.5) + 1e-6, "off by " + off);
        assertEquals(area - guide.getArea(), cut.addedArea, 1e-6);
    }

    private static void assertFollows(Cut cut, double[] left, double[] right, boolean standing, double tolerance) {
        double[][] c = cut.coordinates;
        double next = 0;
        for (int i = 0; i < cut.pieces; i++) {
            // Rectangles lie level, whichever way they were cut.
            boolean turned = standing && !cut.standing[i];
            int low = (int) (turned ? c[2][i] : c[0][i]);
            int high = (int) (turned ? c[3][i] : c[1][i]);
            double[] l = turned ? new double[] {c[0][i], c[0][i]} : new double[] {c[2][i], c[4][i]};
            double[] r = turned ? new double[] {c[1][i], c[1][i]} : new double[] {c[3][i], c[5][i]};
            assertEquals(next, low);
            next = high;
            assertTrue(high - low >= SMALLEST);
            assertTrue(passes(left, low, l[0], high, l[1], tolerance + 1e-9));
            assertTrue(passes(right, low, r[0], high, r[1], tolerance + 1e-9));
        }
        assertEquals(HEIGHT, next);
        assertEquals(0, cut.thin);
    }
}
