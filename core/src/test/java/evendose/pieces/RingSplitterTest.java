package evendose.pieces;

import static evendose.pieces.DrawnRings.JTS;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Envelope;
import org.locationtech.jts.geom.Geometry;
import org.locationtech.jts.geom.Polygon;

/** Regions cut in two against JTS, which intersects them with half planes. */
class RingSplitterTest {
    private static final double FAR = 1e5;

    private static Geometry half(boolean alongY, double c, boolean below) {
        double from = below ? -FAR : c;
        double to = below ? c : FAR;
        return JTS.toGeometry(alongY ? new Envelope(-FAR, FAR, from, to) : new Envelope(from, to, -FAR, FAR));
    }

    /** Exposed outline but for what lies on a line. */
    private static double exposed(List<Ring> rings, boolean alongY, double c) {
        double length = 0;
        for (Ring r : rings) {
            for (int k = 0; k < r.size; k++) {
                int next = (k + 1) % r.size;
                boolean on = r.along(alongY, k) == c && r.along(alongY, next) == c;
                boolean exposed = (r.mark[k] & Ring.EXPOSED) != 0;
                length += on || !exposed ? 0 : Math.hypot(r.x[next] - r.x[k], r.y[next] - r.y[k]);
            }
        }
        return length;
    }

    /** With a grid of 50 many vertices lie on the line; with 120 corners it crosses more often than arrays hold at first. */
    @ParameterizedTest
    @CsvSource({"11, 1", "40, 50", "120, 1"})
    void partsAreThoseOnEitherSide(int corners, int grid) {
        SplittableRandom random = new SplittableRandom(corners);
        for (int n = 0; n < 12; n++) {
            Polygon polygon = DrawnRings.star(random, corners, 300, 1000, grid);
            DrawnRings from = new DrawnRings(polygon, c -> false);
            RingSplitter splitter = new RingSplitter(true, from.drawn, new CrossingPlaces(0, 0));
            for (boolean alongY : new boolean[] {false, true}) {
                double c = 100.0 * (n - 6);
                splitter.split(from.rings, alongY, c, 0);
                for (boolean below : new boolean[] {true, false}) {
                    List<Ring> part = below ? splitter.low : splitter.high;
                    Geometry expected =
                            polygon.intersection(half(alongY, c, below)).buffer(0);
                    assertEquals(
                            0, DrawnRings.area(part).symDifference(expected).getArea(), 1e-5);
                    assertEquals(
                            expected.getArea(),
                            part.stream().mapToDouble(Ring::area).sum(),
                            1e-6);
                    Geometry outline = polygon.getBoundary().intersection(half(alongY, c, below));
                    double along = onLine(polygon, alongY, c);
                    assertEquals(outline.getLength() - along, exposed(part, alongY, c), 1e-6);
                    assertMarks(part, from, alongY, c);
                }
                assertEquals(0, splitter.addedArea, 1e-6);
                double both = exposed(splitter.low, alongY, FAR) + exposed(splitter.high, alongY, FAR);
                assertEquals(polygon.getBoundary().getLength(), both, 1e-6);
            }
        }
    }

    private static double onLine(Polygon polygon, boolean alongY, double c) {
        Coordinate a = alongY ? new Coordinate(-FAR, c) : new Coordinate(c, -FAR);
        Coordinate b = alongY ? new Coordinate(FAR, c) : new Coordinate(c, FAR);
        return polygon.getBoundary()
                .intersection(JTS.createLineString(new Coordinate[] {a, b}))
                .getLength();
    }

    /** Edges along the line are not exposed and no drawn edge, what meets it is a corner; all others lie on the drawn edge they name. */
    private static void assertMarks(List<Ring> part, DrawnRings from, boolean alongY, double c) {
        for (Ring r : part) {
            for (int k = 0; k < r.size; k++) {
                int next = (k + 1) % r.size;
                int edge = r.drawn[k];
                if (edge == Ring.NONE) {
                    assertEquals(c, r.along(alongY, k), 0);
                    assertEquals(c, r.along(alongY, next), 0);
                    assertEquals(Ring.CORNER, r.mark[k]);
                    assertTrue((r.mark[next] & Ring.CORNER) != 0);
                } else {
                    double dx = from.drawn.x1(edge) - from.drawn.x0(edge);
                    double dy = from.drawn.y1(edge) - from.drawn.y0(edge);
                    for (int end : new int[] {k, next}) {
                        double aside = dx * (r.y[end] - from.drawn.y0(edge)) - dy * (r.x[end] - from.drawn.x0(edge));
                        assertEquals(0, aside / Math.hypot(dx, dy), 1e-9);
                    }
                }
            }
        }
    }

    /** Both sides get the same vertex on the grid, and what that adds to the area is told. */
    @Test
    void newVerticesAreRounded() {
        SplittableRandom random = new SplittableRandom(4);
        for (int n = 0; n < 40; n++) {
            Polygon polygon = DrawnRings.star(random, 9, 300, 1000, 1);
            DrawnRings from = new DrawnRings(polygon, c -> false);
            RingSplitter splitter = new RingSplitter(false, from.drawn, new CrossingPlaces(0, 0));
            splitter.split(from.rings, n % 2 == 0, 13, 0);
            double sum = 0;
            for (List<Ring> part : List.of(splitter.low, splitter.high)) {
                for (Ring r : part) {
                    sum += r.area();
                    for (int k = 0; k < r.size; k++) {
                        assertEquals(Math.rint(r.x[k]), r.x[k], 0);
                        assertEquals(Math.rint(r.y[k]), r.y[k], 0);
                    }
                }
            }
            assertEquals(sum - polygon.getArea(), splitter.addedArea, 1e-6);
            assertTrue(Math.abs(splitter.addedArea) > 1e-3);
            Geometry low = DrawnRings.area(splitter.low);
            assertEquals(0, low.intersection(DrawnRings.area(splitter.high)).getArea(), 1e-6);
        }
    }

    /** Two teeth reach across the line by 30 and by 70: with a slack of 50 the short one stays with the body, on either side. */
    @Test
    void shortBulgesStayWithWhatTheyGrowFrom() {
        double[] teeth = {
            0, 0, 900, 0, 900, 500, 600, 500, 600, 570, 500, 570, 500, 500, 400, 500, 400, 530, 300, 530, 300, 500, 0,
            500
        };
        for (int turn = 0; turn < 4; turn++) {
            double[] xy = teeth.clone();
            boolean alongY = turn < 2;
            boolean below = turn % 2 == 0;
            for (int k = 0; k < xy.length; k += 2) {
                double y = below ? teeth[k + 1] : 1000 - teeth[k + 1];
                xy[k] = alongY ? teeth[k] : y;
                xy[k + 1] = alongY ? y : teeth[k];
            }
            DrawnRings from = new DrawnRings(DrawnRings.polygon(xy), c -> true);
            RingSplitter splitter = new RingSplitter(false, from.drawn, new CrossingPlaces(0, 0));
            double line = below ? 500.5 : 499.5;
            splitter.split(from.rings, alongY, line, 50);
            List<Ring> cut = below ? splitter.high : splitter.low;
            List<Ring> body = below ? splitter.low : splitter.high;
            assertEquals(1, cut.size());
            assertEquals(1, body.size());
            assertEquals(100 * 69.5, cut.get(0).area(), 1e-9);
            assertEquals(900 * 500 + 100 * 30 + 100 * 0.5, body.get(0).area(), 1e-9);
            splitter.split(from.rings, alongY, line, 20);
            assertEquals(2, (below ? splitter.high : splitter.low).size());
            splitter.split(from.rings, alongY, line, 100);
            assertTrue((below ? splitter.high : splitter.low).isEmpty());
            assertEquals(
                    900 * 500 + 100 * 30 + 100 * 70,
                    (below ? splitter.low : splitter.high).get(0).area(),
                    1e-9);
        }
    }

    /** A notch as deep as a bulge is high is no bulge: the line is cut there. */
    @Test
    void notchesAreCut() {
        Polygon polygon = DrawnRings.polygon(0, 0, 900, 0, 900, 900, 0, 900, 0, 530, 300, 530, 300, 470, 0, 470);
        DrawnRings from = new DrawnRings(polygon, c -> true);
        RingSplitter splitter = new RingSplitter(false, from.drawn, new CrossingPlaces(0, 0));
        splitter.split(from.rings, true, 500, 50);
        assertEquals(900 * 500 - 300 * 30, splitter.low.get(0).area(), 1e-9);
        assertEquals(900 * 400 - 300 * 30, splitter.high.get(0).area(), 1e-9);
    }

    /** A ring that waves about the line by less than the slack stays whole, with the side where most of it lies. */
    @Test
    void aRingThatBarelyCrossesStaysWhole() {
        DrawnRings from = new DrawnRings(DrawnRings.polygon(0, -5, 100, -5, 100, 3, 0, 3), c -> true);
        RingSplitter splitter = new RingSplitter(false, from.drawn, new CrossingPlaces(0, 0));
        splitter.split(from.rings, true, 0, 10);
        assertEquals(100 * 8, splitter.low.get(0).area());
        assertTrue(splitter.high.isEmpty());
        splitter.split(from.rings, true, -3, 10);
        assertEquals(100 * 8, splitter.high.get(0).area());
        assertTrue(splitter.low.isEmpty());
    }

    /**
     * A guide at a slant whose lower side meets the grid at every tenth column, and whose upper side is 30.6 steps higher: the line near 503 that
     * bends both least, found by trying each, and nearer ones first.
     */
    @Test
    void theGentlestLineBendsLeast() {
        Polygon guide = DrawnRings.polygon(0, 0, 1000, 100, 1000, 130.6, 0, 30.6);
        for (boolean alongY : new boolean[] {false, true}) {
            double[] xy = new double[8];
            for (int k = 0; k < 4; k++) {
                Coordinate c = guide.getExteriorRing().getCoordinateN(k);
                xy[2 * k] = alongY ? c.y : c.x;
                xy[2 * k + 1] = alongY ? c.x : c.y;
            }
            DrawnRings from = new DrawnRings(DrawnRings.polygon(xy), c -> true);
            RingSplitter splitter = new RingSplitter(false, from.drawn, new CrossingPlaces(0, 0));
            for (double added : new double[] {0, 300, -300, 20}) {
                // Each time the best of those that have not been taken.
                List<Double> taken = new ArrayList<>();
                for (int round = 0; round < 4; round++) {
                    double best = Double.MAX_VALUE;
                    double wanted = 0;
                    for (int away = 0; away <= 9; away++) {
                        for (double at : new double[] {503 - away, 503 + away}) {
                            double worth = worth(at, added);
                            if (worth < best - 1e-3 && !taken.contains(at)) {
                                best = worth;
                                wanted = at;
                            }
                        }
                    }
                    double found = splitter.gentlest(from.rings, alongY, 503, 9, added, taken);
                    assertFalse(taken.contains(found));
                    assertEquals(best, worth(found, added), 1e-3, found + " for " + wanted);
                    assertEquals(Math.abs(wanted - 503), Math.abs(found - 503));
                    taken.add(found);
                }
            }
        }
    }

    private static double worth(double at, double added) {
        double low = Math.rint(0.1 * at) - 0.1 * at;
        double high = Math.rint(30.6 + 0.1 * at) - 30.6 - 0.1 * at;
        return 500 * (Math.abs(low) + Math.abs(high)) + Math.abs(added + 500 * (high - low));
    }
}
