package evendose.layout.csv;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import evendose.files.BadInputException;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layout;
import evendose.layout.Listing;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;

class CsvReaderTest {
    private static final String HEADER = "x_min_um,y_min_um,x_max_um,y_max_um";

    private static Layout read(String text, DatabaseUnit unit) {
        try {
            return CsvReader.read(new ByteArrayInputStream(text.getBytes(StandardCharsets.UTF_8)), "t.csv", unit);
        } catch (IOException e) {
            throw new AssertionError(e);
        }
    }

    private static Layout read(String... lines) {
        return read(String.join("\n", lines) + "\n", DatabaseUnit.NANOMETRE);
    }

    private static void assertBad(String message, String... lines) {
        BadInputException e = assertThrows(BadInputException.class, () -> read(lines));
        assertEquals("t.csv, " + message, e.getMessage());
    }

    @Test
    void rectangles() {
        Layout layout = read(HEADER, "0,0,1,0.5", "-1.001,2e-3,3.25,4");
        assertEquals(
                List.of("1/0 0 0 1000 0 1000 500 0 500", "1/0 -1001 2 3250 2 3250 4000 -1001 4000"),
                Listing.of(layout));
        assertEquals(List.of(), layout.warnings());
        assertEquals("[Cell[TOP]]", layout.topCells().toString());
        assertEquals(0.001, layout.unit().um());
    }

    @Test
    void columnsInAnyOrderWithLayers() {
        Layout layout = read("Layer,Y_max_um,y_min_um,x_max_um,x_min_um,DATATYPE", "7,1,0,2,0,65535");
        assertEquals(List.of("7/65535 0 0 2000 0 2000 1000 0 1000"), Listing.of(layout));
    }

    @Test
    void commentsMarksLineEndsAndSpaces() {
        Layout layout = read(
                "\ufeff# made by hand\r\n\r\n" + HEADER.replace(",", " , ") + "\r\n# a comment\r\n 0, 0 ,1,1\r\n",
                DatabaseUnit.NANOMETRE);
        assertEquals(List.of("1/0 0 0 1000 0 1000 1000 0 1000"), Listing.of(layout));
        assertEquals(List.of(), layout.warnings());
    }

    @Test
    void unknownColumnsAreIgnored() {
        assertEquals(
                List.of("column 'colour' is unknown; ignored (line 1)"),
                read(HEADER + ",colour", "0,0,1,1,blue").warnings());
    }

    @Test
    void coordinatesOffTheGridAreRounded() {
        Layout layout = read(HEADER, "0,0,1,1", "0.0004,0.0005,1.0006,2");
        assertEquals("1/0 0 1 1001 1 1001 2000 0 2000", Listing.of(layout).get(1));
        assertEquals(
                List.of("a coordinate is not a multiple of the database unit of 0.001 um; rounded "
                        + "(3 cases, the first at line 3)"),
                layout.warnings());
        Layout finer = read(HEADER + "\n0.0004,0.0005,1.0006,2", new DatabaseUnit(0.0001));
        assertEquals(List.of("1/0 4 5 10006 5 10006 20000 4 20000"), Listing.of(finer));
        assertEquals(List.of(), finer.warnings());
    }

    /** Thousandths of large numbers are no exact doubles, yet on the grid. */
    @Test
    void largeCoordinatesAreOnTheGrid() {
        Layout layout = read(HEADER, "123456.789,-987654.321,123457.001,1000000.003");
        assertEquals(List.of(), layout.warnings());
        assertEquals(
                List.of("1/0 123456789 -987654321 123457001 -987654321 123457001 1000000003 123456789 1000000003"),
                Listing.of(layout));
    }

    @Test
    void polygons() {
        Layout layout = read(
                "wkt,layer",
                "\"POLYGON ((0 0, 2 0, 1 3, 0 0))\",4",
                "\" polygon((0 0,1 0,1 1,0 1,0 0)) \",5",
                "\"MULTIPOLYGON (((0 0, 2 0, 1 3, 0 0)), ((5 5, 7 5, 6 8, 5 5)))\",6",
                "\"POLYGON EMPTY\",7",
                "MULTIPOLYGON EMPTY,7");
        assertEquals(
                List.of(
                        "4/0 0 0 2000 0 1000 3000",
                        "5/0 0 0 1000 0 1000 1000 0 1000",
                        "6/0 0 0 2000 0 1000 3000",
                        "6/0 5000 5000 7000 5000 6000 8000"),
                Listing.of(layout));
        assertEquals(List.of(), layout.warnings());
    }

    /** Whichever way the rings turn: winding 1 or -1 between them, 0 in the holes, and the area is the difference. */
    @Test
    void holes() {
        String outer = "(0 0, 10 0, 10 10, 0 10, 0 0)";
        String[] first = {"(1 1, 4 1, 4 4, 1 4, 1 1)", "(1 1, 1 4, 4 4, 4 1, 1 1)"};
        String[] second = {"(6 6, 9 6, 9 9, 6 6)", "(6 6, 9 9, 9 6, 6 6)"};
        for (String a : first) {
            for (String b : second) {
                Layout layout = read("wkt", "\"POLYGON (" + outer + ", " + a + ", " + b + ")\"");
                long[] xy = Listing.vertices(Listing.flat(layout)).get(0);
                double[] p = Listing.doubles(xy);
                int n = p.length / 2;
                assertEquals((100 - 9 - 4.5) * 1e6, Listing.area(p, n), 1e-3);
                assertEquals(0, Listing.winding(p, n, 2500.3, 2500.7));
                assertEquals(0, Listing.winding(p, n, 8000.3, 7000.2));
                assertEquals(1, Listing.winding(p, n, 5000.3, 5000.7));
                assertEquals(1, Listing.winding(p, n, 7000.3, 8000.2));
                assertEquals(1, Listing.winding(p, n, 500.3, 9000.2));
                assertEquals(0, Listing.winding(p, n, -500.3, 5000.2));
            }
        }
    }

    @Test
    void unclosedRings() {
        Layout layout = read("wkt", "\"POLYGON ((0 0, 2 0, 1 3))\"");
        assertEquals(List.of("1/0 0 0 2000 0 1000 3000"), Listing.of(layout));
        assertEquals(List.of("a ring is not closed; closed by a straight edge (line 2)"), layout.warnings());
    }

    @Test
    void shapesWithoutArea() {
        assertEquals(
                List.of("a rectangle without area; left out (line 2)"),
                read(HEADER, "0,0,0,5").warnings());
        assertEquals(
                List.of("a polygon without area; left out (line 2)"),
                read("wkt", "\"POLYGON ((0 0, 1 0, 0 0))\"").warnings());
    }

    @Test
    void badHeaders() {
        String begin = "; begin with x_min_um,y_min_um,x_max_um,y_max_um or wkt";
        assertBad("line 1: is no header row of a layout table" + begin, "0,0,1,1");
        BadInputException e = assertThrows(BadInputException.class, () -> read("# nothing"));
        assertEquals("t.csv: holds no header row" + begin, e.getMessage());
        assertBad(
                "line 1: columns must be separated by commas and numbers written with a decimal point",
                HEADER.replace(',', ';'),
                "0;0;1,5;1");
        assertBad("line 2: column 'layer' occurs twice", "# x", HEADER + ",layer,layer");
        assertBad("line 1: has columns for both rectangles and wkt; use one of them", HEADER + ",wkt");
    }

    @Test
    void badRows() {
        assertBad(
                "line 4: has 5 values for 4 columns; numbers must be written with a decimal point, not a comma",
                HEADER,
                "0,0,1,1",
                "# a comment",
                "0,0,1,5,1");
        assertBad("line 2: has 3 values for 4 columns; give one for each column", HEADER, "0,0,1");
        assertBad("line 2: '1,5' has a decimal comma; write a decimal point", HEADER, "0,0,\"1,5\",1");
        for (String number : new String[] {"x", "", "NaN", "0x10", "1f", "Infinity", "1e", "1 2"}) {
            assertBad(
                    "line 2: '" + number + "' is no number; coordinates are wanted in um",
                    HEADER,
                    "0,0," + number + ",1");
        }
        assertBad(
                "line 2: coordinate 1e300 um is beyond 4398046511104 database units; coordinates are wanted in um",
                HEADER,
                "0,0,1e300,1");
        assertBad(
                "line 2: a rectangle's smallest coordinate is larger than its largest; swap the two",
                HEADER,
                "2,0,1,1");
        assertBad("line 2: layer '-1' is no whole number from 0 to 65535", HEADER + ",layer", "0,0,1,1,-1");
        assertBad("line 2: datatype 'x' is no whole number from 0 to 65535", HEADER + ",datatype", "0,0,1,1,x");
    }

    @Test
    void badPolygons() {
        String help = "; write for instance POLYGON ((0 0, 2 0, 1 3, 0 0))";
        assertBad(
                "line 2: wkt, character 11: 'LINESTRING' is not supported" + help, "wkt", "\"LINESTRING (0 0, 1 1)\"");
        assertBad("line 2: wkt, character 10: 'POLYGON Z' is not supported" + help, "wkt", "\"POLYGON Z ((0 0 0))\"");
        assertBad("line 2: wkt, character 9: '(' is missing" + help, "wkt", "\"POLYGON 0 0\"");
        assertBad("line 2: wkt, character 15: a comma or ')' is missing" + help, "wkt", "\"POLYGON ((0 0 0, 1 1 1))\"");
        assertBad("line 2: wkt, character 12: a number is missing" + help, "wkt", "\"POLYGON ((0, 1 1))\"");
        assertBad(
                "line 2: wkt, character 29: a comma or ')' is missing" + help,
                "wkt",
                "\"POLYGON ((0 0, 1 0, 1 1, 0 0\"");
        assertBad(
                "line 2: wkt, character 28: there is more text after the end" + help,
                "wkt",
                "\"POLYGON ((0 0, 1 0, 1 1))  5\"");
        assertBad(
                "line 2: a hole lies outside the outer ring; the first ring must be the outer one",
                "wkt",
                "\"POLYGON ((0 0, 1 0, 1 1, 0 0), (5 5, 6 5, 6 6, 5 5))\"");
        assertBad("line 2: 'a' is no number; coordinates are wanted in um", "wkt", "\"POLYGON ((a 0, 1 0, 1 1))\"");
        assertBad(
                "line 2: has 3 values for 1 columns; put the wkt text in double quotes",
                "wkt",
                "POLYGON ((0 0, 1 0, 1 1))");
        String quotes = "line 2: double quotes do not match up: close each at the end of its value";
        assertBad(quotes, "wkt", "\"POLYGON ((0 0, 1 0, 1 1))");
        assertBad(quotes, "wkt", "\"POLYGON ((0 0, 1 0, 1 1))\" 5");
    }

    /** A quote that is never closed takes in what follows, but not without end. */
    @Test
    void aRowHasALimit() {
        byte[] start = (HEADER + "\n0,0,1,\"").getBytes(StandardCharsets.UTF_8);
        InputStream endless = new InputStream() {
            private long at;

            @Override
            public int read() {
                return at < start.length ? start[(int) at++] : '1';
            }

            @Override
            public int read(byte[] bytes, int from, int length) {
                if (at < start.length) {
                    bytes[from] = start[(int) at++];
                    return 1;
                }
                Arrays.fill(bytes, from, from + length, (byte) '1');
                return length;
            }
        };
        BadInputException e =
                assertThrows(BadInputException.class, () -> CsvReader.read(endless, "t.csv", DatabaseUnit.NANOMETRE));
        assertEquals("t.csv: has a row of more than 67108864 characters; is a double quote left open?", e.getMessage());
    }
}
