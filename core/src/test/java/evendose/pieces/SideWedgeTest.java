package evendose.pieces;

import static evendose.pieces.DrawnRings.JTS;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.EdgeBuffer;
import java.util.Arrays;
import java.util.SplittableRandom;
import java.util.TreeSet;
import java.util.stream.IntStream;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.LineSegment;
import org.locationtech.jts.geom.LineString;
import org.locationtech.jts.geom.Polygon;

/** Straight sides along a border of a guide against the distance of each of its vertices from each side, as JTS has it. */
class SideWedgeTest {
    private static final int VERTICES = 60;

    private final double[] u = new double[VERTICES];
    private final double[] v = new double[VERTICES];

    /** A guide 200 wide whose left border, or right one, waves, turned where cuts stand. */
    private Chains border(SplittableRandom random, int apart, double steep, boolean right, boolean standing) {
        double slope = steep * (random.nextDouble() - 0.5);
        double waves = 1 + random.nextInt(4);
        for (int k = 0; k < VERTICES; k++) {
            v[k] = k == 0 ? 0 : v[k - 1] + apart + random.nextInt(3 * apart);
            u[k] = Math.rint(slope * v[k] + waves * Math.sin(0.02 * v[k]) + random.nextDouble());
        }
        double away = right ? -400 : 400;
        double[] xy = new double[2 * VERTICES + 4];
        for (int k = 0; k < VERTICES; k++) {
            xy[2 * k] = standing ? v[k] : u[k];
            xy[2 * k + 1] = standing ? u[k] : v[k];
        }
        double last = v[VERTICES - 1];
        xy[2 * VERTICES] = standing ? last : away;
        xy[2 * VERTICES + 1] = standing ? away : last;
        xy[2 * VERTICES + 2] = standing ? 0 : away;
        xy[2 * VERTICES + 3] = standing ? away : 0;
        Polygon polygon = DrawnRings.polygon(xy);
        DrawnRings from = new DrawnRings(polygon, c -> false);
        Chains chains = new Chains(from.drawn);
        chains.fill(from.rings, standing, new EdgeBuffer());
        return chains;
    }

    private static int chain(Chains chains, boolean right) {
        for (int c = 0; c < chains.count; c++) {
            if (chains.right[c] == right) {
                return c;
            }
        }
        throw new AssertionError();
    }

    /** Whether a side passes all vertices up to its end within the tolerance. */
    private boolean passes(double a, double ua, double b, double ub, double tolerance) {
        LineSegment side = new LineSegment(ua, a, ub, b);
        for (int k = 0; k < VERTICES; k++) {
            if (v[k] > a && v[k] <= b && side.distance(new Coordinate(u[k], v[k])) > tolerance) {
                return false;
            }
        }
        return true;
    }

    private double at(double height) {
        int k = 0;
        while (v[k + 1] < height) {
            k++;
        }
        return u[k] + (height - v[k]) / (v[k + 1] - v[k]) * (u[k + 1] - u[k]);
    }

    /** Area between a side and the border, right of the border. */
    private double area(double a, double ua, double b, double ub) {
        double border = 0;
        double from = a;
        double at = at(a);
        for (int k = 0; k <= VERTICES && from < b; k++) {
            double to = k < VERTICES ? Math.min(b, v[k]) : b;
            if (to > from) {
                border += 0.5 * (at + at(to)) * (to - from);
                from = to;
                at = at(to);
            }
        }
        return 0.5 * (ua + ub) * (b - a) - border;
    }

    @ParameterizedTest
    @CsvSource({
        "0.5, 4, 1, false, false",
        "1, 4, 1, true, false",
        "1.6, 4, 1, false, true",
        "0.8, 4, 1, true, true",
        "2.5, 1, 6, true, false",
        "2.5, 1, 6, false, true"
    })
    void sidesAndTheirEndsAreThoseWithinTheTolerance(
            double tolerance, int apart, double steep, boolean right, boolean standing) {
        SplittableRandom random = new SplittableRandom(Math.round(10 * tolerance));
        int sides = 0;
        int several = 0;
        for (int n = 0; n < 16; n++) {
            Chains chains = border(random, apart, steep, right, standing);
            LineString drawn = JTS.createLineString(IntStream.range(0, VERTICES)
                    .mapToObj(k -> new Coordinate(u[k], v[k]))
                    .toArray(Coordinate[]::new));
            SideWedge wedge = new SideWedge(chains);
            // The wedge is used again: what an earlier, longer side has left does not count.
            wedge.begin(chain(chains, right), 0, u[0], 10 * tolerance);
            wedge.grow(v[VERTICES - 1]);
            int start = random.nextInt(10);
            double a = v[start];
            double ua = u[start];
            wedge.begin(chain(chains, right), a, ua, tolerance);
            double top = v[start + 20 + random.nextInt(20)];
            double reach = wedge.grow(top);
            assertReach(a, ua, reach, top, tolerance);
            for (double b = a + 4; b <= reach; b++) {
                double near = Math.rint(at(b));
                TreeSet<Double> possible = new TreeSet<>();
                TreeSet<Double> wanted = new TreeSet<>();
                for (double ub = near - 6 * steep; ub <= near + 6 * steep; ub++) {
                    boolean passes = passes(a, ua, b, ub, tolerance);
                    assertEquals(passes, wedge.allows(b, ub), a + " " + ua + " to " + b + " " + ub);
                    if (passes && drawn.distance(JTS.createPoint(new Coordinate(ub, b))) <= tolerance) {
                        possible.add(ub + 0.0);
                        if (Math.abs(ub - at(b)) <= tolerance) {
                            wanted.add(ub + 0.0);
                        }
                    }
                }
                assertTrue(wedge.isOpen(b) || possible.isEmpty());
                boolean ends = wedge.end(b);
                TreeSet<Double> found = new TreeSet<>();
                for (int i = 0; ends && i < wedge.ends; i++) {
                    found.add(wedge.end[i] + 0.0);
                    double added = (right ? 1 : -1) * area(a, ua, b, wedge.end[i]);
                    assertEquals(added, wedge.added[i], 1e-6);
                    assertEquals(added, wedge.addedAt(b, wedge.end[i]), 1e-6);
                    sides++;
                }
                assertEquals(ends, !found.isEmpty());
                assertTrue(possible.containsAll(found), found + " of " + possible);
                // Some that are nearer to a neighbouring edge than to this one are not looked at, and of many only
                // four.
                assertTrue(tolerance > 2 || found.containsAll(wanted), found + " for " + wanted);
                assertTrue(wanted.isEmpty() || ends);
                several += found.size() > 1 ? 1 : 0;
            }
        }
        assertTrue(sides > 300 && several > 10, sides + " sides, " + several + " with a choice");
    }

    /** Up to the height that is reached some slope passes all vertices, and none passes that one, as trying many slopes shows. */
    private void assertReach(double a, double ua, double reach, double top, double tolerance) {
        double least = 4;
        double leastBeyond = 4;
        double chord = (at(reach) - ua) / (reach - a);
        for (double slope = chord - 0.3; slope <= chord + 0.3; slope += 1e-4) {
            LineSegment line = new LineSegment(ua, a, ua + slope * 1000, a + 1000);
            double most = 0;
            double mostBeyond = 0;
            for (int k = 0; k < VERTICES; k++) {
                if (v[k] > a && v[k] <= reach && v[k] < top) {
                    double away = line.distance(new Coordinate(u[k], v[k]));
                    mostBeyond = Math.max(mostBeyond, away);
                    most = v[k] < reach ? Math.max(most, away) : most;
                }
            }
            least = Math.min(least, most);
            leastBeyond = Math.min(leastBeyond, mostBeyond);
        }
        assertTrue(least <= tolerance + 0.05, least + " up to " + reach);
        assertTrue(reach == top || leastBeyond > tolerance, leastBeyond + " with " + reach);
    }

    /** Along a seam a side ends where the border goes, rounded, and nowhere else. */
    @ParameterizedTest
    @CsvSource({"0.5", "2"})
    void seamsHaveOneEnd(double tolerance) {
        SplittableRandom random = new SplittableRandom(7);
        Chains chains = border(random, 4, 1, false, false);
        Arrays.fill(chains.mark, (byte) 0);
        SideWedge wedge = new SideWedge(chains);
        wedge.begin(chain(chains, false), v[2], u[2], tolerance);
        double reach = wedge.grow(v[40]);
        int found = 0;
        for (double b = v[2] + 4; b <= reach; b++) {
            double at = Math.rint(at(b));
            assertEquals(passes(v[2], u[2], b, at, tolerance), wedge.end(b), "at " + b);
            if (wedge.end(b)) {
                found++;
                assertEquals(1, wedge.ends);
                assertEquals(at, wedge.end[0]);
                assertEquals(-area(v[2], u[2], b, at), wedge.added[0], 1e-6);
            }
        }
        assertTrue(found > 3, "ends: " + found);
    }
}
