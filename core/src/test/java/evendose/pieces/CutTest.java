package evendose.pieces;

import static evendose.pieces.DrawnRings.JTS;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertSame;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Envelope;
import org.locationtech.jts.geom.Geometry;
import org.locationtech.jts.geom.Polygon;

/** What a cut holds and how it falls in two, against JTS; ways to cut and breaks against plain lists. */
class CutTest {
    private static Cut exact(Polygon polygon, boolean standing) {
        DrawnRings from = new DrawnRings(polygon, c -> true);
        return new RegionSweep(from.drawn, true, 0, 0).cut(from.rings, standing, 0, 0, false, Double.MAX_VALUE);
    }

    private static Polygon edge(Cut cut, int e) {
        return DrawnRings.polygon(
                cut.edges.x0(e), cut.edges.y0(e), cut.edges.x1(e), cut.edges.y1(e), cut.edges.x0(e), cut.edges.y0(e));
    }

    /** Exact cuts of polygons with a hole; on a grid of 50 many sides lie along an axis. 150 corners fill the arrays more than once. */
    @ParameterizedTest
    @ValueSource(ints = {7, 12, 30, 150})
    void exactCutsCoverPolygonsOnce(int corners) {
        SplittableRandom random = new SplittableRandom(corners);
        for (int n = 0; n < Math.max(1, 60 / corners); n++) {
            Polygon polygon = DrawnRings.star(random, corners, 300, 1000, n % 2 == 0 || corners > 100 ? 1 : 50);
            assertTrue(polygon.isValid());
            for (boolean standing : new boolean[] {false, true}) {
                Cut cut = exact(polygon, standing);
                List<Polygon> pieces = DrawnRings.pieces(cut);
                double sum = pieces.stream().mapToDouble(Polygon::getArea).sum();
                assertEquals(polygon.getArea(), sum, 1e-9 * sum);
                assertEquals(0, cut.addedArea, 1e-6);
                Polygon inside = (Polygon) polygon.buffer(1e-6);
                for (Polygon p : pieces) {
                    assertTrue(p.isValid() && inside.covers(p));
                    assertEquals(
                            1,
                            pieces.stream()
                                    .filter(q -> q.covers(p.getInteriorPoint()))
                                    .count());
                }
                for (int i = 0; i < cut.pieces; i++) {
                    assertEquals(standing && !pieces.get(i).isRectangle(), cut.standing[i]);
                }
                assertEquals(polygon.getLength(), cut.exposed(), 1e-6);
                for (int e = 0; e < cut.edges.size(); e++) {
                    assertTrue(polygon.getBoundary().distance(edge(cut, e).getCentroid()) < 1e-6);
                    int piece = cut.edges.owner(e);
                    if (piece != Cut.NO_PIECE) {
                        Polygon own = pieces.get(piece);
                        for (double[] end :
                                new double[][] {{cut.edges.x0(e), cut.edges.y0(e)}, {cut.edges.x1(e), cut.edges.y1(e)}
                                }) {
                            assertTrue(own.distance(JTS.createPoint(new Coordinate(end[0], end[1]))) < 1e-6);
                        }
                    }
                }
            }
        }
    }

    @Test
    void thinPiecesAreFoundNearALine() {
        SplittableRandom random = new SplittableRandom(5);
        double smallest = 12;
        int[] told = new int[2];
        for (int n = 0; n < 40; n++) {
            Polygon polygon = DrawnRings.star(random, 9, 300, 1000, 1);
            DrawnRings from = new DrawnRings(polygon, c -> true);
            boolean standing = n % 2 == 0;
            Cut cut = new RegionSweep(from.drawn, true, 0, smallest).cut(from.rings, standing, 0, 0, false, 1e9);
            for (int k = 0; k < 50; k++) {
                boolean alongY = random.nextBoolean();
                double at = random.nextInt(2000) - 1000;
                double reach = random.nextInt(30);
                Envelope near = alongY
                        ? new Envelope(-2000, 2000, at - reach, at + reach)
                        : new Envelope(at - reach, at + reach, -2000, 2000);
                boolean expected = DrawnRings.pieces(cut).stream()
                        .map(Polygon::getEnvelopeInternal)
                        .anyMatch(box -> Math.min(box.getWidth(), box.getHeight()) < smallest && box.intersects(near));
                assertEquals(expected, cut.isThinNear(alongY, at, reach, smallest));
                told[expected ? 1 : 0]++;
            }
        }
        assertTrue(told[0] > 300 && told[1] > 300, told[0] + " and " + told[1]);
    }

    /** None is much better than few; among cuts with more, each costs as much as the next. */
    @Test
    void firstThinPiecesCostMost() {
        Cut cut = new Cut();
        for (int thin = 0; thin < 8; thin++) {
            cut.thin = thin;
            cut.pieces = 40;
            assertEquals(40 + 3 * thin, cut.cost());
            assertEquals(40 + 3 * thin + 12 * Math.min(thin, 3), cut.wholeCost());
            assertEquals(thin <= 3 ? cut.wholeCost() : cut.cost(), cut.limit());
        }
    }

    @Test
    void cutsFallInTwoByTheMiddlesOfPieces() {
        SplittableRandom random = new SplittableRandom(3);
        for (int n = 0; n < 16; n++) {
            Polygon polygon = DrawnRings.star(random, 20, 300, 1000, n % 2 == 0 ? 1 : 50);
            boolean alongY = n % 4 < 2;
            Cut cut = exact(polygon, n % 3 == 0);
            double at = 50 * (n - 8);
            List<Polygon> pieces = DrawnRings.pieces(cut);
            double[] area = new double[2];
            double across = 0;
            for (int i = 0; i < cut.pieces; i++) {
                Envelope box = pieces.get(i).getEnvelopeInternal();
                double low = alongY ? box.getMinY() : box.getMinX();
                double high = alongY ? box.getMaxY() : box.getMaxX();
                across = Math.max(across, Math.min(high - at, at - low));
                double[][] c = cut.coordinates;
                boolean rises = alongY != cut.standing[i];
                // Along the parallel sides the middle is that of both of them.
                double middle = rises ? 0.5 * (low + high) : 0.25 * (c[2][i] + c[3][i] + c[4][i] + c[5][i]);
                area[middle < at ? 0 : 1] += pieces.get(i).getArea();
            }
            if (!crossesOutline(cut, alongY, at)) {
                assertSame(cut, cut.fallingApart(alongY, at, across + 1, 1));
            }
            assertTrue(across <= 1 || cut.fallingApart(alongY, at, across - 1, 1) != cut);
            Cut below = cut.side(alongY, at, true);
            Cut above = cut.side(alongY, at, false);
            assertEquals(area[0], area(below), 1e-6);
            assertEquals(area[1], area(above), 1e-6);
            assertEquals(cut.pieces, below.pieces + above.pieces);
            assertEquals(cut.exposed(), below.exposed() + above.exposed(), 1e-6);
            assertOwners(below, true, alongY, at);
            assertOwners(above, false, alongY, at);
            Cut both = new Cut();
            both.add(false, 0, 1, 5000, 5001, 5000, 5001);
            below.thin = 2;
            below.addedArea = 0.25;
            both.addAll(below);
            both.addAll(above);
            assertEquals(1 + area[0] + area[1], area(both), 1e-6);
            assertEquals(cut.exposed(), both.exposed(), 1e-6);
            assertOwners(both, true, alongY, Double.MAX_VALUE);
            assertEquals(2, both.thin);
            assertEquals(0.25, both.addedArea);
            assertEquals(cut.pieces + 1 + 6, both.cost());
            both.clear();
            assertEquals(0, both.pieces + both.edges.size() + both.parts.size() + both.cost() + both.addedArea);
        }
    }

    /** What reaches too far across a line is cut along it, unless a slanted side would be: plain geometry of each piece tells which is which. */
    @Test
    void piecesAreCutWhereTheyLieAcross() {
        SplittableRandom random = new SplittableRandom(5);
        int divided = 0;
        int refused = 0;
        for (int n = 0; n < 400; n++) {
            Polygon polygon = DrawnRings.star(random, n % 5 == 0 ? 8 : 30, 300, 1000, n % 4 == 0 ? 1 : 100);
            boolean alongY = n % 2 == 0;
            Cut cut = exact(polygon, n % 3 == 0);
            double at = random.nextInt(-500, 500) + 0.5;
            double across = random.nextInt(20, 200);
            double least = random.nextInt(1, 30);
            boolean isPossible = true;
            int crossing = 0;
            for (Polygon piece : DrawnRings.pieces(cut)) {
                Envelope box = piece.getEnvelopeInternal();
                double low = alongY ? box.getMinY() : box.getMinX();
                double high = alongY ? box.getMaxY() : box.getMaxX();
                if (Math.min(high - at, at - low) > across) {
                    crossing++;
                    // The strip around the line meets the piece in a rectangle, and no side ends in it.
                    Envelope strip = alongY
                            ? new Envelope(box.getMinX(), box.getMaxX(), at - least, at + least)
                            : new Envelope(at - least, at + least, box.getMinY(), box.getMaxY());
                    Geometry met = piece.intersection(JTS.toGeometry(strip));
                    isPossible &= met.getArea() > met.getEnvelope().getArea() * (1 - 1e-9)
                            && met.getEnvelope().getArea() > 0.999999 * strip.getArea();
                }
            }
            Cut apart = cut.fallingApart(alongY, at, across, least);
            assertTrue(isPossible || apart == null);
            assertTrue(!isPossible || apart != null || crossesOutline(cut, alongY, at));
            if (apart == null) {
                refused++;
                continue;
            }
            divided += crossing > 0 ? 1 : 0;
            assertEquals(cut.pieces + crossing, apart.pieces);
            assertEquals(area(cut), area(apart), 1e-6);
            assertEquals(cut.exposed(), apart.exposed(), 1e-6);
            assertSame(apart, apart.fallingApart(alongY, at, across, least));
            assertOwners(apart, true, alongY, Double.MAX_VALUE);
            Cut below = apart.side(alongY, at, true);
            Cut above = apart.side(alongY, at, false);
            assertEquals(cut.exposed(), below.exposed() + above.exposed(), 1e-6);
            assertOwners(below, true, alongY, at);
            assertOwners(above, false, alongY, at);
            assertTrue(below.liesNear(alongY, at, 5000) && !cut.liesNear(alongY, at, 100));
        }
        assertTrue(divided > 20 && refused > 20, divided + " divided, " + refused + " refused");
    }

    private static boolean crossesOutline(Cut cut, boolean alongY, double at) {
        boolean crosses = false;
        for (int e = 0; e < cut.edges.size(); e++) {
            Envelope edge = edge(cut, e).getEnvelopeInternal();
            crosses |= cut.edges.owner(e) == Cut.NO_PIECE
                    && (alongY ? edge.getMinY() : edge.getMinX()) < at
                    && (alongY ? edge.getMaxY() : edge.getMaxX()) > at;
        }
        return crosses;
    }

    /** The flat top of a piece that falls to one side goes with it. */
    @Test
    void outlineAlongTheCutsIsNotPartedFromItsPiece() {
        Polygon roof = DrawnRings.polygon(0, 0, 100, 0, 70, 40, 30, 40);
        for (boolean standing : new boolean[] {false, true}) {
            Polygon turned = standing ? DrawnRings.polygon(0, 0, 40, 30, 40, 70, 0, 100) : roof;
            Cut cut = exact(turned, standing);
            assertNull(cut.fallingApart(standing, 60, 45, 1));
            assertNull(cut.fallingApart(standing, 20, 45, 1), "the base is outline, too");
            Cut cutThrough = cut.fallingApart(standing, 60, 20, 1);
            assertEquals(2, cutThrough.pieces);
            assertEquals(
                    cut.exposed(),
                    cutThrough.side(standing, 60, true).exposed()
                            + cutThrough.side(standing, 60, false).exposed(),
                    1e-9);
        }
    }

    private static double area(Cut cut) {
        return DrawnRings.pieces(cut).stream().mapToDouble(Polygon::getArea).sum();
    }

    /** Edges bound the pieces that they name; others lie on their side of the line. */
    private static void assertOwners(Cut cut, boolean below, boolean alongY, double at) {
        List<Polygon> pieces = DrawnRings.pieces(cut);
        for (int e = 0; e < cut.edges.size(); e++) {
            int piece = cut.edges.owner(e);
            Coordinate a = new Coordinate(cut.edges.x0(e), cut.edges.y0(e));
            Coordinate b = new Coordinate(cut.edges.x1(e), cut.edges.y1(e));
            if (piece == Cut.NO_PIECE) {
                for (Coordinate c : List.of(a, b)) {
                    double beyond = (alongY ? c.y : c.x) - at;
                    assertTrue(below ? beyond <= 1e-9 : beyond >= -1e-9);
                }
            } else {
                assertTrue(pieces.get(piece).distance(JTS.createPoint(a)) < 1e-6);
                assertTrue(pieces.get(piece).distance(JTS.createPoint(b)) < 1e-6);
            }
        }
    }

    @Test
    void ringsHaveTheirArea() {
        SplittableRandom random = new SplittableRandom(8);
        for (int n = 3; n < 40; n += 6) {
            Polygon polygon = DrawnRings.star(random, n, 300, 1000, 1);
            DrawnRings from = new DrawnRings(polygon, c -> false);
            assertEquals(
                    polygon.getArea(),
                    from.rings.stream().mapToDouble(Ring::area).sum(),
                    1e-6);
            Ring copy = new Ring(1);
            Ring rim = from.rings.get(0);
            copy.addAll(rim, 2, 2);
            assertEquals(0, copy.size);
            copy.addAll(rim, 0, rim.size / 2);
            copy.addAll(rim, rim.size / 2, rim.size);
            copy.add(rim.x[0], rim.y[0], Ring.CORNER, 7);
            assertTrue(copy.close());
            assertEquals(rim.size, copy.size);
            assertEquals(rim.area(), copy.area());
            // The corner is kept, and the edge is that which began at the first vertex.
            assertEquals(Ring.EXPOSED | Ring.CORNER, copy.mark[0]);
            assertEquals(0, copy.drawn[0]);
            copy.add(copy.x[copy.size - 1], copy.y[copy.size - 1], (byte) 0, 9);
            assertEquals(rim.size, copy.size);
            assertEquals(9, copy.drawn[copy.size - 1]);
            assertEquals(0, copy.mark[copy.size - 1]);
        }
        Ring two = new Ring(2);
        two.add(0, 0, (byte) 0, 0);
        two.add(5, 0, (byte) 0, 1);
        two.add(0, 0, (byte) 0, 2);
        assertFalse(two.close());
        // 100 and 40 along the axes, and 30 + 40 at a slant.
        Ring slanted = new DrawnRings(DrawnRings.polygon(0, 0, 100, 0, 70, 40, 0, 40), c -> false).rings.get(0);
        assertEquals(70.0 / (100 + 70 + 70 + 40), slanted.slantedShare(), 1e-12);
    }

    private record Way(double worth, double at, double left, double right, int from) {}

    /** The four best different places of what is offered, as sorting all of it finds them. */
    @Test
    void theBestWaysAreKept() {
        SplittableRandom random = new SplittableRandom(6);
        for (int n = 0; n < 200; n++) {
            CutWays ways = new CutWays();
            List<Way> offered = new ArrayList<>();
            for (int k = 0; k < 1 + n % 17; k++) {
                Way way = new Way(random.nextDouble(), random.nextInt(3), random.nextInt(2), 10 + random.nextInt(2), k);
                offered.add(way);
                ways.offer(way.worth, way.at, way.left, way.right, k + 0.25, k + 0.5, k);
            }
            offered.sort(Comparator.comparingDouble(Way::worth).reversed());
            Set<String> places = new HashSet<>();
            List<Way> best = offered.stream()
                    .filter(w -> places.add(w.at + " " + w.left + " " + w.right))
                    .limit(4)
                    .toList();
            assertEquals(best.size(), ways.size);
            assertEquals(best.size() == 4, ways.isFull());
            assertEquals(best.get(best.size() - 1).worth, ways.lowestScore());
            for (int k = 0; k < ways.size; k++) {
                Way w = best.get(k);
                assertEquals(w, new Way(w.worth, ways.v[k], ways.l[k], ways.r[k], ways.from[k]));
                assertEquals(w.from + 0.25, ways.outL[k]);
                assertEquals(w.from + 0.5, ways.outR[k]);
            }
        }
        CutWays many = new CutWays();
        for (int k = 0; k < 300; k++) {
            many.add(k, 2 * k, 3 * k, 4 * k, 5 * k, k - 1);
        }
        assertEquals(300, many.size);
        for (int k = 0; k < 300; k++) {
            assertEquals(15.0 * k, many.v[k] + many.l[k] + many.r[k] + many.outL[k] + many.outR[k]);
            assertEquals(k - 1, many.from[k]);
        }
        many.clear();
        assertEquals(0, many.size);
    }

    @Test
    void breaksKeepWhatTheyAreTold() {
        Breaks breaks = new Breaks();
        for (int round = 0; round < 2; round++) {
            breaks.clear();
            for (int k = 0; k < 100; k++) {
                breaks.add(10 * k, k, 50 + 2 * k, k % 3 == 0);
            }
            breaks.resize(150);
            assertEquals(150, breaks.size);
            for (int k = 0; k < 100; k++) {
                assertEquals(10.0 * k, breaks.v[k]);
                assertEquals(k % 3 == 0, breaks.isStop[k]);
                assertTrue(k == 0 || breaks.area(k) == 10 * (50 + k - 0.5));
            }
            for (int k = 100; k < 150; k++) {
                assertFalse(breaks.isStop[k]);
                breaks.isStop[k] = true;
            }
        }
    }
}
