package evendose.geometry;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Geometry;
import org.locationtech.jts.geom.GeometryFactory;
import org.locationtech.jts.operation.buffer.BufferOp;
import org.locationtech.jts.operation.buffer.BufferParameters;
import org.locationtech.jts.operation.union.UnaryUnionOp;

class OffsetTest {
    private static final Workers WORKERS = Workers.of(2);
    private static final double END = Double.POSITIVE_INFINITY;
    private static final double[] EVERYWHERE = {-END, -END, END, END};
    private static final GeometryFactory JTS = new GeometryFactory();

    @AfterAll
    static void endWorkers() {
        WORKERS.close();
    }

    @ParameterizedTest
    @CsvSource({"1, 7", "1, -7", "2, 12.5", "2, -12.5", "3, 30", "3, -30", "4, 1", "4, -1"})
    void agreesWithTheBuffersOfJts(long seed, double distance) {
        Random random = new Random(seed);
        Polygons polygons = new Polygons();
        Geometry drawn = JTS.createGeometryCollection();
        for (int k = 0; k < 40; k++) {
            // Turned by multiples of 15 degrees, so that no corner is sharper.
            long[] xy = bar(random, 3000, Math.toRadians(15 * random.nextInt(12)));
            polygons.addPolygon(0, xy, 4);
            drawn = drawn.union(jts(xy));
        }
        Trapezoids moved = moved(polygons, distance);
        BufferParameters mitred = new BufferParameters(8, BufferParameters.CAP_FLAT, BufferParameters.JOIN_MITRE, 9.1);
        mitred.setSimplifyFactor(1e-6);
        Geometry expected = BufferOp.bufferOp(drawn, distance, mitred);
        double different = jts(moved).symDifference(expected).getArea();
        // A hundredth of a dbu along the outline; a distance wrong by a dbu would be a hundred times that.
        assertTrue(different < 0.01 * expected.getLength(), different + " of outline " + expected.getLength());
    }

    @Test
    void rectanglesMoveExactly() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 100, 200, 300, 500);
        Trapezoids grown = moved(polygons, 10);
        assertEquals(1, grown.size());
        assertEquals(90, grown.xLeftBottom(0));
        assertEquals(310, grown.xRightTop(0));
        assertEquals(190, grown.yBottom(0));
        assertEquals(510, grown.yTop(0));
        Trapezoids shrunk = moved(polygons, -10);
        assertEquals(1, shrunk.size());
        assertEquals(110, shrunk.xLeftBottom(0));
        assertEquals(290, shrunk.xRightTop(0));
        assertEquals(210, shrunk.yBottom(0));
        assertEquals(490, shrunk.yTop(0));
        assertTrue(shrunk.leftExposed(0) && shrunk.rightExposed(0));
        assertEquals(2, shrunk.exposedFirst(1));
    }

    @Test
    void holesShrinkWhereShapesGrow() {
        Polygons frame = new Polygons();
        frame.addRectangle(0, 0, 0, 300, 100);
        frame.addRectangle(0, 0, 200, 300, 300);
        frame.addRectangle(0, 0, 0, 100, 300);
        frame.addRectangle(0, 200, 0, 300, 300);
        assertEquals(320.0 * 320 - 80 * 80, moved(frame, 10).area(), 1e-6);
        assertEquals(280.0 * 280 - 120 * 120, moved(frame, -10).area(), 1e-6);
    }

    @Test
    void groupsThatAbutKeepTheirSeamAndGivenOnesStay() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 0, 0, 100, 100);
        polygons.addRectangle(1, 100, 0, 200, 100);
        for (double d : new double[] {10, -10}) {
            Trapezoids both = moved(polygons, d, d);
            assertEquals(2, both.shapes());
            for (int s = 0; s < 2; s++) {
                assertEquals((100 + d) * (100 + 2 * d), area(both, s), 1e-6, "shape " + s);
            }
            Trapezoids one = moved(polygons, d, 0);
            assertEquals((100 + d) * (100 + 2 * d), area(one, one.group(one.first(0)) == 0 ? 0 : 1), 1e-6);
            assertEquals(100 * 100, area(one, one.group(one.first(0)) == 0 ? 1 : 0), 1e-6);
        }
        assertThrows(IllegalArgumentException.class, () -> moved(polygons, 1, -1));
    }

    private static double area(Trapezoids t, int shape) {
        double sum = 0;
        for (int i = t.first(shape); i < t.first(shape + 1); i++) {
            sum += t.area(i);
        }
        return sum;
    }

    @Test
    void whatClosesOrVanishesIsTold() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 0, 0, 1000, 1000);
        polygons.addRectangle(0, 1040, 0, 2000, 1000);
        polygons.addRectangle(0, 0, 2000, 1000, 2030);
        assertFalse(change(polygons, 19).isPresent());
        assertFalse(change(polygons, -14).isPresent());
        Offset.Change closed = change(polygons, 21).orElseThrow();
        assertEquals(1020, closed.x(), 1);
        assertEquals(500, closed.y(), 30);
        assertEquals(40 * 1000, closed.area(), 0.06 * 40 * 1000);
        assertEquals(1, closed.places());
        Offset.Change vanished = change(polygons, -16).orElseThrow();
        assertEquals(500, vanished.x(), 1);
        assertEquals(2015, vanished.y(), 1);
        assertEquals(30 * 1000, vanished.area(), 1);
    }

    @ParameterizedTest
    @CsvSource({"1, 5", "2, -5", "3, 9", "4, -9"})
    void barsThatStayApartAreNoChange(long seed, double distance) {
        Random random = new Random(seed);
        Polygons polygons = new Polygons();
        for (int k = 0; k < 25; k++) {
            long[] xy = bar(random, 0, random.nextDouble() * Math.PI);
            for (int i = 0; i < 8; i += 2) {
                xy[i] += 1000L * (k % 5);
                xy[i + 1] += 1000L * (k / 5);
            }
            polygons.addPolygon(0, xy, 4);
        }
        assertFalse(change(polygons, distance).isPresent());
    }

    private static long[] bar(Random random, int spread, double angle) {
        double halfLength = 150 + random.nextInt(100);
        double halfWidth = 20 + random.nextInt(60);
        double x = spread * random.nextDouble();
        double y = spread * random.nextDouble();
        long[] xy = new long[8];
        for (int k = 0; k < 4; k++) {
            double u = k == 0 || k == 3 ? -halfLength : halfLength;
            double v = k < 2 ? -halfWidth : halfWidth;
            xy[2 * k] = Math.round(x + u * Math.cos(angle) - v * Math.sin(angle));
            xy[2 * k + 1] = Math.round(y + u * Math.sin(angle) + v * Math.cos(angle));
        }
        return xy;
    }

    private static Trapezoids merged(Polygons polygons, int groups) {
        return Merge.of(polygons, groups, WORKERS, Progress.NONE);
    }

    private static Trapezoids moved(Polygons polygons, double... distance) {
        return Offset.of(merged(polygons, distance.length), distance, WORKERS, Progress.NONE);
    }

    /** Parts of a layout that lie side by side tell of each place once. */
    @Test
    void changesCountWithinABoxAlone() {
        Polygons gaps = new Polygons();
        for (int k = 0; k < 4; k++) {
            gaps.addRectangle(0, 100L * k, 0, 100L * k + 80, 90);
        }
        double[] distance = {12};
        int places = 0;
        for (double[] ends : new double[][] {{-END, 90}, {90, 150}, {150, 300}, {300, END}}) {
            places += Offset.change(
                            merged(gaps, 1),
                            moved(gaps, distance),
                            distance,
                            new double[] {ends[0], -END, ends[1], END},
                            WORKERS)
                    .map(Offset.Change::places)
                    .orElse(0);
        }
        assertEquals(3, places);
        assertFalse(Offset.change(
                        merged(gaps, 1), moved(gaps, distance), distance, new double[] {-END, 46, END, END}, WORKERS)
                .isPresent());
    }

    private static Optional<Offset.Change> change(Polygons polygons, double... distance) {
        return Offset.change(
                merged(polygons, distance.length), moved(polygons, distance), distance, EVERYWHERE, WORKERS);
    }

    private static Geometry jts(long[] xy) {
        Coordinate[] ring = new Coordinate[xy.length / 2 + 1];
        for (int k = 0; k < ring.length; k++) {
            int i = 2 * (k % (ring.length - 1));
            ring[k] = new Coordinate(xy[i], xy[i + 1]);
        }
        return JTS.createPolygon(ring);
    }

    private static Geometry jts(Trapezoids t) {
        List<Geometry> all = new ArrayList<>();
        for (int i = 0; i < t.size(); i++) {
            all.add(JTS.createPolygon(new Coordinate[] {
                new Coordinate(t.xLeftBottom(i), t.yBottom(i)),
                new Coordinate(t.xRightBottom(i), t.yBottom(i)),
                new Coordinate(t.xRightTop(i), t.yTop(i)),
                new Coordinate(t.xLeftTop(i), t.yTop(i)),
                new Coordinate(t.xLeftBottom(i), t.yBottom(i))
            }));
        }
        return UnaryUnionOp.union(all);
    }
}
