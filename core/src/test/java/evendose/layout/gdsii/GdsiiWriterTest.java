package evendose.layout.gdsii;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import evendose.geometry.Polygons;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.Listing;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class GdsiiWriterTest {
    private final ByteArrayOutputStream bytes = new ByteArrayOutputStream();

    private GdsiiWriter begin(Layer layer) throws IOException {
        GdsiiWriter writer = new GdsiiWriter(bytes, "out.gds", "LIB", DatabaseUnit.NANOMETRE);
        writer.beginCell("TOP");
        writer.layer(layer);
        return writer;
    }

    private Layout written() {
        Layout layout = Stream.read(bytes.toByteArray());
        assertEquals(List.of(), layout.warnings());
        return layout;
    }

    @Test
    void theBytesAreTheFormats() throws IOException {
        try (GdsiiWriter writer = begin(new Layer(258, 7))) {
            writer.rectangle(-1, 2, 3, 4);
        }
        int[] dates = {1970, 1, 1, 0, 0, 0, 1970, 1, 1, 0, 0, 0};
        byte[] expected = new Stream()
                .library("LIB\0", dates)
                .cell("TOP\0", dates)
                .empty(Record.BOUNDARY)
                .shorts(Record.LAYER, 258)
                .shorts(Record.DATATYPE, 7)
                .ints(Record.XY, -1, 2, 3, 2, 3, 4, -1, 4, -1, 2)
                .empty(Record.ENDEL)
                .end()
                .bytes();
        assertArrayEquals(expected, bytes.toByteArray());
    }

    @Test
    void trapezoidsAndTriangles() throws IOException {
        try (GdsiiWriter writer = begin(new Layer(1, 0))) {
            assertTrue(writer.trapezoid(false, 0, 10, 0, 20, 5, 15));
            assertTrue(writer.trapezoid(false, 0, 10, 7, 7, 5, 15));
            assertTrue(writer.trapezoid(false, 0, 10, 5, 15, 7, 7));
            assertTrue(writer.trapezoid(true, 0, 10, 0, 20, 5, 15));
            assertTrue(writer.trapezoid(true, 0, 10, 7, 7, 5, 15));
            assertTrue(writer.trapezoid(true, 0, 10, 5, 15, 7, 7));
            assertFalse(writer.trapezoid(false, 10, 10, 0, 20, 5, 15));
            assertFalse(writer.trapezoid(false, 0, 10, 3, 3, 5, 5));
        }
        assertEquals(
                List.of(
                        "1/0 0 0 20 0 15 10 5 10",
                        "1/0 7 0 15 10 5 10",
                        "1/0 5 0 15 0 7 10",
                        "1/0 0 0 10 5 10 15 0 20",
                        "1/0 0 7 10 5 10 15",
                        "1/0 0 5 10 7 0 15"),
                Listing.of(written()));
    }

    /** More than the buffer holds, of all kinds, on several layers, in two cells. */
    @Test
    void roundTrip() throws IOException {
        SplittableRandom random = new SplittableRandom(5);
        List<String> expected = new ArrayList<>();
        try (GdsiiWriter writer = begin(new Layer(1, 0))) {
            for (int i = 0; i < 40_000; i++) {
                int x = random.nextInt(Integer.MIN_VALUE, Integer.MAX_VALUE - 5000);
                int y = random.nextInt(Integer.MIN_VALUE, Integer.MAX_VALUE - 5000);
                if (i == 20_000) {
                    writer.endCell();
                    writer.beginCell("SECOND");
                }
                Layer layer = new Layer(i / 10_000, 65_535);
                writer.layer(layer);
                if (i % 50 == 0) {
                    long[] xy = new long[2 * random.nextInt(3, 300)];
                    Arrays.setAll(xy, k -> (k % 2 == 0 ? x : y) + (long) k * k % 4999);
                    writer.polygon(xy, xy.length / 2);
                    expected.add(layer + " " + Arrays.toString(xy).replaceAll("[\\[\\],]", ""));
                } else {
                    writer.trapezoid(false, y, y + 7, x, x + 30L, x + 5L, x + 20L);
                    expected.add(String.format(
                            "%s %d %d %d %d %d %d %d %d", layer, x, y, x + 30, y, x + 20, y + 7, x + 5, y + 7));
                }
            }
        }
        assertEquals(expected, Listing.of(written()));
        ByteBuffer all = ByteBuffer.wrap(bytes.toByteArray());
        int records = 0;
        for (int at = 0; at < all.limit(); at += all.getShort(at) & 0xffff) {
            records++;
        }
        assertTrue(records > 5 * 40_000);
    }

    @Test
    void otherUnits() throws IOException {
        new GdsiiWriter(bytes, "out.gds", "L", new DatabaseUnit(0.0005)).close();
        assertEquals(0.0005, written().unit().um());
    }

    @Test
    void coordinatesMustFit() throws IOException {
        GdsiiWriter writer = begin(new Layer(1, 0));
        BadInputException e = assertThrows(BadInputException.class, () -> writer.rectangle(0, 0, 2_147_483_648L, 5));
        assertEquals(
                "out.gds: the point (2147483648, 0) dbu does not fit GDSII's 32-bit coordinates; "
                        + "use a coarser database unit or move the layout nearer to the origin",
                e.getMessage());
        assertTrue(writer.rectangle(Integer.MIN_VALUE, 0, Integer.MAX_VALUE, 5));
    }

    @Test
    void misuse() throws IOException {
        GdsiiWriter writer = new GdsiiWriter(bytes, "out.gds", "LIB", DatabaseUnit.NANOMETRE);
        assertThrows(IllegalStateException.class, () -> writer.rectangle(0, 0, 1, 1));
        assertThrows(IllegalStateException.class, writer::endCell);
        assertThrows(IllegalArgumentException.class, () -> writer.beginCell(""));
        GdsiiWriter second = new GdsiiWriter(bytes, "out.gds", "LIB", DatabaseUnit.NANOMETRE);
        second.beginCell("A");
        assertThrows(IllegalStateException.class, () -> second.rectangle(0, 0, 1, 1));
        assertThrows(IllegalStateException.class, () -> second.beginCell("B"));
        second.layer(new Layer(0, 0));
        assertThrows(IllegalArgumentException.class, () -> second.polygon(new long[] {0, 0, 1, 1}, 2));
    }

    /** A polygon at the limit is written whole, with its closing point. */
    @Test
    void polygonAtTheLimit() throws IOException {
        long[] xy = star(GdsiiWriter.MAX_POINTS, 4, false);
        try (GdsiiWriter writer = begin(new Layer(1, 0))) {
            for (int i = 0; i < 40; i++) {
                writer.polygon(xy, GdsiiWriter.MAX_POINTS);
            }
        }
        List<long[]> back = Listing.vertices(Listing.flat(written()));
        assertEquals(40, back.size());
        for (long[] polygon : back) {
            assertArrayEquals(xy, polygon);
        }
    }

    /**
     * Larger polygons come back in parts of at most 8,000 points which together wind around random points as often as the
     * polygon did, up to edges moved by rounding; also where the polygon crosses itself.
     */
    @ParameterizedTest
    @ValueSource(ints = {8001, 20_000, 100_003})
    void largerPolygonsAreSplit(int points) throws IOException {
        for (boolean crossing : new boolean[] {false, true}) {
            bytes.reset();
            long[] xy = star(points, points, crossing);
            try (GdsiiWriter writer = begin(new Layer(1, 0))) {
                writer.polygon(xy, points);
            }
            Polygons flat = Listing.flat(written());
            List<double[]> parts = new ArrayList<>();
            double area = 0;
            for (long[] part : Listing.vertices(flat)) {
                assertTrue(part.length <= 2 * GdsiiWriter.MAX_POINTS);
                parts.add(Listing.doubles(part));
                area += Listing.area(parts.get(parts.size() - 1), part.length / 2);
            }
            assertTrue(parts.size() > 1 && parts.size() < 4 + points / 1000, parts.size() + " parts");
            double[] whole = Listing.doubles(xy);
            assertEquals(Listing.area(whole, points), area, 1e-7 * Math.abs(area));
            SplittableRandom random = new SplittableRandom(points);
            int inside = 0;
            for (int i = 0; i < 200; i++) {
                double x = random.nextDouble(-1.1e6, 1.1e6);
                double y = random.nextDouble(-1.1e6, 1.1e6);
                int sum = 0;
                for (double[] part : parts) {
                    sum += Listing.winding(part, part.length / 2, x, y);
                }
                assertEquals(Listing.winding(whole, points, x, y), sum);
                inside += sum != 0 ? 1 : 0;
            }
            assertTrue(inside > 20 && inside < 180);
        }
    }

    /** A closed curve of many points with 50 lobes, once around the origin or three times (then it crosses itself). */
    private static long[] star(int points, long seed, boolean crossing) {
        SplittableRandom random = new SplittableRandom(seed);
        long[] xy = new long[2 * points];
        int turns = crossing ? 3 : 1;
        for (int i = 0; i < points; i++) {
            double angle = 2 * Math.PI * turns * i / points;
            double radius = 700_000 + 300_000 * Math.sin(50.0 / turns * angle) + random.nextDouble();
            xy[2 * i] = Math.round(radius * Math.cos(angle));
            xy[2 * i + 1] = Math.round(radius * Math.sin(angle));
        }
        return xy;
    }
}
