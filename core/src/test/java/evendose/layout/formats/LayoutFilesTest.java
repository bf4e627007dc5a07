package evendose.layout.formats;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import evendose.files.BadInputException;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layout;
import evendose.layout.Listing;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.stream.Stream;
import java.util.zip.GZIPOutputStream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class LayoutFilesTest {
    private static final String TABLE = "x_min_um,y_min_um,x_max_um,y_max_um\n0,0,1,1\n";

    @TempDir
    Path directory;

    private Path file(String name, byte[] bytes) throws IOException {
        return Files.write(directory.resolve(name), bytes);
    }

    private static byte[] gzip(byte[] bytes) throws IOException {
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        try (GZIPOutputStream gzip = new GZIPOutputStream(out)) {
            gzip.write(bytes);
        }
        return out.toByteArray();
    }

    private void assertBad(String message, Path file) {
        BadInputException e = assertThrows(BadInputException.class, () -> LayoutFiles.read(file));
        assertEquals(file + message, e.getMessage());
    }

    /** Names say nothing: the content decides. */
    @Test
    void contentDecides() throws IOException {
        byte[] gds = Files.readAllBytes(TestData.file("layouts/cd-500nm.gds"));
        byte[] table = TABLE.getBytes(StandardCharsets.UTF_8);
        List<String> expected = Listing.of(LayoutFiles.read(TestData.file("layouts/cd-500nm.gds")));
        assertEquals(498, expected.size());
        assertEquals(expected, Listing.of(LayoutFiles.read(file("a.csv", gds))));
        assertEquals(expected, Listing.of(LayoutFiles.read(file("b.gds", gzip(gds)))));
        assertEquals(List.of("1/0 0 0 1000 0 1000 1000 0 1000"), Listing.of(LayoutFiles.read(file("c.gds", table))));
        Path gzipped = file("d", gzip(table));
        assertEquals(
                List.of("1/0 0 0 2000 0 2000 2000 0 2000"),
                Listing.of(LayoutFiles.read(gzipped, new DatabaseUnit(0.0005))));
    }

    @Test
    void whatIsNoLayout() throws IOException {
        assertBad(": there is no such file", directory.resolve("none.gds"));
        assertBad(": is a directory; name a layout file in it", directory);
        assertBad(": the file is empty", file("empty.gds", new byte[0]));
        assertBad(
                ": is an OASIS file, which cannot be read yet; convert it to GDSII",
                TestData.file("layouts/grating-coupler.oas"));
        assertBad(
                ", byte 0: is no layout that can be read; GDSII and CSV files can",
                file("picture.gds", new byte[] {(byte) 0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n', 0, 0}));
        assertBad(
                ", line 1: is no header row of a layout table; begin with x_min_um,y_min_um,x_max_um,y_max_um or wkt",
                file("letter.txt", "Dear reader,\nhello\n".getBytes(StandardCharsets.UTF_8)));
    }

    @Test
    void damagedCompression() throws IOException {
        byte[] gds = gzip(Files.readAllBytes(TestData.file("layouts/cd-500nm.gds")));
        Path cut = file("cut.gds.gz", Arrays.copyOf(gds, gds.length / 2));
        BadInputException e = assertThrows(BadInputException.class, () -> LayoutFiles.read(cut));
        assertTrue(e.getMessage().endsWith("it was cut short, get a complete copy"), e.getMessage());
        byte[] head = Arrays.copyOf(gds, 5);
        assertBad(
                ": the compressed data end too early; the file was cut short, get a complete copy",
                file("head.gz", head));
        byte[] broken = gds.clone();
        Arrays.fill(broken, 100, 400, (byte) 0x55);
        Path damaged = file("broken.gz", broken);
        assertThrows(BadInputException.class, () -> LayoutFiles.read(damaged));
    }

    /** None of the real layouts needs a warning. */
    @Test
    void realLayoutsAreSound() throws IOException {
        try (Stream<Path> files = Files.list(TestData.file("layouts"))) {
            List<Path> gds = files.filter(f -> f.toString().endsWith(".gds")).toList();
            assertEquals(9, gds.size());
            for (Path file : gds) {
                Layout layout = LayoutFiles.read(file);
                assertEquals(List.of(), layout.warnings(), file.toString());
            }
        }
        assertEquals(
                12,
                LayoutFiles.read(TestData.file("layouts/odd-records.gds"))
                        .topCells()
                        .size());
        assertEquals(
                0.0005,
                LayoutFiles.read(TestData.file("layouts/odd-records.gds"))
                        .unit()
                        .um());
    }
}
