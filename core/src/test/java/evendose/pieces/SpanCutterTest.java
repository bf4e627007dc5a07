package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import org.junit.jupiter.api.Test;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Envelope;
import org.locationtech.jts.geom.LineString;
import org.locationtech.jts.geom.Polygon;

/**
 * Guides as generators of photonic layouts draw them: arcs with a vertex every five steps of the grid, rounded to it. Near 45 degrees vertices lie up
 * to 0.7 steps off the arc, which is more than the tolerance.
 */
class SpanCutterTest {
    private static final double SMALLEST = 10;
    private static final double TOLERANCE = 0.5;
    private static final double REACH = Math.sqrt(0.5) + 1e-6;
    private static final int HEIGHT = 4000;
    private static final double SHIFT = -3_000_000;

    /** An arc about (-radius, 0) from an angle on, moved so that it begins at height 0; the ends lie on whole heights. */
    private static List<Coordinate> arc(double radius, double begin, double aside) {
        double from = radius * Math.sin(begin);
        List<Coordinate> points = new ArrayList<>();
        points.add(new Coordinate(Math.rint(aside + radius * Math.cos(begin)), 0));
        double angle = begin;
        while (true) {
            angle += 5 / radius;
            double v = Math.rint(radius * Math.sin(angle) - from);
            if (v >= HEIGHT) {
                break;
            }
            points.add(new Coordinate(Math.rint(aside + radius * Math.cos(angle)), v));
        }
        double last = Math.asin((from + HEIGHT) / radius);
        points.add(new Coordinate(Math.rint(aside + radius * Math.cos(last)), HEIGHT));
        return points;
    }

    private static Polygon guide(double radius, double begin, double moved) {
        List<Coordinate> right = arc(radius, begin, 600.4);
        List<Coordinate> left = arc(radius, begin, 0.1);
        double[] xy = new double[2 * (left.size() + right.size())];
        int n = 0;
        for (Coordinate c : right) {
            xy[n++] = c.x + moved;
            xy[n++] = c.y + moved;
        }
        for (int k = left.size() - 1; k >= 0; k--) {
            xy[n++] = left.get(k).x + moved;
            xy[n++] = left.get(k).y + moved;
        }
        return DrawnRings.polygon(xy);
    }

    private static Cut cut(Polygon guide, double moved) {
        DrawnRings from = new DrawnRings(guide, c -> c.y == moved || c.y == moved + HEIGHT);
        return new RegionSweep(from.drawn, false, TOLERANCE, SMALLEST).cut(from.rings, false, 0, 1, false, 1e6);
    }

    /** Without going back 37 came out thin, by one piece only 2. */
    @Test
    void noThinPieceIsCutFromArcs() {
        int thin = 0;
        for (double radius : new double[] {65_000, 80_000, 100_000, 150_000, 200_000}) {
            for (double degrees = 26; degrees <= 44; degrees += 2) {
                Polygon guide = guide(radius, Math.toRadians(degrees), 0);
                Cut cut = cut(guide, 0);
                thin += cut.thin;
                assertFollows(
                        guide, cut, String.format(Locale.ROOT, "radius %.0f, from %.0f degrees", radius, degrees));
            }
        }
        assertEquals(0, thin);
    }

    /**
     * Between a straight side and an arc that meets it at a sharp angle, at the top and at the bottom. In 8 of 78 the arc zigzags at its end so that no
     * side from there is long enough; 19 pieces were thin if tips at the bottom were not looked at, 23 if those at the top were not.
     */
    @Test
    void hardlyAnyPieceAtATipIsNarrowerThanTheSmallest() {
        int pieces = 0;
        int thin = 0;
        for (double radius : new double[] {20_000, 65_000, 150_000}) {
            for (double degrees = 6; degrees <= 30; degrees += 2) {
                List<Coordinate> arc = arc(radius, Math.toRadians(degrees), 0);
                double foot = arc.get(0).x;
                double tip = arc.get(arc.size() - 1).x;
                double[] xy = new double[2 * arc.size() + 2];
                for (boolean up : new boolean[] {true, false}) {
                    // The outline goes up along the arc, and back along the straight side.
                    int n = 0;
                    for (int k = 0; k < arc.size(); k++) {
                        Coordinate c = up ? arc.get(k) : arc.get(arc.size() - 1 - k);
                        xy[n++] = c.x;
                        xy[n++] = up ? c.y : HEIGHT - c.y;
                    }
                    xy[n++] = tip;
                    xy[n] = up ? 0 : HEIGHT;
                    Polygon guide = DrawnRings.polygon(xy);
                    double level = up ? 0 : HEIGHT;
                    DrawnRings from =
                            new DrawnRings(guide, c -> c.x == tip || c.y == level && (c.x == foot || c.x == tip));
                    Cut cut = new RegionSweep(from.drawn, false, TOLERANCE, SMALLEST)
                            .cut(from.rings, false, 0, 1, false, 1e6);
                    for (Polygon piece : DrawnRings.pieces(cut)) {
                        Envelope box = piece.getEnvelopeInternal();
                        thin += Math.min(box.getWidth(), box.getHeight()) < SMALLEST ? 1 : 0;
                    }
                    pieces += cut.pieces;
                }
            }
        }
        assertTrue(thin <= 8 && pieces > 6000, thin + " thin of " + pieces);
    }

    /** Straight sides of a curve end a few steps apart: one break does for both; where sharp corners do, there are two. */
    @Test
    void endsOfStraightSidesNeedNoBreakBesideAnother() {
        double[] gentle = {600, 0, 600, 1000, 597, 1040, 590, 1090, -10, 1090, -3, 1043, 0, 1003, 0, 0};
        double[] sharp = {600, 0, 600, 1000, 560, 1040, 510, 1090, -90, 1090, -40, 1043, 0, 1003, 0, 0};
        for (double[] xy : new double[][] {gentle, sharp}) {
            DrawnRings from =
                    new DrawnRings(DrawnRings.polygon(xy), c -> c.y == 0 || c.y == 1090 || c.y == 1000 || c.y == 1003);
            Cut cut = new RegionSweep(from.drawn, false, TOLERANCE, SMALLEST).cut(from.rings, false, 0, 1, false, 1e6);
            boolean broken = false;
            for (int i = 0; i < cut.pieces; i++) {
                broken |= cut.coordinates[0][i] == 1000 && cut.coordinates[1][i] == 1003;
            }
            assertEquals(xy == sharp, broken);
            assertEquals(xy == sharp ? 1 : 0, cut.thin);
        }
    }

    private static void assertFollows(Polygon guide, Cut cut, String where) {
        double[][] c = cut.coordinates;
        double next = 0;
        LineString outline = guide.getExteriorRing();
        for (int i = 0; i < cut.pieces; i++) {
            assertEquals(next, c[0][i], where);
            next = c[1][i];
            for (double[] corner : new double[][] {{c[2][i], c[0][i]}, {c[3][i], c[0][i]}}) {
                double off = outline.distance(DrawnRings.JTS.createPoint(new Coordinate(corner[0], corner[1])));
                assertTrue(off <= REACH, where + ": off by " + off);
            }
            assertVerticesLieWithin(guide, c, i, where);
        }
        assertEquals(HEIGHT, next, where);
    }

    /** Drawn vertices beside a piece lie near its sides. */
    private static void assertVerticesLieWithin(Polygon guide, double[][] c, int i, String where) {
        LineString left = DrawnRings.JTS.createLineString(
                new Coordinate[] {new Coordinate(c[2][i], c[0][i]), new Coordinate(c[4][i], c[1][i])});
        LineString right = DrawnRings.JTS.createLineString(
                new Coordinate[] {new Coordinate(c[3][i], c[0][i]), new Coordinate(c[5][i], c[1][i])});
        for (Coordinate v : guide.getCoordinates()) {
            if (v.y > c[0][i] && v.y < c[1][i]) {
                double off = Math.min(
                        left.distance(DrawnRings.JTS.createPoint(v)), right.distance(DrawnRings.JTS.createPoint(v)));
                assertTrue(off <= REACH, where + ": vertex off by " + off);
            }
        }
    }

    @Test
    void aGuideFarBelowAndLeftIsCutAtTheSamePlaces() {
        for (double radius : new double[] {65_000, 100_000}) {
            Cut here = cut(guide(radius, Math.toRadians(36), 0), 0);
            Cut there = cut(guide(radius, Math.toRadians(36), SHIFT), SHIFT);
            assertEquals(here.pieces, there.pieces);
            for (int c = 0; c < 6; c++) {
                for (int i = 0; i < here.pieces; i++) {
                    assertEquals(here.coordinates[c][i], there.coordinates[c][i] - SHIFT);
                }
            }
        }
    }
}
