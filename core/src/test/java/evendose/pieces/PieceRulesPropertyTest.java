package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Envelope;
import org.locationtech.jts.geom.Geometry;
import org.locationtech.jts.geom.GeometryFactory;
import org.locationtech.jts.geom.Polygon;
import org.locationtech.jts.index.strtree.STRtree;
import org.locationtech.jts.operation.distance.IndexedFacetDistance;
import org.locationtech.jts.operation.union.UnaryUnionOp;

/** Pieces against JTS, which unites the drawn polygons and the pieces without any of our geometry. */
class PieceRulesPropertyTest {
    private static final double DBU_UM = 0.001;
    private static final GeometryFactory JTS = new GeometryFactory();

    /** Half the grid's diagonal: what rounding a corner may cost where the drawn one is off the grid. */
    private static final double DIAGONAL = Math.sqrt(0.5);

    /** Drawn polygons for the project and for JTS. */
    private static final class Drawing {
        final Polygons polygons = new Polygons();
        final List<Geometry> drawn = new ArrayList<>();

        void add(long... xy) {
            polygons.addPolygon(0, xy.clone(), xy.length / 2);
            Coordinate[] ring = new Coordinate[xy.length / 2 + 1];
            for (int k = 0; k < ring.length; k++) {
                int at = 2 * k % xy.length;
                ring[k] = new Coordinate(xy[at], xy[at + 1]);
            }
            drawn.add(JTS.createPolygon(ring));
        }

        /** A ring as generators draw it: vertices some nm apart, rounded to the grid; the inner one cut in by a double edge. */
        void ring(double x, double y, double radius, double width, double vertexApart) {
            double outer = radius + 0.5 * width;
            double inner = radius - 0.5 * width;
            long[] rim = circle(x, y, outer, vertices(outer, vertexApart));
            if (inner <= 0) {
                add(rim);
                return;
            }
            ring(rim, circle(x, y, inner, vertices(inner, vertexApart)));
        }

        /** The same with as many vertices on both sides. */
        void evenRing(double x, double y, double radius, double width, double vertexApart) {
            int n = vertices(radius, vertexApart);
            ring(circle(x, y, radius + 0.5 * width, n), circle(x, y, radius - 0.5 * width, n));
        }

        private static int vertices(double radius, double apart) {
            return (int) Math.round(2 * Math.PI * radius / apart);
        }

        private void ring(long[] rim, long[] hole) {
            long[] xy = new long[rim.length + hole.length + 4];
            System.arraycopy(rim, 0, xy, 0, rim.length);
            xy[rim.length] = rim[0];
            xy[rim.length + 1] = rim[1];
            int n = hole.length / 2;
            for (int k = 0; k <= n; k++) {
                xy[rim.length + 2 + 2 * k] = hole[2 * ((n - k) % n)];
                xy[rim.length + 3 + 2 * k] = hole[2 * ((n - k) % n) + 1];
            }
            polygons.addPolygon(0, xy, xy.length / 2);
            Coordinate[][] rings = {closed(rim), closed(hole)};
            drawn.add(JTS.createPolygon(
                    JTS.createLinearRing(rings[0]),
                    new org.locationtech.jts.geom.LinearRing[] {JTS.createLinearRing(rings[1])}));
        }

        private static long[] circle(double x, double y, double radius, int n) {
            long[] xy = new long[2 * n];
            for (int k = 0; k < n; k++) {
                xy[2 * k] = Math.round(x + radius * Math.cos(2 * Math.PI * k / n));
                xy[2 * k + 1] = Math.round(y + radius * Math.sin(2 * Math.PI * k / n));
            }
            return xy;
        }

        private static Coordinate[] closed(long[] xy) {
            Coordinate[] ring = new Coordinate[xy.length / 2 + 1];
            for (int k = 0; k < ring.length; k++) {
                ring[k] = new Coordinate(xy[2 * k % xy.length], xy[2 * k % xy.length + 1]);
            }
            return ring;
        }

        Geometry united() {
            return UnaryUnionOp.union(drawn);
        }

        Pieces cut(double toleranceNm, double gridNm, double smallestNm, double cellUm) {
            return fracture(toleranceNm, gridNm, smallestNm, cellUm, List.of()).pieces();
        }

        Fracture.Result fracture(
                double toleranceNm, double gridNm, double smallestNm, double cellUm, List<CellRule> division) {
            try (Workers workers = Workers.of(1)) {
                Trapezoids merged = Merge.of(polygons, 1, workers, Progress.NONE);
                PieceRules rules = new PieceRules(1e-3 * toleranceNm, 1e-3 * gridNm, 1e-3 * smallestNm);
                FractureOptions options = new FractureOptions(cellUm, 0.012, 5, FractureOptions.Judging.EDGES, rules);
                return Fracture.of(
                        merged, DBU_UM, options, Optional.empty(), division, Optional.empty(), workers, Progress.NONE);
            }
        }
    }

    private static List<Polygon> polygons(Pieces p) {
        List<Polygon> list = new ArrayList<>();
        for (int i = 0; i < p.size(); i++) {
            List<Coordinate> ring = new ArrayList<>();
            for (int k = 0; k < 4; k++) {
                Coordinate c = new Coordinate(p.cornerXUm(i, k) / DBU_UM, p.cornerYUm(i, k) / DBU_UM);
                if (ring.isEmpty() || !ring.get(ring.size() - 1).equals2D(c)) {
                    ring.add(c);
                }
            }
            ring.add(ring.get(0));
            list.add(JTS.createPolygon(ring.toArray(new Coordinate[0])));
        }
        return list;
    }

    private static double sum(List<Polygon> pieces) {
        return pieces.stream().mapToDouble(Geometry::getArea).sum();
    }

    private static void assertOnGrid(List<Polygon> pieces, double gridDbu) {
        for (Polygon piece : pieces) {
            for (Coordinate c : piece.getCoordinates()) {
                assertEquals(Math.rint(c.x / gridDbu), c.x / gridDbu, 1e-6);
                assertEquals(Math.rint(c.y / gridDbu), c.y / gridDbu, 1e-6);
            }
        }
    }

    /** No two pieces share area. */
    private static void assertDisjoint(List<Polygon> pieces) {
        STRtree tree = new STRtree();
        for (int i = 0; i < pieces.size(); i++) {
            tree.insert(pieces.get(i).getEnvelopeInternal(), i);
        }
        for (int i = 0; i < pieces.size(); i++) {
            for (Object other : tree.query(pieces.get(i).getEnvelopeInternal())) {
                if ((Integer) other > i) {
                    double shared = pieces.get(i)
                            .intersection(pieces.get((Integer) other))
                            .getArea();
                    assertEquals(0, shared, 1e-6, pieces.get(i) + " and " + pieces.get((Integer) other));
                }
            }
        }
    }

    /** Largest distance of the outline of {@code from}, looked at every 2 dbu, from the outline of {@code to}. */
    private static double stray(Geometry from, Geometry to) {
        IndexedFacetDistance distance = new IndexedFacetDistance(to.getBoundary());
        double largest = 0;
        for (Coordinate c : org.locationtech.jts.densify.Densifier.densify(from.getBoundary(), 2)
                .getCoordinates()) {
            largest = Math.max(largest, distance.distance(JTS.createPoint(c)));
        }
        return largest;
    }

    @ParameterizedTest
    @ValueSource(doubles = {0.5, 1, 2})
    void ringsAreFollowedByFewPieces(double toleranceNm) {
        for (double radius : new double[] {5000, 12_000}) {
            Drawing drawing = new Drawing();
            drawing.ring(123, -77, radius, 450, 5);
            Pieces pieces = drawing.cut(toleranceNm, 0, 10, 7.75);
            List<Polygon> cut = polygons(pieces);
            Geometry drawn = drawing.united();
            Geometry written = UnaryUnionOp.union(cut);
            int vertices = drawn.getNumPoints();
            assertTrue(10 * cut.size() <= vertices, cut.size() + " pieces for " + vertices + " vertices");
            assertOnGrid(cut, 1);
            assertDisjoint(cut);
            assertEquals(drawn.getArea(), sum(cut), 1e-5 * drawn.getArea());
            assertEquals(written.getArea(), sum(cut), 1e-9 * drawn.getArea());
            double allowed = Math.max(toleranceNm, DIAGONAL) + 1e-6;
            assertTrue(stray(written, drawn) <= allowed, "strays " + stray(written, drawn));
            assertTrue(stray(drawn, written) <= allowed + 0.3, "strays " + stray(drawn, written));
            assertEquals(2, 1 + ((Polygon) written).getNumInteriorRing());
        }
    }

    /**
     * Where curves zigzag with the grid, and where borders of cells meet them. Of these 61 rings two have one thin piece each, without other places opposite to corners three; when no
     * other ways and borders were tried, 54 of 200 rings had some.
     */
    @Test
    @Tag("slow")
    void ringsOfManySizesLeaveHardlyAnyThinPiece() {
        List<double[]> rings = new ArrayList<>();
        for (int k = 0; k < 60; k++) {
            rings.add(new double[] {0.37 * k, 0.71 * k, 5000 * Math.pow(12, k * 0.618033988749895 % 1)});
        }
        // A large one, where the end of a side opposite to a corner decides.
        rings.add(new double[] {3321164.6226657904, 155538.79134242967, 150538.79134242967});
        int count = 0;
        List<String> thin = new ArrayList<>();
        for (double[] ring : rings) {
            Drawing drawing = new Drawing();
            drawing.evenRing(ring[0], ring[1], ring[2], 450, 5);
            for (Polygon piece : polygons(drawing.cut(0.5, 0, 10, 7.7325))) {
                Envelope box = piece.getEnvelopeInternal();
                count++;
                if (Math.min(box.getWidth(), box.getHeight()) < 10 - 1e-6) {
                    thin.add(String.format(Locale.ROOT, "radius %.0f: %s", ring[2], box));
                }
            }
        }
        assertTrue(count > 50_000, count + " pieces");
        assertTrue(thin.size() <= 2, thin.toString());
    }

    /** Jumbled polygons with slants, holes where others meet, and touching corners. */
    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5, 6})
    void randomPolygonsAreCoveredOnce(long seed) {
        SplittableRandom random = new SplittableRandom(seed);
        Drawing drawing = new Drawing();
        for (int k = 0; k < 40; k++) {
            long x = random.nextLong(15_000);
            long y = random.nextLong(15_000);
            long w = 60 + random.nextLong(4000);
            long h = 60 + random.nextLong(4000);
            switch (k % 4) {
                case 0 -> drawing.add(x, y, x + w, y, x + w, y + h, x, y + h);
                case 1 -> drawing.add(x, y, x + w, y + h / 7, x + w + 200, y + h, x + 200, y + h - h / 7);
                case 2 -> drawing.add(x, y, x + w, y + 3, x + w / 2, y + h);
                default -> drawing.ring(x, y, 300 + random.nextLong(1500), 250, 12);
            }
        }
        for (double cellUm : new double[] {2.4, 100}) {
            Pieces pieces = drawing.cut(0.5, 0, 10, cellUm);
            List<Polygon> cut = polygons(pieces);
            Geometry drawn = drawing.united();
            Geometry written = UnaryUnionOp.union(cut);
            assertOnGrid(cut, 1);
            // Where drawn outlines come closer than the grid, pieces of both sides may share a strip of it.
            assertEquals(written.getArea(), sum(cut), 2e-6 * drawn.getArea());
            // Straight slanted sides that are cut opposite to a corner bend by up to half a grid step there, and
            // nothing evens that out.
            assertEquals(drawn.getArea(), sum(cut), 5e-5 * drawn.getArea());
            // Where drawn outlines cross off the grid, the rounded crossing and a cut beside it add up to at most a
            // step.
            assertTrue(stray(written, drawn) <= 1, "strays " + stray(written, drawn));
        }
    }

    /** A coarser grid than the database unit: corners on it, the outline as near as it allows. */
    @Test
    void cornersLieOnTheGridThatIsAskedFor() {
        Drawing drawing = new Drawing();
        drawing.ring(0, 0, 3000, 500, 20);
        drawing.add(5000, 0, 5600, 0, 5600, 400, 5000, 400);
        List<Polygon> cut = polygons(drawing.cut(3, 5, 10, 7.75));
        assertOnGrid(cut, 5);
        assertDisjoint(cut);
        Geometry written = UnaryUnionOp.union(cut);
        assertTrue(stray(written, drawing.united()) <= 5 * DIAGONAL + 1e-6);
    }

    /** Tolerance 0 keeps every vertex and rounds nothing. */
    @Test
    void exactPiecesKeepTheOutline() {
        Drawing drawing = new Drawing();
        drawing.ring(17, 5, 2000, 300, 15);
        drawing.add(4000, 0, 7000, 300, 7300, 4100, 4200, 3900);
        List<Polygon> cut = polygons(drawing.cut(0, 0, 0, 1.3));
        Geometry drawn = drawing.united();
        assertEquals(drawn.getArea(), sum(cut), 1e-9 * drawn.getArea());
        Geometry written = UnaryUnionOp.union(cut);
        assertEquals(0, drawn.symDifference(written).getArea(), 1e-3);
    }

    /**
     * A guide within 18 degrees of an axis is cut across its run: along y where it lies, along x where it stands. Between 18 and 34 degrees,
     * about a quarter of the pieces go the other way, where that takes fewer.
     */
    @Test
    void guidesNearlyAlongAnAxisAreCutAcrossIt() {
        Drawing drawing = new Drawing();
        drawing.ring(0, 0, 10_000, 450, 5);
        Pieces pieces = drawing.cut(0.5, 0, 10, 7.75);
        int wrong = 0;
        int plain = 0;
        for (int i = 0; i < pieces.size(); i++) {
            double x = Math.abs(pieces.middleXUm(i));
            double y = Math.abs(pieces.middleYUm(i));
            if (!pieces.isRectangle(i) && Math.max(x, y) > 3 * Math.min(x, y)) {
                plain++;
                wrong += pieces.standing(i) == y > x ? 0 : 1;
            }
        }
        assertTrue(plain > 100 && wrong == 0, wrong + " of " + plain + " pieces are cut along the guide");
    }

    /**
     * Borders of dose units follow the pieces of a guide: dividing its cells in four makes no more pieces, loses no outline, and moves no
     * piece.
     */
    @Test
    void unitsOfAGuideAreDividedBetweenItsPieces() {
        Drawing drawing = new Drawing();
        drawing.ring(0, 0, 10_000, 450, 5);
        CellRule quarters = new CellRule() {
            @Override
            public boolean concerns(int shape) {
                return true;
            }

            @Override
            public List<Border> borders(int shape, double left, double bottom, double right, double top) {
                boolean alongY = top - bottom > right - left;
                double length = Math.max(top - bottom, right - left);
                return length < 3
                        ? List.of()
                        : List.of(new Border(alongY, 0.5 * (alongY ? bottom + top : left + right)));
            }
        };
        Fracture.Result whole = drawing.fracture(0.5, 0, 10, 7.75, List.of());
        Fracture.Result divided = drawing.fracture(0.5, 0, 10, 7.75, List.of(quarters));
        int more = divided.pieces().units() - whole.pieces().units();
        assertTrue(more >= 10, more + " more units");
        assertEquals(whole.pieces().size(), divided.pieces().size());
        assertEquals(outline(whole), outline(divided), 1e-3);
        List<Polygon> cut = polygons(divided.pieces());
        assertDisjoint(cut);
        assertEquals(sum(polygons(whole.pieces())), sum(cut), 1e-6);
    }

    private static double outline(Fracture.Result cut) {
        double length = 0;
        for (float judged : cut.judged()) {
            length += judged;
        }
        return length;
    }

    /** Two steps 3 nm apart on opposite sides: a plain cut leaves a piece of 3 nm; there is a way without. */
    @Test
    void stepsCloseToEachOtherLeaveNoThinPiece() {
        Drawing drawing = new Drawing();
        drawing.add(0, 0, 1000, 0, 1000, 503, 970, 503, 970, 1000, 30, 1000, 30, 500, 0, 500);
        Pieces pieces = drawing.cut(0.5, 0, 10, 7.75);
        assertEquals(0, pieces.thinner(0.01));
        assertEquals(drawing.united().getArea(), sum(polygons(pieces)), 1e-6);
    }

    /** Corners and straight sides of a slanted bar come out where they are drawn. */
    @Test
    void straightSidesStay() {
        Drawing drawing = new Drawing();
        drawing.add(0, 0, 90, -500, 30_090, 4900, 30_000, 5400);
        List<Polygon> cut = polygons(drawing.cut(0.5, 0, 10, 7.75));
        Geometry written = UnaryUnionOp.union(cut);
        Geometry drawn = drawing.united();
        assertTrue(stray(written, drawn) < 0.25, "strays " + stray(written, drawn));
        for (Coordinate corner : drawn.getCoordinates()) {
            assertEquals(0, written.getBoundary().distance(JTS.createPoint(corner)), 1e-9);
        }
    }
}
