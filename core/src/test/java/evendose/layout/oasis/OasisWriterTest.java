package evendose.layout.oasis;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.LayoutWriter;
import evendose.layout.Listing;
import evendose.layout.formats.LayoutFormat;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class OasisWriterTest {
    private final ByteArrayOutputStream bytes = new ByteArrayOutputStream();

    private OasisWriter begin(Layer layer) throws IOException {
        OasisWriter writer = new OasisWriter(bytes, "out.oas", DatabaseUnit.NANOMETRE);
        writer.beginCell("TOP");
        writer.layer(layer);
        return writer;
    }

    private Layout written() {
        Layout layout = Oasis.read(bytes.toByteArray());
        assertEquals(List.of(), layout.warnings());
        return layout;
    }

    /** The head and the end are the standard's, and the records in the block are those that are wanted. */
    @Test
    void theBytesAreTheFormats() throws IOException {
        try (OasisWriter writer = begin(new Layer(258, 7))) {
            writer.rectangle(-1, 2, 3, 4);
            writer.rectangle(-1, 8, 3, 10);
            writer.layer(new Layer(258, 8));
            writer.rectangle(5, 8, 7, 10);
            writer.trapezoid(false, 8, 10, 5, 9, 6, 9);
            writer.trapezoid(true, 5, 9, 8, 10, 8, 9);
        }
        Oasis records = new Oasis().uint(20).raw(0x7b).uint(258, 7, 4, 2).sint(-1, 2);
        records.uint(20).raw(0x08).sint(6);
        records.uint(20).raw(0xd2).uint(8, 2).sint(6);
        records.uint(24).raw(0x40).uint(4).sint(1);
        // The same box, standing: the left side ends 1 above the right one.
        records.uint(25).raw(0x80).sint(1);
        byte[] all = bytes.toByteArray();
        byte[] head = Oasis.file().cell("TOP").uint(16, 34, 0, records.size()).bytes();
        assertArrayEquals(head, java.util.Arrays.copyOf(all, head.length));
        Oasis whole = Oasis.file().cell("TOP").uint(16).block(records);
        assertEquals(Listing.of(Oasis.read(whole.endWithCrc())), Listing.of(written()));
    }

    @Test
    void trapezoidsAndTriangles() throws IOException {
        try (OasisWriter writer = begin(new Layer(1, 0))) {
            assertTrue(writer.trapezoid(false, 0, 10, 0, 20, 5, 15));
            assertTrue(writer.trapezoid(false, 0, 10, 7, 7, 5, 15));
            assertTrue(writer.trapezoid(false, 0, 10, 5, 15, 7, 7));
            assertTrue(writer.trapezoid(false, 0, 10, 0, 20, 30, 40));
            assertTrue(writer.trapezoid(true, 0, 10, 0, 20, 5, 15));
            assertTrue(writer.trapezoid(true, 0, 10, 5, 15, 7, 7));
            assertTrue(writer.trapezoid(true, 0, 10, 0, 20, 30, 40));
            assertFalse(writer.trapezoid(false, 10, 10, 0, 20, 5, 15));
            assertFalse(writer.trapezoid(false, 0, 10, 3, 3, 5, 5));
        }
        // A triangle keeps the repeated corner of the trapezoid that it is to the format.
        assertEquals(
                List.of(
                        "1/0 0 0 20 0 15 10 5 10",
                        "1/0 7 0 7 0 15 10 5 10",
                        "1/0 5 0 15 0 7 10 7 10",
                        "1/0 0 0 20 0 40 10 30 10",
                        "1/0 0 0 10 5 10 15 0 20",
                        "1/0 0 5 10 7 10 7 0 15",
                        "1/0 0 0 10 30 10 40 0 20"),
                Listing.of(written()));
    }

    /** More than a block holds, of all kinds, on several layers, in two cells, in both formats: the same polygons. */
    @Test
    void bothFormatsHoldTheSame() throws IOException {
        ByteArrayOutputStream gdsii = new ByteArrayOutputStream();
        for (LayoutFormat format : LayoutFormat.values()) {
            ByteArrayOutputStream out = format == LayoutFormat.OASIS ? bytes : gdsii;
            try (LayoutWriter writer = format.writer(out, "out", "LIB", DatabaseUnit.NANOMETRE)) {
                writer.beginCell("TOP");
                SplittableRandom random = new SplittableRandom(5);
                for (int i = 0; i < 60_000; i++) {
                    long x = random.nextInt(Integer.MIN_VALUE, Integer.MAX_VALUE - 5000);
                    long y = random.nextInt(Integer.MIN_VALUE, Integer.MAX_VALUE - 5000);
                    if (i == 20_000) {
                        writer.endCell();
                        writer.beginCell("SECOND");
                    }
                    writer.layer(new Layer(i / 10_000, i % 3));
                    if (i % 2 == 0) {
                        writer.rectangle(x, y, x + random.nextInt(1, 9), y + random.nextInt(1, 9));
                    } else if (i % 4 == 1) {
                        writer.trapezoid(true, x, x + 7, y, y + 30, y + random.nextInt(4), y + 30 + random.nextInt(4));
                    } else {
                        writer.trapezoid(
                                false, y, y + 7, x + random.nextInt(4), x + 30 + random.nextInt(4), x + 2, x + 31);
                    }
                }
            }
        }
        List<String> expected = Listing.of(
                evendose.layout.gdsii.GdsiiReader.read(new java.io.ByteArrayInputStream(gdsii.toByteArray()), "g"));
        assertEquals(60_000, expected.size());
        assertEquals(expected, Listing.of(written()));
        assertTrue(bytes.size() < gdsii.size() / 4, bytes.size() + " of " + gdsii.size());
    }

    /** Coordinates up to the limit of the scan line, beyond GDSII's. */
    @Test
    void largeCoordinates() throws IOException {
        long most = 1L << 42;
        try (OasisWriter writer = begin(new Layer(1, 0))) {
            writer.rectangle(-most, -most, most, most);
            BadInputException e = assertThrows(BadInputException.class, () -> writer.rectangle(0, 0, most + 1, 5));
            assertEquals(
                    "out.oas: the point (4398046511105, 5) dbu is beyond 4398046511104; use a coarser database unit or move"
                            + " the layout nearer to the origin",
                    e.getMessage());
        }
        assertEquals(1, Listing.of(written()).size());
    }

    @ParameterizedTest
    @ValueSource(doubles = {0.001, 0.0005, 0.1, 1e-6, 0.003, 0.0007, 1})
    void units(double um) throws IOException {
        new OasisWriter(bytes, "out.oas", new DatabaseUnit(um)).close();
        assertEquals(um, written().unit().um());
    }

    @Test
    void misuse() throws IOException {
        OasisWriter writer = new OasisWriter(bytes, "out.oas", DatabaseUnit.NANOMETRE);
        assertThrows(IllegalStateException.class, () -> writer.rectangle(0, 0, 1, 1));
        assertThrows(IllegalStateException.class, writer::endCell);
        assertThrows(IllegalArgumentException.class, () -> writer.beginCell(""));
        writer.beginCell("A");
        assertThrows(IllegalStateException.class, () -> writer.rectangle(0, 0, 1, 1));
        assertThrows(IllegalStateException.class, () -> writer.beginCell("B"));
        writer.layer(new Layer(0, 0));
        assertThrows(IllegalArgumentException.class, () -> writer.trapezoid(false, 0, 10, 5, 0, 0, 10));
    }
}
