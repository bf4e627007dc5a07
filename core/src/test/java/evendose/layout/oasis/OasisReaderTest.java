package evendose.layout.oasis;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import evendose.geometry.Polygons;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.Listing;
import evendose.layout.ReadLimits;
import java.io.ByteArrayInputStream;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.TreeSet;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** What {@link OasisReaderReferenceTest} leaves open: circles, names, blocks, validation, damage, limits. */
class OasisReaderTest {
    private static final List<String> SQUARE = List.of("1/0 0 0 10 0 10 10 0 10");

    private static Oasis square() {
        return Oasis.top().rectangle(1, 0, 10, 10, 0, 0);
    }

    private static void assertBad(String message, byte[] file) {
        BadInputException e = assertThrows(BadInputException.class, () -> Oasis.read(file));
        assertEquals("t.oas, " + message, e.getMessage());
    }

    // Shapes

    @Test
    void circle() {
        Layout layout = Oasis.top()
                .uint(27)
                .raw(0x3b)
                .uint(1, 0, 1000)
                .sint(500, -700)
                .uint(27)
                .raw(0x1b)
                .uint(2, 0)
                .sint(0, 0)
                .read();
        Polygons flat = new Polygons();
        Flattener.of(layout).flatten(Map.of(new Layer(1, 0), 0), flat);
        double[] xy = Listing.doubles(Listing.vertices(flat).get(0));
        assertEquals(Math.PI * 1e6, Math.abs(Listing.area(xy, xy.length / 2)), 1.4e-3 * Math.PI * 1e6);
        for (int i = 0; i < xy.length; i += 2) {
            assertEquals(1000, Math.hypot(xy[i] - 500, xy[i + 1] + 700), 0.71);
        }
        assertEquals(1, Flattener.of(layout).counts().get(new Layer(2, 0)));
    }

    @Test
    void withoutArea() {
        Oasis o = square().rectangle(1, 0, 0, 10, 0, 0);
        o.uint(27).raw(0x3b).uint(1, 0, 0).sint(0, 0);
        o.uint(21).raw(0x3b).uint(1, 0, 4, 2).delta(5, 0).delta(5, 0).sint(0, 0);
        o.uint(26).raw(0xfb).uint(1, 0, 24, 0, 5).sint(0, 0);
        o.uint(22).raw(0xfb).uint(1, 0, 0, 0x5).uint(1, 1).sint(500, 0, 0);
        Layout layout = o.read();
        assertEquals(SQUARE, Listing.of(layout));
        assertEquals(5, layout.warnings().size());
        assertTrue(layout.warnings().get(1).startsWith("a circle without area; left out (byte "));
    }

    /** A path that is repeated, and one whose points are more than the first block of memory holds. */
    @Test
    void longAndRepeatedPaths() {
        Oasis o = Oasis.top().uint(22).raw(0xff).uint(1, 0, 5, 0x5).uint(4, 3000);
        for (int i = 0; i < 3000; i++) {
            o.delta(100, i % 2 == 0 ? 10 : -10);
        }
        o.sint(0, 0).uint(3, 0, 1000);
        List<String> polygons = o.polygons();
        assertEquals(2, polygons.size());
        assertTrue(polygons.get(0).split(" ").length > 6000);
    }

    /** Coordinates that need more than 32 bits. */
    @Test
    void wideCoordinates() {
        assertEquals(
                List.of(
                        "1/0 3000000000 -4000000000 3000000010 -4000000000 3000000010 -3999999995 3000000000 -3999999995",
                        "1/0 8000000000 -4000000000 8000000010 -4000000000 8000000010 -3999999995 8000000000 -3999999995"),
                Oasis.top()
                        .repeatedRectangle(1, 10, 5, 3_000_000_000L, -4_000_000_000L)
                        .uint(2, 0, 5_000_000_000L)
                        .polygons());
    }

    // Structure

    @Test
    void skipsWhatIsNoGeometry() {
        Oasis o = Oasis.file();
        o.uint(0).uint(5).string("text").uint(6).string("text").uint(3);
        o.uint(7).string("prop").uint(8).string("prop").uint(3);
        o.uint(9).string("").uint(10).string("value").uint(3);
        o.uint(11)
                .string("metal")
                .uint(0, 4, 1, 5)
                .uint(12)
                .string("notes")
                .uint(1, 7, 2, 8)
                .uint(11);
        o.string("x").uint(3, 9, 4, 1).uint(2);
        o.uint(30, 7).string("x").uint(31, 7).string("y").uint(2);
        o.cell("TOP").uint(28).raw(0x24).string("name").uint(8, 77, 10).string("text");
        o.uint(28).raw(0xf6).uint(3, 20);
        for (int type = 0; type < 16; type++) {
            o.uint(type);
            switch (type) {
                case 4, 5 -> o.uint(1, 0);
                case 6 -> o.raw(0, 0, 0xc0, 0x7f);
                case 7 -> o.raw(0, 0, 0, 0, 0, 0, 0xf8, 0x7f);
                case 10, 11, 12 -> o.string("abc");
                default -> o.uint(Long.MIN_VALUE | 1);
            }
        }
        o.uint(0, 1, 0, 2, 0, 3, 0, 4);
        o.uint(28).raw(0x08).uint(29);
        o.uint(19).raw(0x5f).string("hello").uint(1, 2).sint(100, 200).uint(2, 0, 10);
        o.uint(19).raw(0x79).uint(4).uint(70_000).sint(1, 2);
        o.uint(32, 5).string("anything");
        o.uint(33).raw(0x1f).uint(9, 1, 0).string("shape").sint(5, 5).uint(2, 0, 10);
        o.rectangle(1, 0, 10, 10, 0, 0);
        Layout layout = o.read();
        assertEquals(SQUARE, Listing.of(layout));
        assertEquals(1, layout.warnings().size());
        assertTrue(layout.warnings().get(0).startsWith("an XGEOMETRY record has no common meaning; left out"));
    }

    @Test
    void namesBeforeAndAfterUse() {
        Oasis o = Oasis.file().uint(3).string("A").uint(13, 0).rectangle(1, 0, 10, 10, 0, 0);
        o.uint(13, 1).uint(17).raw(0xf0).uint(0).sint(5, 6).uint(17).raw(0x20).sint(50);
        o.uint(3).string("B");
        Layout layout = o.read();
        assertEquals(List.of("A", "B"), List.copyOf(layout.cells().keySet()));
        assertEquals(List.of("1/0 5 6 15 6 15 16 5 16", "1/0 50 6 60 6 60 16 50 16"), Listing.of(layout));
    }

    @Test
    void contextCellIsDropped() {
        Oasis o = Oasis.file()
                .cell("$$$CONTEXT_INFO$$$")
                .rectangle(1, 0, 5, 5, 0, 0)
                .uint(17)
                .raw(0x80)
                .string("X");
        o.cell("TOP").uint(17).raw(0x80).string("$$$CONTEXT_INFO$$$").rectangle(1, 0, 10, 10, 0, 0);
        Layout layout = o.read();
        assertEquals(SQUARE, Listing.of(layout));
        assertEquals(List.of(), layout.warnings());
    }

    @Test
    void missingCellsAreWarnedOf() {
        Layout layout = square().uint(17).raw(0x80).string("NONE").read();
        assertEquals(
                List.of("cell NONE is placed (first in TOP) but missing from the file; left out"), layout.warnings());
    }

    @Test
    void units() {
        byte[] file = new Oasis()
                .plain(Oasis.MAGIC)
                .uint(1)
                .string("1.0")
                .float64(2000.0000000000002)
                .noTables()
                .end();
        assertEquals(0.0005, Oasis.read(file).unit().um());
        Oasis newer = new Oasis()
                .plain(Oasis.MAGIC)
                .uint(1)
                .string("1.1")
                .uint(4, 1000, 3)
                .noTables();
        Layout layout = newer.read();
        assertEquals(0.003, layout.unit().um());
        assertEquals(1, layout.warnings().size());
    }

    /** Blocks of many sizes, empty ones and such that end within the input's buffers. */
    @Test
    void compressedBlocks() {
        Oasis o = Oasis.top().block(new Oasis()).block(new Oasis().uint(0));
        Random random = new Random(3);
        int shapes = 0;
        for (int size : new int[] {1, 10, 5000, 60_000}) {
            Oasis inside = new Oasis();
            for (int i = 0; i < size; i++) {
                inside.rectangle(1, 0, 1 + random.nextInt(1000), 7, random.nextInt(1 << 30), -random.nextInt(1 << 30));
            }
            o.block(inside).rectangle(1, 0, 5, 5, 0, 0);
            shapes += size + 1;
        }
        assertEquals(shapes, Flattener.of(o.read()).counts().get(new Layer(1, 0)));
    }

    @Test
    void damagedBlocks() {
        Oasis inside = new Oasis().rectangle(1, 0, 10, 10, 0, 0);
        byte[] packed = Oasis.deflate(inside.bytes());
        int n = inside.size();
        String at = "byte " + Oasis.top().size() + ", record CBLOCK: ";
        assertBad(
                at + "the compressed block gives fewer bytes than it says; the file is damaged here",
                Oasis.top().uint(34, 0, n + 1, packed.length).plain(packed).end());
        assertBad(
                at + "the compressed block gives more bytes than it says; the file is damaged here",
                Oasis.top()
                        .uint(34, 0, n, packed.length + 3)
                        .plain(Oasis.deflate(
                                new Oasis().plain(inside.bytes()).uint(0, 0, 0).bytes()))
                        .end());
        byte[] broken = packed.clone();
        Arrays.fill(broken, (byte) 0xff);
        assertBad(
                at + "the compressed block holds damaged data; the file is damaged here",
                Oasis.top().uint(34, 0, n, packed.length).plain(broken).end());
        assertBad(
                at + "is compressed by method 1; only 0, deflate, is known",
                Oasis.top().uint(34, 1, n, packed.length).end());
        assertBad(
                at + "says that 5 bytes unpack to 1000000, which cannot be; the file is damaged",
                Oasis.top().uint(34, 0, 1_000_000, 5).end());
        assertBad(
                "byte 0 of the compressed block at byte " + Oasis.top().size()
                        + ", record RECTANGLE: runs beyond the end of its compressed block; the file is damaged here",
                Oasis.top().block(new Oasis().uint(20).raw(0x7b).uint(1)).end());
        assertBad(
                "byte 0 of the compressed block at byte " + Oasis.top().size()
                        + ", record CBLOCK: stands inside another compressed block",
                Oasis.top().block(new Oasis().block(inside)).end());
    }

    // Validation and tables

    @Test
    void validation() {
        assertEquals(SQUARE, Listing.of(Oasis.read(square().endWithCrc())));
        assertEquals(SQUARE, Listing.of(Oasis.read(square().endWithChecksum())));
        String place = "byte " + square().size() + ", record END: holds a ";
        for (int k = 0; k < 2; k++) {
            byte[] file = k == 0 ? square().endWithCrc() : square().endWithChecksum();
            assertEquals(square().size() + 256, file.length);
            file[square().size() - 1] ^= 2;
            assertBad(
                    place + (k == 0 ? "CRC-32" : "checksum")
                            + " that is not the file's; the file is damaged, get a sound copy",
                    file);
        }
        Layout unknown = Oasis.read(square().uint(2).string("").uint(9).bytes());
        assertTrue(unknown.warnings().get(0).startsWith("the file is validated by an unknown scheme; not checked"));
    }

    /** The sums run over all of a file that is larger than the buffers, blocks included. */
    @Test
    void validationOfALargeFile() {
        Oasis o = Oasis.top();
        Random random = new Random(1);
        for (int i = 0; i < 40_000; i++) {
            o.rectangle(1, 0, 1 + random.nextInt(1000), 7, random.nextInt(1 << 30), -random.nextInt(1 << 30));
            if (i % 10_000 == 0) {
                o.block(new Oasis().rectangle(1, 0, 5, 5, 0, 0));
            }
        }
        assertTrue(o.size() > 400_000);
        assertEquals(40_004, Flattener.of(Oasis.read(o.endWithCrc())).counts().get(new Layer(1, 0)));
    }

    @Test
    void offsetTables() {
        // In the START record: cell names strictly in a table at byte 50.
        for (int offset : new int[] {39, 40}) {
            Oasis o = new Oasis().plain(Oasis.MAGIC).uint(1).string("1.0").uint(0, 1000, 0);
            o.uint(1, offset, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0);
            while (o.size() < 39) {
                o.uint(0);
            }
            Layout layout = o.uint(3)
                    .string("TOP")
                    .uint(13, 0)
                    .rectangle(1, 0, 10, 10, 0, 0)
                    .read();
            assertEquals(SQUARE, Listing.of(layout));
            assertEquals(offset == 39 ? 0 : 1, layout.warnings().size());
        }
        // In the END record.
        Oasis o = new Oasis().plain(Oasis.MAGIC).uint(1).string("1.0").uint(0, 1000, 1);
        int names = o.size();
        o.uint(3).string("TOP").uint(13, 0).rectangle(1, 0, 10, 10, 0, 0);
        Layout layout = Oasis.read(o.uint(2, 1, names, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0)
                .string("")
                .uint(0)
                .bytes());
        assertEquals(SQUARE, Listing.of(layout));
        assertEquals(List.of(), layout.warnings());
    }

    // Damage

    /** A file cut anywhere is refused with a message; none of its beginnings passes for a whole file. */
    @Test
    void cutShort() {
        byte[] file = Catalogue.file();
        TreeSet<String> kinds = new TreeSet<>();
        for (int length = 0; length < file.length; length++) {
            byte[] cut = Arrays.copyOf(file, length);
            String message =
                    assertThrows(BadInputException.class, () -> Oasis.read(cut)).getMessage();
            kinds.add(message.substring(message.lastIndexOf(": ") + 2));
        }
        assertEquals(
                new TreeSet<>(List.of(
                        "the file ends before its END record is complete; it was cut short, get a complete copy")),
                kinds);
    }

    @Test
    void damagedRecords() {
        String at = "byte " + Oasis.top().size() + ", record ";
        assertBad("byte 0: does not begin with %SEMI-OASIS; the file is of another format or damaged", new byte[20]);
        assertBad(
                "byte 13, record CELL: stands where the START record is wanted",
                new Oasis().plain(Oasis.MAGIC).cell("TOP").end());
        assertBad(
                "byte 13, record START: gives 0.0 database units for 1 um; between 1e-3 and 1e9 are accepted",
                new Oasis()
                        .plain(Oasis.MAGIC)
                        .uint(1)
                        .string("1.0")
                        .uint(0, 0)
                        .noTables()
                        .end());
        assertBad(
                "byte 13, record START: holds a real number that is no number",
                new Oasis()
                        .plain(Oasis.MAGIC)
                        .uint(1)
                        .string("1.0")
                        .float64(Double.NaN)
                        .noTables()
                        .end());
        assertBad(
                "byte 13, record START: holds a real number that is infinite",
                new Oasis()
                        .plain(Oasis.MAGIC)
                        .uint(1)
                        .string("1.0")
                        .uint(2, 0)
                        .noTables()
                        .end());
        assertBad(
                "byte 13, record START: holds a real number of type 8; 0 to 7 are known",
                new Oasis()
                        .plain(Oasis.MAGIC)
                        .uint(1)
                        .string("1.0")
                        .uint(8, 0)
                        .noTables()
                        .end());
        assertBad(
                at + "99: is of no known type; the file is damaged here or before",
                Oasis.top().uint(99).end());
        assertBad(
                "byte " + Oasis.file().size() + ", record RECTANGLE: stands outside a cell",
                Oasis.file().rectangle(1, 0, 1, 1, 0, 0).end());
        assertBad(
                at + "RECTANGLE: takes its width from an earlier record, but none in this cell gives one",
                Oasis.top().uint(20).raw(0x1b).uint(1, 0).sint(0, 0).end());
        assertBad(
                at + "RECTANGLE: takes its layer from an earlier record, but none in this cell gives one",
                Oasis.top().uint(20).raw(0x60).uint(1, 1).end());
        assertBad(
                at + "RECTANGLE: is a square with a height of its own; the file is damaged here",
                Oasis.top().uint(20).raw(0xfb).uint(1, 0, 5, 5).sint(0, 0).end());
        assertBad(
                at + "RECTANGLE: has the layer or datatype 65536; at most 65535 are accepted",
                Oasis.top().rectangle(65_536, 0, 1, 1, 0, 0).end());
        assertBad(
                at + "PLACEMENT: takes its cell from an earlier record, but none in this cell gives one",
                Oasis.top().uint(17).raw(0x30).sint(0, 0).end());
        assertBad(
                at + "PLACEMENT: has a magnification of -2.0; it must be positive",
                Oasis.top().uint(18).raw(0x84).string("A").uint(1, 2).end());
        assertBad(
                at + "POLYGON: takes its points from an earlier record, but none in this cell gives one",
                Oasis.top().uint(21).raw(0x1b).uint(1, 0).sint(0, 0).end());
        assertBad(
                at
                        + "POLYGON: has a point list of type 1 with an odd number of entries, 3, so its last side is not level or"
                        + " upright",
                Oasis.top()
                        .uint(21)
                        .raw(0x3b)
                        .uint(1, 0, 1, 3)
                        .sint(5, 5, 5, 0, 0)
                        .end());
        assertBad(
                at + "POLYGON: has a point list of type 6; 0 to 5 are known",
                Oasis.top().uint(21).raw(0x3b).uint(1, 0, 6, 3).end());
        assertBad(
                at + "TRAPEZOID: has slanted sides that cross; the file is damaged here",
                Oasis.top()
                        .uint(23)
                        .raw(0x7b)
                        .uint(1, 0, 10, 10)
                        .sint(8, -8, 0, 0)
                        .end());
        assertBad(
                at + "CTRAPEZOID: is of type 26; 0 to 25 are known",
                Oasis.top().uint(26).raw(0xfb).uint(1, 0, 26, 10, 10).sint(0, 0).end());
        assertBad(
                at + "CTRAPEZOID: of type 4 has slanted sides that cross at 10 x 6; the file is damaged here",
                Oasis.top().uint(26).raw(0xfb).uint(1, 0, 4, 10, 6).sint(0, 0).end());
        assertBad(
                at + "RECTANGLE: repeats like an earlier record, but none repeats in this cell",
                Oasis.top().repeatedRectangle(1, 1, 1, 0, 0).uint(0).end());
        assertBad(
                at + "RECTANGLE: has a repetition of type 12; 0 to 11 are known",
                Oasis.top().repeatedRectangle(1, 1, 1, 0, 0).uint(12).end());
        assertBad(
                at + "PROPERTY: has a value of type 16; 0 to 15 are known",
                Oasis.top().uint(28).raw(0x14).string("x").uint(16).end());
        assertBad(
                at + "LAYERNAME: has an interval of type 5; 0 to 4 are known",
                Oasis.top().uint(11).string("x").uint(5).end());
        assertBad(
                at + "CELL: gives a name of 0 bytes; 1 to 1048576 are accepted",
                Oasis.top().cell("").end());
        int second = Oasis.top().uint(4).string("A").uint(4).size();
        assertBad(
                "byte " + second + ", record CELLNAME: gives cell number 4 a second name",
                Oasis.top().uint(4).string("A").uint(4, 4).string("B").uint(4).end());
        assertBad(
                at + "CELL: cell TOP is defined a second time",
                Oasis.top().cell("TOP").end());
        assertBad(
                at + "CELL: cell number 5 has no CELLNAME record; the file is incomplete",
                Oasis.top().uint(13, 5).end());
        assertBad(
                "byte " + Oasis.file().size()
                        + ", record CELL: cell TOP places cell number 6, which has no CELLNAME record; the file is incomplete",
                Oasis.top().uint(17).raw(0xc0).uint(6).end());
    }

    @Test
    void loops() {
        BadInputException e = assertThrows(
                BadInputException.class,
                () -> Oasis.top().uint(17).raw(0x80).string("TOP").read());
        assertEquals(
                "t.oas, cell TOP: places TOP, which directly or through others contains TOP; remove one of the references",
                e.getMessage());
    }

    // Limits

    /** Numbers beyond all reason are refused before anything is made of them. */
    @Test
    void absurdNumbers() {
        String at = "byte " + Oasis.top().size() + ", record ";
        String beyond = "holds a coordinate or length beyond 72057594037927936 database units";
        long large = 1L << 57;
        assertBad(
                at + "RECTANGLE: " + beyond,
                Oasis.top().rectangle(1, 0, large, 1, 0, 0).end());
        assertBad(
                at + "RECTANGLE: " + beyond,
                Oasis.top().rectangle(1, 0, 1, 1, large, 0).end());
        assertBad(
                at + "RECTANGLE: holds a number of more than 63 bits; the file is damaged here",
                Oasis.top().rectangle(1, 0, Long.MIN_VALUE, 1, 0, 0).end());
        assertBad(
                at + "RECTANGLE: repeats over more than 64 bits of distance",
                Oasis.top()
                        .repeatedRectangle(1, 1, 1, 0, 0)
                        .uint(2, 1L << 30, 1L << 40)
                        .end());
        assertBad(
                at + "RECTANGLE: repeats more than 2147483647 times along one axis",
                Oasis.top()
                        .repeatedRectangle(1, 1, 1, 0, 0)
                        .uint(2, 1L << 40, 1)
                        .end());
        assertBad(
                at + "POLYGON: has 1099511627776 points; at most 134217726 are accepted",
                Oasis.top().uint(21).raw(0x3b).uint(1, 0, 4, 1L << 40).end());
        assertBad(
                at + "CELL: gives a name of 4611686018427387904 bytes; 1 to 1048576 are accepted",
                Oasis.top().uint(14, 1L << 62).end());
        // Lists that are announced but not there.
        String cut = "the file ends before its END record is complete; it was cut short, get a complete copy";
        assertBad(
                at + "POLYGON: " + cut,
                Oasis.top().uint(21).raw(0x3b).uint(1, 0, 4, 1L << 26).bytes());
        assertBad(
                at + "PROPERTY: " + cut,
                Oasis.top().uint(28).raw(0x14).uint(1L << 62).bytes());
        assertBad(
                at + "RECTANGLE: " + cut,
                Oasis.top().repeatedRectangle(1, 1, 1, 0, 0).uint(10, 1L << 30).bytes());
    }

    /** A repetition costs as much as the file says about it, however many copies it has; copies are counted before any is made. */
    @Test
    void hugeRepetitions() {
        Oasis o = Oasis.top();
        for (int i = 0; i < 1000; i++) {
            o.repeatedRectangle(1, 1, 1, 0, 0).uint(1, 999_998, 999_998, 2, 2);
        }
        Layout layout = o.read();
        assertEquals(
                Map.of(new Layer(1, 0), 1_000_000_000_000_000L),
                Flattener.of(layout).counts());
        BadInputException e = assertThrows(BadInputException.class, () -> Listing.flat(layout));
        assertEquals(
                "t.oas: flattening gives 1000000000000000 polygons, beyond the limit of 2000000000; choose fewer layers, a"
                        + " smaller cell or a higher limit",
                e.getMessage());
    }

    /** A list of offsets that thousands of records reuse is kept once. */
    @Test
    void reusedLists() {
        Oasis o = Oasis.top().repeatedRectangle(1, 1, 1, 0, 0).uint(10, 9_998);
        for (int i = 0; i < 9_999; i++) {
            o.delta(2, 1);
        }
        Oasis many = new Oasis();
        for (int i = 0; i < 100_000; i++) {
            many.uint(20).raw(0x04).uint(0);
        }
        Layout layout = o.block(many).read();
        assertEquals(100_001L * 10_000, Flattener.of(layout).counts().get(new Layer(1, 0)));
    }

    /** A few hundred bytes that unpack to millions of cells, placements or shapes stop at the limit of memory. */
    @ParameterizedTest
    @ValueSource(strings = {"cells", "placements", "shapes"})
    void bombs(String kind) {
        byte[] records = switch (kind) {
            case "cells" -> new Oasis().uint(13, 5).bytes();
            case "placements" -> new Oasis().uint(17).raw(0).bytes();
            default -> new Oasis().uint(20).raw(0).bytes();
        };
        byte[] many = new byte[20_000_000];
        for (int i = 0; i < many.length; i++) {
            many[i] = records[i % records.length];
        }
        byte[] file = Oasis.top()
                .rectangle(1, 0, 1, 1, 0, 0)
                .uint(17)
                .raw(0x80)
                .string("A")
                .block(new Oasis().plain(many))
                .end();
        assertTrue(file.length < 50_000);
        BadInputException e = assertThrows(BadInputException.class, () -> Oasis.read(file));
        assertTrue(
                e.getMessage()
                        .endsWith("the layout needs more than the limit of 64 MB of memory; give Java more with -Xmx"),
                e.getMessage());
    }

    @Test
    void decompressionHasALimit() {
        byte[] file = Oasis.top()
                .block(new Oasis().plain(new byte[2000]))
                .block(new Oasis().plain(new byte[2000]))
                .end();
        BadInputException e = assertThrows(
                BadInputException.class,
                () -> OasisReader.read(new ByteArrayInputStream(file), "t.oas", new ReadLimits(1 << 20, 3000)));
        assertTrue(
                e.getMessage().endsWith("record CBLOCK: compressed blocks unpack to more than the limit of 3000 bytes"),
                e.getMessage());
    }

    /** Magnified out of the plane: told when flattened. */
    @Test
    void coordinatesBeyondTheLimitAfterMagnification() {
        Oasis o = Oasis.file().cell("A").rectangle(1, 0, 1, 1, 1 << 30, 0);
        o.cell("B").uint(18).raw(0x84).string("A").float64(1e300);
        o.cell("C").uint(18).raw(0x84).string("B").float64(1e300);
        Layout layout = o.read();
        BadInputException e = assertThrows(BadInputException.class, () -> Listing.flat(layout));
        assertEquals(
                "t.oas, cell C: extends to infinity dbu, beyond the limit of 4398046511104; check its placements or use a"
                        + " coarser database unit",
                e.getMessage());
    }
}
