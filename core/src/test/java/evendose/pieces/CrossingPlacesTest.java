package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.LineSegment;
import org.locationtech.jts.geom.Polygon;

/** Lines across arcs with a vertex every five steps, against sides in very many directions from where the lines cross. */
class CrossingPlacesTest {
    private static final double TOLERANCE = 0.71;
    private static final double SMALLEST = 10;
    private static final double FOLLOWED = 25;

    /** A quarter of a ring. */
    private static Polygon ring(double radius) {
        List<Coordinate> points = new ArrayList<>();
        int n = (int) (radius * Math.PI / 2 / 5);
        for (int k = 0; k <= n; k++) {
            points.add(at(radius + 225, k * Math.PI / 2 / n));
        }
        for (int k = n; k >= 0; k--) {
            points.add(at(radius - 225, k * Math.PI / 2 / n));
        }
        double[] xy = new double[2 * points.size()];
        for (int k = 0; k < points.size(); k++) {
            xy[2 * k] = points.get(k).x;
            xy[2 * k + 1] = points.get(k).y;
        }
        return DrawnRings.polygon(xy);
    }

    private static Coordinate at(double radius, double angle) {
        return new Coordinate(Math.rint(radius * Math.cos(angle)), Math.rint(radius * Math.sin(angle)));
    }

    /** Whether a side from where the line crosses edge {@code k} passes the vertices that come next, either way, closely enough. */
    private static boolean sidesFollow(Coordinate[] c, int k, Coordinate from) {
        for (int step : new int[] {1, -1}) {
            List<Coordinate> next = new ArrayList<>();
            for (int v = step > 0 ? k + 1 : k; ; v += step) {
                next.add(c[v]);
                if (c[v].distance(from) > FOLLOWED) {
                    break;
                }
            }
            Coordinate last = next.get(next.size() - 1);
            double to = Math.atan2(last.y - from.y, last.x - from.x);
            boolean found = false;
            for (double turn = -0.3; turn <= 0.3 && !found; turn += 1e-4) {
                LineSegment side = new LineSegment(
                        from, new Coordinate(from.x + 40 * Math.cos(to + turn), from.y + 40 * Math.sin(to + turn)));
                found = next.stream().allMatch(v -> side.distance(v) <= TOLERANCE);
            }
            if (!found) {
                return false;
            }
        }
        return true;
    }

    @Test
    void sidesCanFollowTheOutlineFromAllowedLines() {
        int refused = 0;
        int lines = 0;
        for (double radius : new double[] {5000, 63_000}) {
            Polygon ring = ring(radius);
            DrawnRings from = new DrawnRings(ring, p -> p.x == 0 || p.y == 0);
            Coordinate[] c = ring.getExteriorRing().getCoordinates();
            CrossingPlaces places = new CrossingPlaces(TOLERANCE, SMALLEST);
            for (boolean alongY : new boolean[] {false, true}) {
                for (double share : new double[] {0.3, 0.44, 0.5, 0.7, 0.85}) {
                    double middle = Math.rint(radius * share);
                    places.begin(from.rings, alongY, middle, 20);
                    for (double at = middle - 20; at <= middle + 20; at++) {
                        boolean expected = true;
                        for (int k = 0; k + 1 < c.length; k++) {
                            double p0 = alongY ? c[k].y : c[k].x;
                            double p1 = alongY ? c[k + 1].y : c[k + 1].x;
                            if (Math.min(p0, p1) < at && Math.max(p0, p1) >= at) {
                                double f = (at - p0) / (p1 - p0);
                                double q = alongY
                                        ? c[k].x + f * (c[k + 1].x - c[k].x)
                                        : c[k].y + f * (c[k + 1].y - c[k].y);
                                Coordinate place =
                                        alongY ? new Coordinate(Math.rint(q), at) : new Coordinate(at, Math.rint(q));
                                expected &= sidesFollow(c, k, place);
                            }
                        }
                        assertEquals(expected, places.allow(at), radius + ": " + alongY + " " + at);
                        refused += expected ? 0 : 1;
                        lines++;
                    }
                }
            }
        }
        assertTrue(refused > lines / 50 && refused < lines / 2, refused + " of " + lines);
    }

    /** A corner 6 steps beside a line, or beside one of its crossings, makes a piece thin; one in line with it, or 10 beside, does not. */
    @Test
    void noCornerLiesCloseToALine() {
        for (boolean alongY : new boolean[] {false, true}) {
            for (int beside = 0; beside <= 12; beside++) {
                // The line at 500 crosses sides at 0 and at 300; the notch has corners at 500 + beside.
                double y = 500.0 + beside;
                assertEquals(
                        beside == 0 || beside >= 10,
                        allows(alongY, 500, 0, 0, 300, 0, 300, 900, 40, 900, 40, y, 0, y),
                        "line, " + beside);
                // Here the line crosses sides at 0 and at 300, far from a corner at 300 + beside.
                assertEquals(
                        beside == 0 || beside >= 10,
                        allows(alongY, 500, 0, 0, 300.0 + beside, 0, 300.0 + beside, 200, 300, 200, 300, 900, 0, 900),
                        "crossing, " + beside);
            }
            // Two crossings beside each other, of a tip that ends farther up.
            for (int width = 4; width <= 14; width++) {
                assertEquals(width >= 10, allows(alongY, 500, 0, 0, 2.0 * width, 0, 300, 1000), "tip, " + width);
            }
        }
    }

    private static boolean allows(boolean alongY, double line, double... xy) {
        double[] turned = xy.clone();
        for (int k = 0; k < xy.length && !alongY; k += 2) {
            turned[k] = xy[k + 1];
            turned[k + 1] = xy[k];
        }
        DrawnRings from = new DrawnRings(DrawnRings.polygon(turned), c -> true);
        CrossingPlaces places = new CrossingPlaces(TOLERANCE, SMALLEST);
        places.begin(from.rings, alongY, line, 20);
        return places.allow(line);
    }
}
