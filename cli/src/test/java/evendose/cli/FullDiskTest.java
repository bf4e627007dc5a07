package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
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

    private Tool correct(String format, Path out) {
        return Tool.correct(layout, "--threads", "2", "--force", "--format", format, "--out", out);
    }

    @Test
    void oneClearLineAndNothingLeft() throws IOException {
        Path former = disk.resolve("former");
        correct("gdsii", former).ends(0);
        long needed = 0;
        for (String name : Tool.names(former)) {
            needed += (Files.size(former.resolve(name)) + 4095) / 4096 * 4096;
        }
        byte[] doses = Files.readAllBytes(former.resolve("doses.csv"));
        int refused = 0;
        for (long free = 0; free < needed; free += needed / 6) {
            assertEquals(List.of("former"), Tool.names(disk));
            assertEquals(0, run("mount", "-o", "remount,size=" + (needed + free), disk.toString()));
            for (String target : new String[] {"former", "new"}) {
                Tool tool = correct(target.equals("new") ? "oasis" : "gdsii", disk.resolve(target));
                String message = tool.err();
                if (tool.code() != 0) {
                    tool.ends(ExitCode.BAD_INPUT.number());
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
            assertEquals(6, Tool.names(former).size());
        }
        assertTrue(refused >= 5, refused + " refused");
    }
}
