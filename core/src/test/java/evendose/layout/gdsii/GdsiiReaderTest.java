package evendose.layout.gdsii;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import evendose.geometry.Polygons;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.Listing;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;

class GdsiiReaderTest {
    private static final List<String> SQUARE = List.of("1/0 0 0 10 0 10 10 0 10");

    private static void assertBad(String message, Stream stream) {
        assertBad(message, stream.bytes());
    }

    private static void assertBad(String message, byte[] bytes) {
        BadInputException e = assertThrows(BadInputException.class, () -> Stream.read(bytes));
        assertEquals("t.gds" + message, e.getMessage());
    }

    // Geometry

    @Test
    void boundary() {
        Layout layout = Stream.top().square().end().read();
        assertEquals(SQUARE, Listing.of(layout));
        assertEquals(0.001, layout.unit().um());
        assertEquals(List.of(), layout.warnings());
    }

    @Test
    void box() {
        assertEquals(
                List.of("4/9 -5 -5 5 -5 5 5 -5 5"),
                Stream.top()
                        .empty(Record.BOX)
                        .shorts(Record.LAYER, 4)
                        .shorts(Record.BOXTYPE, 9)
                        .ints(Record.XY, -5, -5, -5, 5, 5, 5, 5, -5, -5, -5)
                        .empty(Record.ENDEL)
                        .polygons());
    }

    @Test
    void pathFlush() {
        assertEquals(
                List.of("1/0 0 -5 100 -5 100 5 0 5"),
                Stream.top()
                        .path(0, 10)
                        .ints(Record.XY, 0, 0, 100, 0)
                        .empty(Record.ENDEL)
                        .polygons());
    }

    @Test
    void pathHalfWidth() {
        assertEquals(
                List.of("1/0 -5 -5 105 -5 105 5 -5 5"),
                Stream.top()
                        .path(2, 10)
                        .ints(Record.XY, 0, 0, 100, 0)
                        .empty(Record.ENDEL)
                        .polygons());
    }

    @Test
    void pathExtended() {
        assertEquals(
                List.of("1/0 -5 -3 5 -3 5 80 -5 80"),
                Stream.top()
                        .path(4, 10)
                        .ints(Record.BGNEXTN, 3)
                        .ints(Record.ENDEXTN, -20)
                        .ints(Record.XY, 0, 0, 0, 100)
                        .empty(Record.ENDEL)
                        .polygons());
    }

    /** Extensions mean nothing to other path types. */
    @Test
    void extensionsOfOtherTypesAreIgnored() {
        assertEquals(
                List.of("1/0 0 -5 100 -5 100 5 0 5"),
                Stream.top()
                        .path(0, 10)
                        .ints(Record.BGNEXTN, 3)
                        .ints(Record.XY, 0, 0, 100, 0)
                        .empty(Record.ENDEL)
                        .polygons());
    }

    @Test
    void pathRound() {
        Layout layout = Stream.top()
                .path(1, 2000)
                .ints(Record.XY, 0, 0, 5000, 0)
                .empty(Record.ENDEL)
                .end()
                .read();
        Polygons flat = Listing.flat(layout);
        assertEquals(-1000, flat.left());
        assertEquals(6000, flat.right());
        double[] xy = Listing.doubles(Listing.vertices(flat).get(0));
        double exact = 2000 * 5000 + Math.PI * 1000 * 1000;
        assertEquals(exact, Math.abs(Listing.area(xy, xy.length / 2)), 1.4e-3 * Math.PI * 1000 * 1000);
        for (int i = 0; i < xy.length; i += 2) {
            double end = xy[i] < 2500 ? 0 : 5000;
            assertEquals(1000, Math.hypot(xy[i] - end, xy[i + 1]), 0.71);
        }
    }

    @Test
    void pathCorner() {
        assertEquals(
                List.of("1/0 0 5 95 5 95 100 105 100 105 -5 0 -5"),
                Stream.top()
                        .path(0, 10)
                        .ints(Record.XY, 0, 0, 100, 0, 100, 100)
                        .empty(Record.ENDEL)
                        .polygons());
    }

    /** A negative width stays under magnification, a positive one does not. */
    @Test
    void negativeWidthIsAbsolute() {
        Stream stream = Stream.top()
                .path(2, -10)
                .ints(Record.XY, 0, 0, 100, 0)
                .empty(Record.ENDEL)
                .path(2, 10)
                .ints(Record.XY, 0, 0, 100, 0)
                .empty(Record.ENDEL)
                .empty(Record.ENDSTR)
                .cell("BIG")
                .empty(Record.SREF)
                .text(Record.SNAME, "TOP")
                .shorts(Record.STRANS, 0)
                .real(Record.MAG, 3)
                .ints(Record.XY, 0, 0)
                .empty(Record.ENDEL);
        assertEquals(List.of("1/0 -5 -5 305 -5 305 5 -5 5", "1/0 -15 -15 315 -15 315 15 -15 15"), stream.polygons());
    }

    /** Mirrored about x first, then turned by 90 degrees, then moved: (x, y) -> (x, -y) -> (y, x) -> shifted. */
    @Test
    void reference() {
        Stream stream = Stream.top()
                .empty(Record.BOUNDARY)
                .shorts(Record.LAYER, 1)
                .shorts(Record.DATATYPE, 0)
                .ints(Record.XY, 0, 0, 10, 0, 0, 4, 0, 0)
                .empty(Record.ENDEL)
                .empty(Record.ENDSTR)
                .cell("UP")
                .empty(Record.SREF)
                .text(Record.SNAME, "TOP")
                .shorts(Record.STRANS, 0x8000)
                .real(Record.ANGLE, 90)
                .ints(Record.XY, 100, 200)
                .empty(Record.ENDEL);
        assertEquals(List.of("1/0 100 200 100 210 104 200"), stream.polygons());
    }

    @Test
    void array() {
        Stream stream = Stream.top()
                .square()
                .empty(Record.ENDSTR)
                .cell("UP")
                .empty(Record.AREF)
                .text(Record.SNAME, "TOP")
                .shorts(Record.COLROW, 2, 3)
                .ints(Record.XY, 5, 7, 205, 7, 5, 307)
                .empty(Record.ENDEL);
        assertEquals(
                List.of(
                        "1/0 5 7 15 7 15 17 5 17",
                        "1/0 105 7 115 7 115 17 105 17",
                        "1/0 5 107 15 107 15 117 5 117",
                        "1/0 105 107 115 107 115 117 105 117",
                        "1/0 5 207 15 207 15 217 5 217",
                        "1/0 105 207 115 207 115 217 105 217"),
                stream.polygons());
    }

    @Test
    void textAndNodeAreSkipped() {
        assertEquals(
                SQUARE,
                Stream.top()
                        .empty(Record.TEXT)
                        .text(0x19, "no TEXTTYPE, STRING first")
                        .shorts(Record.LAYER, 5)
                        .ints(Record.XY, 1, 2)
                        .shorts(Record.STRANS, 0)
                        .empty(Record.ENDEL)
                        .empty(Record.NODE)
                        .shorts(Record.LAYER, 5)
                        .shorts(0x2a, 5)
                        .ints(Record.XY, 1, 2, 3, 4)
                        .empty(Record.ENDEL)
                        .square()
                        .polygons());
    }

    // What is put up with

    @Test
    void layersReach65535() {
        assertEquals(
                List.of("65535/40000 0 0 9 0 9 9 0 9"),
                Stream.top()
                        .empty(Record.BOUNDARY)
                        .shorts(Record.LAYER, 65_535)
                        .shorts(Record.DATATYPE, 40_000)
                        .ints(Record.XY, 0, 0, 9, 0, 9, 9, 0, 9, 0, 0)
                        .empty(Record.ENDEL)
                        .polygons());
    }

    @Test
    void recordsInAnyOrder() {
        assertEquals(
                SQUARE,
                Stream.top()
                        .empty(Record.BOUNDARY)
                        .ints(Record.XY, 0, 0, 10, 0, 10, 10, 0, 10, 0, 0)
                        .shorts(Record.DATATYPE, 0)
                        .shorts(Record.LAYER, 1)
                        .empty(Record.ENDEL)
                        .polygons());
    }

    @Test
    void repeatedAndLongCoordinateRecords() {
        // Two records of 8,000 and 2,000 points: the first is 64,004 bytes long, beyond the signed range.
        int[] first = new int[16_000];
        for (int i = 0; i < 8000; i++) {
            first[2 * i] = i;
            first[2 * i + 1] = i % 2;
        }
        int[] second = new int[4000];
        for (int i = 0; i < 2000; i++) {
            second[2 * i] = 7999 - 4 * i;
            second[2 * i + 1] = 10 + i % 2;
        }
        Layout layout = Stream.top()
                .empty(Record.BOUNDARY)
                .shorts(Record.LAYER, 1)
                .ints(Record.XY, first)
                .ints(Record.XY, second)
                .ints(Record.XY, 0, 0)
                .empty(Record.ENDEL)
                .end()
                .read();
        long[] xy = Listing.vertices(Listing.flat(layout)).get(0);
        assertEquals(20_000, xy.length);
        assertEquals(List.of(), layout.warnings());
        for (int i = 0; i < 20_000; i++) {
            assertEquals(i < 16_000 ? first[i] : second[i - 16_000], xy[i]);
        }
    }

    @Test
    void unknownRecordsAreSkipped() {
        assertEquals(
                SQUARE,
                new Stream()
                        .library()
                        .raw(0x3b, 2, 0, 1)
                        .raw(0x77, 1, 9)
                        .cell("TOP")
                        .raw(0x34, 0)
                        .square()
                        .empty(Record.BOUNDARY)
                        .shorts(0x26, 0)
                        .raw(0xfe, 6, 'x')
                        .shorts(Record.LAYER, 2)
                        .empty(Record.ENDEL)
                        .polygons());
    }

    @Test
    void anythingBehindTheEnd() {
        byte[] bytes = Stream.top().square().end().bytes();
        assertEquals(SQUARE, Listing.of(Stream.read(Arrays.copyOf(bytes, bytes.length + 1413))));
        byte[] junk = Arrays.copyOf(bytes, bytes.length + 3);
        Arrays.fill(junk, bytes.length, junk.length, (byte) 0xff);
        assertEquals(SQUARE, Listing.of(Stream.read(junk)));
    }

    /** With and without a zero byte at the end, a name is the same. */
    @Test
    void oddStrings() {
        Stream stream = Stream.top()
                .square()
                .empty(Record.ENDSTR)
                .cell("UP")
                .empty(Record.SREF)
                .text(Record.SNAME, "TOP\0")
                .ints(Record.XY, 0, 0)
                .empty(Record.ENDEL)
                .end();
        Layout layout = stream.read();
        assertEquals(List.of(), layout.warnings());
        assertEquals(SQUARE, Listing.of(layout));
    }

    @Test
    void namesAreUtf8OrLatin() {
        Layout layout = new Stream()
                .library()
                .cell("gräting=2.5:µ")
                .empty(Record.ENDSTR)
                .shorts(Record.BGNSTR, 0)
                .raw(Record.STRNAME, 6, 0xb5, 'm')
                .end()
                .read();
        assertEquals(List.of("gräting=2.5:µ", "µm"), List.copyOf(layout.cells().keySet()));
    }

    @Test
    void missingEndel() {
        Stream stream = Stream.top()
                .empty(Record.BOUNDARY)
                .shorts(Record.LAYER, 1)
                .ints(Record.XY, 0, 0, 10, 0, 10, 10, 0, 10, 0, 0)
                .empty(Record.BOUNDARY)
                .shorts(Record.LAYER, 2)
                .ints(Record.XY, 0, 0, 10, 0, 10, 10, 0, 10, 0, 0);
        Layout layout = stream.end().read();
        assertEquals(2, Listing.of(layout).size());
        assertEquals(
                List.of("an element lacks its ENDEL; taken as complete (2 cases, the first at byte 96)"),
                layout.warnings());
    }

    @Test
    void unclosedBoundary() {
        Layout layout = Stream.top()
                .empty(Record.BOUNDARY)
                .shorts(Record.LAYER, 1)
                .ints(Record.XY, 0, 0, 10, 0, 10, 10, 0, 10)
                .empty(Record.ENDEL)
                .end()
                .read();
        assertEquals(SQUARE, Listing.of(layout));
        assertEquals(List.of("a boundary is not closed; closed by a straight edge (byte 96)"), layout.warnings());
    }

    @Test
    void shapesWithoutArea() {
        assertEquals(
                List.of(
                        "a boundary without area; left out (byte 96)",
                        "a path has one point only; its ends alone are drawn (byte 122)",
                        "a path without area; left out (2 cases, the first at byte 122)"),
                Stream.top()
                        .empty(Record.BOUNDARY)
                        .shorts(Record.LAYER, 1)
                        .ints(Record.XY, 3, 3)
                        .empty(Record.ENDEL)
                        .path(0, 10)
                        .ints(Record.XY, 3, 3)
                        .empty(Record.ENDEL)
                        .path(0, 0)
                        .ints(Record.XY, 3, 3, 9, 9)
                        .empty(Record.ENDEL)
                        .warnings());
    }

    @Test
    void onePointPathWithEnds() {
        assertEquals(
                List.of("1/0 -2 -2 8 -2 8 8 -2 8"),
                Stream.top()
                        .path(2, 10)
                        .ints(Record.XY, 3, 3)
                        .empty(Record.ENDEL)
                        .polygons());
    }

    @Test
    void missingCell() {
        assertEquals(
                List.of("cell GONE is placed (first in TOP) but missing from the file; left out"),
                Stream.top()
                        .empty(Record.SREF)
                        .text(Record.SNAME, "GONE")
                        .ints(Record.XY, 0, 0)
                        .empty(Record.ENDEL)
                        .warnings());
    }

    @Test
    void cellDefinedTwice() {
        Layout layout = Stream.top()
                .square()
                .empty(Record.ENDSTR)
                .cell("TOP")
                .square()
                .end()
                .read();
        assertEquals(2, Listing.of(layout).size());
        assertTrue(layout.warnings().get(0).startsWith("cell TOP is defined more than once"));
    }

    /** The notes cell goes, unsound shapes in it too, references to it too; what it alone placed becomes a top cell. */
    @Test
    void contextCellIsDropped() {
        Layout layout = Stream.top()
                .square()
                .empty(Record.SREF)
                .text(Record.SNAME, "$$$CONTEXT_INFO$$$")
                .ints(Record.XY, 0, 0)
                .empty(Record.ENDEL)
                .empty(Record.ENDSTR)
                .cell("$$$CONTEXT_INFO$$$")
                .square()
                .empty(Record.BOUNDARY)
                .ints(Record.XY, 0, 0)
                .empty(Record.ENDEL)
                .empty(Record.SREF)
                .text(Record.SNAME, "TOP")
                .ints(Record.XY, 0, 0)
                .empty(Record.ENDEL)
                .end()
                .read();
        assertEquals(SQUARE, Listing.of(layout));
        assertEquals("[Cell[TOP]]", layout.topCells().toString());
        assertEquals(List.of(), layout.warnings());
    }

    @Test
    void manyTopCells() {
        Layout layout = Stream.top()
                .square()
                .empty(Record.ENDSTR)
                .cell("TWO")
                .square()
                .end()
                .read();
        assertEquals("[Cell[TOP], Cell[TWO]]", layout.topCells().toString());
        assertEquals(2, Listing.of(layout).size());
        assertEquals(
                List.of(new Layer(1, 0)),
                List.copyOf(layout.cells().get("TWO").shapes().keySet()));
    }

    // What is refused

    @Test
    void emptyFile() {
        assertBad(": the file is empty", new byte[0]);
        assertBad(": the file has 3 bytes only and is no GDSII stream", new byte[] {0, 6, 0});
    }

    @Test
    void otherFormat() {
        assertBad(
                ", byte 0: no GDSII HEADER record stands here; the file is of another format or damaged",
                "x_min_um,y_min_um".getBytes(StandardCharsets.US_ASCII));
    }

    /** Cut anywhere before its end, a stream is refused as cut short. */
    @Test
    void cutShort() {
        byte[] bytes = Stream.top().square().end().bytes();
        for (int length = 4; length < bytes.length; length++) {
            byte[] cut = Arrays.copyOf(bytes, length);
            BadInputException e = assertThrows(BadInputException.class, () -> Stream.read(cut));
            assertTrue(e.getMessage().startsWith("t.gds, byte " + length + ": the file ends "), e.getMessage());
        }
        assertBad(
                ", byte 150: the file ends inside a XY record of 44 bytes; it was cut short, get a complete copy",
                Arrays.copyOf(bytes, 150));
        assertBad(
                ", byte 164: the file ends before the ENDLIB record; it was cut short, get a complete copy",
                Arrays.copyOf(bytes, bytes.length - 4));
    }

    @Test
    void absurdLength() {
        assertBad(
                ", byte 96, record HEADER: gives its length as 2 bytes, which is less than its own header; "
                        + "the file is damaged here",
                Stream.top().plain(0, 2, 0, 0));
        assertBad(
                ", byte 104, record XY: has 6 bytes of coordinates, not a multiple of 8; the file is damaged here",
                Stream.top()
                        .empty(Record.BOUNDARY)
                        .plain(0, 4, 0x26, 0)
                        .raw(Record.XY, 3, 1, 2, 3, 4, 5, 6)
                        .end());
        assertBad(
                ", byte 100, record LAYER: holds 0 bytes where 2 are wanted; the file is damaged here",
                Stream.top().empty(Record.BOUNDARY).empty(Record.LAYER).end());
    }

    @Test
    void recordsOutOfPlace() {
        assertBad(
                ", byte 61, record BOUNDARY: stands outside a cell",
                new Stream().library().square());
        assertBad(
                ", byte 96, record BGNSTR: begins a cell inside cell TOP; its ENDSTR is missing",
                Stream.top().cell("B"));
        assertBad(
                ", byte 96, record ENDLIB: stands inside cell TOP; its ENDSTR is missing",
                Stream.top().empty(Record.ENDLIB));
        assertBad(
                ", byte 96, record STRNAME: stands outside the head of a cell",
                Stream.top().text(6, "X"));
        assertBad(
                ", byte 96, record XY: stands outside an element; the file is damaged before here",
                Stream.top().ints(Record.XY, 0, 0));
        assertBad(
                ", byte 61, record ENDSTR: ends a cell that was not begun",
                new Stream().library().end());
        assertBad(
                ", byte 61, record STRNAME: stands outside the head of a cell",
                new Stream().library().text(6, "X"));
    }

    @Test
    void unsoundElements() {
        assertBad(
                ", byte 96, record BOUNDARY in cell TOP: has no LAYER",
                Stream.top().empty(Record.BOUNDARY).ints(Record.XY, 0, 0).empty(Record.ENDEL));
        assertBad(
                ", byte 96, record PATH in cell TOP: has PATHTYPE 3; 0, 1, 2 and 4 are known",
                Stream.top().path(3, 10).ints(Record.XY, 0, 0, 5, 5).empty(Record.ENDEL));
        assertBad(
                ", byte 96, record PATH in cell TOP: has no XY",
                Stream.top().path(0, 10).empty(Record.ENDEL));
        assertBad(
                ", byte 96, record SREF in cell TOP: has no SNAME",
                Stream.top().empty(Record.SREF).ints(Record.XY, 0, 0).empty(Record.ENDEL));
        assertBad(
                ", byte 96, record SREF in cell TOP: has 2 points where 1 are wanted",
                Stream.top()
                        .empty(Record.SREF)
                        .text(Record.SNAME, "A")
                        .ints(Record.XY, 0, 0, 1, 1)
                        .empty(Record.ENDEL));
        assertBad(
                ", byte 96, record AREF in cell TOP: is an array of 0 columns and 5 rows; give at least 1 of each",
                Stream.top()
                        .empty(Record.AREF)
                        .text(Record.SNAME, "A")
                        .shorts(Record.COLROW, 0, 5)
                        .ints(Record.XY, 0, 0, 1, 1, 2, 2)
                        .empty(Record.ENDEL));
        assertBad(
                ", byte 96, record SREF in cell TOP: has a magnification of -2.0; it must be positive",
                Stream.top()
                        .empty(Record.SREF)
                        .text(Record.SNAME, "A")
                        .real(Record.MAG, -2)
                        .ints(Record.XY, 0, 0)
                        .empty(Record.ENDEL));
    }

    @Test
    void unsoundUnits() {
        assertBad(
                ", byte 6, record UNITS: gives a database unit of 0.0 m; between 1e-15 and 1e-3 m are accepted",
                new Stream().shorts(Record.HEADER, 5).raw(Record.UNITS, 5, new int[16]));
        assertBad(
                ", byte 6, record ENDLIB: is reached without a UNITS record, so the size of the database unit is unknown",
                new Stream().shorts(Record.HEADER, 5).empty(Record.ENDLIB));
    }
}
