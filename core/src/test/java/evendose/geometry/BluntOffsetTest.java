package evendose.geometry;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Envelope;
import org.locationtech.jts.geom.Geometry;
import org.locationtech.jts.geom.GeometryFactory;
import org.locationtech.jts.geom.Polygon;
import org.locationtech.jts.operation.buffer.BufferOp;
import org.locationtech.jts.operation.buffer.BufferParameters;
import org.locationtech.jts.operation.union.UnaryUnionOp;

/** Shapes made wider and narrower, against the buffers of JTS with mitred corners. */
class BluntOffsetTest {
    private static final GeometryFactory JTS = new GeometryFactory();

    private static Geometry polygon(long[] xy) {
        Coordinate[] c = new Coordinate[xy.length / 2 + 1];
        for (int k = 0; k < c.length; k++) {
            int j = 2 * (k % (c.length - 1));
            c[k] = new Coordinate(xy[j], xy[j + 1]);
        }
        return JTS.createPolygon(c);
    }

    private static Polygons polygons(List<long[]> shapes) {
        Polygons polygons = new Polygons();
        for (int k = 0; k < shapes.size(); k++) {
            // Groups do not matter: what touches is one.
            polygons.addPolygon(k % 3, shapes.get(k), shapes.get(k).length / 2);
        }
        return polygons;
    }

    private static Geometry geometry(Polygons polygons) {
        List<Geometry> found = new ArrayList<>();
        polygons.forEach(new Polygons.Visitor() {
            @Override
            public void rectangle(int group, long x0, long y0, long x1, long y1) {
                found.add(BluntOffsetTest.polygon(new long[] {x0, y0, x1, y0, x1, y1, x0, y1}));
            }

            @Override
            public void polygon(int group, long[] xy, int from, int vertices) {
                found.add(BluntOffsetTest.polygon(Arrays.copyOfRange(xy, from, from + 2 * vertices)));
            }
        });
        return UnaryUnionOp.union(found, JTS);
    }

    private static Geometry moved(Polygons shapes, long outwards) {
        try (Workers workers = Workers.of(2)) {
            return geometry(BluntOffset.of(shapes, outwards, 1, workers, Progress.NONE));
        }
    }

    private static Geometry buffer(Geometry shapes, double outwards) {
        BufferParameters mitred = new BufferParameters(16, BufferParameters.CAP_FLAT, BufferParameters.JOIN_MITRE, 1.5);
        mitred.setSimplifyFactor(0);
        return BufferOp.bufferOp(shapes, outwards, mitred);
    }

    @Test
    void uprightShapesAreExact() {
        Random random = new Random(8);
        for (int round = 0; round < 40; round++) {
            List<long[]> boxes = new ArrayList<>();
            for (int k = 0; k < 12; k++) {
                long x = random.nextInt(3000);
                long y = random.nextInt(3000);
                long w = 200 + random.nextInt(1500);
                long h = 200 + random.nextInt(1500);
                boxes.add(new long[] {x, y, x + w, y, x + w, y + h, x, y + h});
            }
            Polygons shapes = polygons(boxes);
            for (long d : new long[] {-260, -90, -1, 1, 70, 240}) {
                Geometry wanted = buffer(geometry(shapes), d);
                assertEquals(
                        0,
                        moved(shapes, d).symDifference(wanted).getArea(),
                        1e-6 * (1 + wanted.getArea()),
                        round + " " + d);
            }
        }
    }

    @Test
    void slantedSidesMoveInParallel() {
        // An octagon with a hole beside it cut off by a bar: turns of 45 degrees, within a database unit along the
        // outline.
        List<long[]> shapes = List.of(
                new long[] {0, 3000, 3000, 0, 7000, 0, 10000, 3000, 10000, 7000, 7000, 10000, 3000, 10000, 0, 7000},
                new long[] {10000, 4000, 16000, 4500, 16000, 5600, 10000, 6000});
        Polygons polygons = polygons(shapes);
        for (long d : new long[] {-400, 350}) {
            Geometry wanted = buffer(geometry(polygons), d);
            double off = moved(polygons, d).symDifference(wanted).getArea();
            assertTrue(off < wanted.getLength(), d + " off by " + off);
        }
    }

    @Test
    void curvesOpenNoSlits() {
        // Sectors drawn with a vertex every few database units, as focusing gratings are: made narrower and wider
        // again, each is one ring.
        Random random = new Random(4);
        for (int round = 0; round < 30; round++) {
            double radius = 6000 + 6000 * random.nextDouble();
            double half = 0.2 + 0.3 * random.nextDouble();
            double turned = 6 * random.nextDouble();
            int n = 200 + random.nextInt(200);
            long[] sector = new long[2 * n + 4];
            sector[0] = Math.round(1000 * Math.cos(turned - half));
            sector[1] = Math.round(1000 * Math.sin(turned - half));
            for (int k = 0; k < n; k++) {
                double angle = turned + half * (2.0 * k / (n - 1) - 1);
                sector[2 * k + 2] = Math.round(radius * Math.cos(angle));
                sector[2 * k + 3] = Math.round(radius * Math.sin(angle));
            }
            sector[2 * n + 2] = Math.round(1000 * Math.cos(turned + half));
            sector[2 * n + 3] = Math.round(1000 * Math.sin(turned + half));
            Polygons drawn = polygons(List.of(sector));
            try (Workers workers = Workers.of(2)) {
                Polygons narrow = BluntOffset.of(drawn, -700, 1, workers, Progress.NONE);
                Polygons opened = BluntOffset.of(narrow, 300, 1, workers, Progress.NONE);
                Geometry found = geometry(opened);
                assertEquals(0, ((Polygon) found).getNumInteriorRing(), "sector " + round);
                double smooth = buffer(buffer(geometry(drawn), -700), 300).getLength();
                // A slit adds length; corners that JTS mitres and this cuts take some.
                assertTrue(found.getLength() < 1.03 * smooth, "sector " + round);
            }
        }
    }

    @Test
    void sharpCornersMoveNoFartherThanTheTangentOfTheirCircle() {
        Polygons spike = polygons(List.of(new long[] {0, 0, 10000, 400, 0, 800}));
        Geometry wider = moved(spike, 500);
        // The circle about the tip and nothing much beyond it.
        assertTrue(wider.covers(JTS.createPoint(new Coordinate(10499, 400))));
        assertTrue(wider.getEnvelopeInternal().getMaxX() < 10000 + 1.42 * 500);
        assertTrue(moved(spike, -500).isEmpty());
    }

    @Test
    void nearShapesOfOneGroupOrAnotherDoNotEatEachOther() {
        // A thin line in front of a pad: the band of its far side reaches over the gap, not farther than the pad's own.
        Polygons shapes = polygons(List.of(
                new long[] {0, 0, 20, 0, 20, 5000, 0, 5000}, new long[] {30, 0, 4030, 0, 4030, 5000, 30, 5000}));
        assertEquals(3200.0 * 4200, moved(shapes, -400).getArea(), 1e-6);
    }

    @Test
    void cornersLieOnTheGridThatIsAskedFor() {
        Polygons shapes = polygons(List.of(new long[] {3, 5, 1003, 5, 1003, 2006, 3, 2006}));
        try (Workers workers = Workers.of(2)) {
            Geometry found = geometry(BluntOffset.of(shapes, -100, 4, workers, Progress.NONE));
            // 103 to 903 and 105 to 1906, to the next multiples of 4.
            assertEquals(JTS.toGeometry(new Envelope(104, 904, 104, 1908)).norm(), found.norm());
        }
    }
}
