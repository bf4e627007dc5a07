package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTimeoutPreemptively;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.DataOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** A GDSII file of a few hundred bytes with 1.15e18 squares: what is done to it in a window depends on the window only. */
class HugeArrayTest {
    /** Most columns and rows that GDSII's signed numbers hold. */
    private static final int MOST = 32_767;

    @TempDir
    Path folder;

    private final ByteArrayOutputStream bytes = new ByteArrayOutputStream();
    private final DataOutputStream data = new DataOutputStream(bytes);

    private void record(int type, int dataType, byte[] content) throws IOException {
        data.writeShort(4 + content.length);
        data.writeByte(type);
        data.writeByte(dataType);
        data.write(content);
    }

    private void shorts(int type, int... values) throws IOException {
        ByteArrayOutputStream content = new ByteArrayOutputStream();
        for (int value : values) {
            new DataOutputStream(content).writeShort(value);
        }
        record(type, 2, content.toByteArray());
    }

    private void points(int... values) throws IOException {
        ByteArrayOutputStream content = new ByteArrayOutputStream();
        for (int value : values) {
            new DataOutputStream(content).writeInt(value);
        }
        record(0x10, 3, content.toByteArray());
    }

    private void cell(String name) throws IOException {
        shorts(0x05, new int[12]);
        record(0x06, 6, name.getBytes(StandardCharsets.US_ASCII));
    }

    private void array(String name, int step) throws IOException {
        record(0x0b, 0, new byte[0]);
        record(0x12, 6, name.getBytes(StandardCharsets.US_ASCII));
        shorts(0x13, MOST, MOST);
        points(0, 0, step * MOST, 0, 0, step * MOST);
        record(0x11, 0, new byte[0]);
        record(0x07, 0, new byte[0]);
    }

    /** Squares of 1 um every 2 um over 2,147 m: an array of arrays, placed a thousand times as large. */
    private Path file() throws IOException {
        shorts(0x00, 600);
        shorts(0x01, new int[12]);
        record(0x02, 6, "LIB ".getBytes(StandardCharsets.US_ASCII));
        // 0.001 and 1e-9 in the format's own real numbers.
        ByteArrayOutputStream units = new ByteArrayOutputStream();
        new DataOutputStream(units).writeLong(0x3e4189374bc6a7f0L);
        new DataOutputStream(units).writeLong(0x3944b82fa09b5a54L);
        record(0x03, 5, units.toByteArray());
        cell("SQUARE");
        record(0x08, 0, new byte[0]);
        shorts(0x0d, 1);
        shorts(0x0e, 0);
        points(0, 0, 1, 0, 1, 1, 0, 1, 0, 0);
        record(0x11, 0, new byte[0]);
        record(0x07, 0, new byte[0]);
        cell("ROWS");
        array("SQUARE", 2);
        cell("FIELDS");
        array("ROWS", 2 * MOST);
        cell("CHIP");
        record(0x0a, 0, new byte[0]);
        record(0x12, 6, "FIELDS".getBytes(StandardCharsets.US_ASCII));
        shorts(0x1a, 0);
        ByteArrayOutputStream magnification = new ByteArrayOutputStream();
        // Sixteen to the power 0x43 - 0x40, times the fraction 0x3e8 / 16^3: 1000.
        new DataOutputStream(magnification).writeLong(0x433e800000000000L);
        record(0x1b, 5, magnification.toByteArray());
        points(0, 0);
        record(0x11, 0, new byte[0]);
        record(0x07, 0, new byte[0]);
        record(0x04, 0, new byte[0]);
        return Files.write(folder.resolve("field.gds"), bytes.toByteArray());
    }

    /** The squares of the window and 20 um around it, one by one. */
    private Path same(int left, int bottom) throws IOException {
        StringBuilder table = new StringBuilder("x_min_um,y_min_um,x_max_um,y_max_um,layer\n");
        for (int x = left - 20; x <= left + 30; x += 2) {
            for (int y = bottom - 20; y <= bottom + 30; y += 2) {
                table.append(x).append(',').append(y).append(',');
                table.append(x + 1).append(',').append(y + 1).append(",1\n");
            }
        }
        return Files.writeString(folder.resolve("same.csv"), table);
    }

    private Tool correct(Path layout, Object... more) {
        List<Object> arguments = new ArrayList<>(List.of("correct", layout));
        arguments.addAll(List.of("--alpha-um", 0.03, "--beta-um", 2, "--eta", 0.6, "--quiet", "--no-report"));
        arguments.addAll(List.of(more));
        return Tool.run(arguments.toArray());
    }

    @Test
    void theWindowAloneCounts() throws IOException {
        Path field = file();
        // Where four of the inner arrays meet, 2 m from the origin.
        int left = 30 * 2 * MOST - 4;
        int bottom = 15 * 2 * MOST - 6;
        String window = left + "," + bottom + "," + (left + 10) + "," + (bottom + 10);
        Tool here = assertTimeoutPreemptively(
                Duration.ofSeconds(30), () -> correct(field, "--window", window, "--out", folder.resolve("here")));
        assertEquals(0, here.code(), here.err());
        assertTrue(here.out().contains("25 shapes"), here.out());
        Tool plain = correct(same(left, bottom), "--window", window, "--out", folder.resolve("plain"));
        assertEquals(0, plain.code(), plain.err());
        assertEquals(
                Files.readString(folder.resolve("plain/doses.csv")),
                Files.readString(folder.resolve("here/doses.csv")));
    }

    @Test
    void withoutAWindowItIsRefusedAtOnce() throws IOException {
        Path field = file();
        Tool tool =
                assertTimeoutPreemptively(Duration.ofSeconds(30), () -> correct(field, "--out", folder.resolve("out")));
        assertEquals(4, tool.code());
        assertTrue(tool.err().contains("flattens to 1,152,780,773,560,811,520 polygons"), tool.err());
        assertTrue(tool.err().contains("--window"), tool.err());
    }
}
