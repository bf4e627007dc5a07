package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** 'correct' onto a disk that is too small, for each file of the result in turn. Needs the right to mount a tmpfs. */
class FullDiskTest {
    @TempDir
    Path parent;

    private Path disk;
    private Path layout;

    @BeforeEach
    void mount() throws IOException {
        StringBuilder table = new StringBuilder("x_min_um,y_min_um,x_max_um,y_max_um\n");
        for (int i = 0; i < 300; i++) {
            table.append(2 * i).append(",0,").append(2 * i + 1).append(",2\n");
        }
        layout = Files.writeString(parent.resolve("layout.csv"), table);
        disk = Files.createDirectory(parent.resolve("disk"));
        assumeTrue(
                run("mount", "-t", "tmpfs", "-o", "size=8m", "tmpfs", disk.toString()) == 0,
                "skipped: a small disk cannot be mounted here");
    }

    @AfterEach
    void unmount() throws IOException {
        run("umount", disk.toString());
    }

    private static int run(String... command) throws IOException {
        try {
            return new ProcessBuilder(command).redirectErrorStream(true).start().waitFor();
        } catch (IOException e) {
            return -1;
        } catch (InterruptedException e) {
            throw new IOException(e);
        }
    }

    private int correct(ByteArrayOutputStream err, String format, Path out) {
        return CommandLineTool.run(
                new String[] {
                    "correct",
                    layout.toString(),
                    "--alpha-um",
                    "0.02",
                    "--beta-um",
                    "9.5",
                    "--eta",
                    "0.6",
                    "--threads",
                    "2",
                    "--force",
                    "--format",
                    format,
                    "--out",
                    out.toString()
                },
                new PrintStream(new ByteArrayOutputStream(), true, StandardCharsets.UTF_8),
                new PrintStream(err, true, StandardCharsets.UTF_8));
    }

    @Test
    void oneClearLineAndNothingLeft() throws IOException {
        Path former = disk.resolve("former");
        assertEquals(0, correct(new ByteArrayOutputStream(), "gdsii", former));
        long needed = 0;
        try (Stream<Path> files = Files.list(former)) {
            for (Path file : files.toList()) {
                needed += (Files.size(file) + 4095) / 4096 * 4096;
            }
        }
        byte[] doses = Files.readAllBytes(former.resolve("doses.csv"));
        int refused = 0;
        for (long free = 0; free < needed; free += needed / 6) {
            try (Stream<Path> files = Files.list(disk)) {
                assertEquals(List.of(former), files.toList());
            }
            assertEquals(0, run("mount", "-o", "remount,size=" + (needed + free), disk.toString()));
            for (String target : new String[] {"former", "new"}) {
                ByteArrayOutputStream err = new ByteArrayOutputStream();
                int code = correct(err, target.equals("new") ? "oasis" : "gdsii", disk.resolve(target));
                String message = err.toString(StandardCharsets.UTF_8);
                if (code != 0) {
                    assertEquals(ExitCode.BAD_INPUT.number(), code, message);
                    assertTrue(message.contains("(No space left on device)"), message);
                    assertEquals(1, message.lines().count(), message);
                    assertFalse(Files.exists(disk.resolve("new")));
                    refused++;
                } else if (target.equals("new")) {
                    // OASIS is smaller; that it fits is fine.
                    assertEquals(0, run("rm", "-r", disk.resolve("new").toString()));
                }
            }
            assertEquals(new String(doses, StandardCharsets.US_ASCII), Files.readString(former.resolve("doses.csv")));
            try (Stream<Path> files = Files.list(former)) {
                assertEquals(5, files.count());
            }
        }
        assertTrue(refused >= 5, refused + " refused");
    }
}
