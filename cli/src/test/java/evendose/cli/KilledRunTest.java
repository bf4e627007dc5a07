package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.OutputFolder;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/**
 * Runs of 'correct' in processes of their own, killed at random moments: the output folder then holds either the former result
 * or the new one, complete, and the next run works.
 *
 * <p>A few kills by default; the full number with {@code mvn -pl core,cli test -Dtest=KilledRunTest
 * -Dsurefire.failIfNoSpecifiedTests=false -Devendose.kills=200}.
 */
@Tag("slow")
class KilledRunTest {
    private static final int KILLS = Integer.getInteger("evendose.kills", 4);
    private static final String[] FILES = {
        "corrected-levels.lyp", "corrected.gds", "doses.csv", "levels.csv", "report.html", "summary.json"
    };

    @TempDir
    Path parent;

    private Path layout;
    private Path out;

    @BeforeEach
    void layout() throws IOException {
        StringBuilder table = new StringBuilder("x_min_um,y_min_um,x_max_um,y_max_um\n");
        for (int i = 0; i < 200; i++) {
            table.append(2 * (i % 20)).append(',').append(3 * (i / 20)).append(',');
            table.append(2 * (i % 20) + 1).append(',').append(3 * (i / 20) + 2).append('\n');
        }
        layout = Files.writeString(parent.resolve("layout.csv"), table);
        out = parent.resolve("out");
    }

    /** A run whose result tells its number: by the base dose. */
    private Process start(int number) throws IOException {
        List<String> command = Tool.java("-XX:TieredStopAtLevel=1", "-Xmx256m");
        command.addAll(List.of("correct", layout.toString()));
        command.addAll(Tool.PSF);
        command.addAll(List.of("--threads", "1", "--force"));
        command.addAll(List.of("--base-dose-uc-per-cm2", "" + (100 + number), "--out", out.toString()));
        return new ProcessBuilder(command)
                .redirectErrorStream(true)
                .redirectOutput(parent.resolve("log.txt").toFile())
                .start();
    }

    private void finish(int number) throws IOException, InterruptedException {
        Process process = start(number);
        assertTrue(process.waitFor(120, TimeUnit.SECONDS));
        assertEquals(0, process.exitValue(), () -> log());
    }

    private String log() {
        try {
            return Files.readString(parent.resolve("log.txt"));
        } catch (IOException e) {
            return e.toString();
        }
    }

    /** The result's files and what stands for their contents. */
    private Map<String, String> result() throws IOException {
        Map<String, String> files = new TreeMap<>();
        for (String name : FILES) {
            Path file = out.resolve(name);
            if (Files.exists(file)) {
                String text = Files.readString(file, StandardCharsets.ISO_8859_1);
                // Times differ from run to run.
                String same =
                        text.replaceAll("(?s)\"seconds.*?\\}", "").replaceAll("<th scope=\"row\">time</th>.*", "");
                files.put(name, same.length() + " characters, hash " + same.hashCode());
            }
        }
        return files;
    }

    @Test
    void theFolderHoldsOneWholeResult() throws IOException, InterruptedException {
        SplittableRandom random = new SplittableRandom(KILLS);
        Map<Integer, Map<String, String>> whole = new HashMap<>();
        long nanos = 0;
        for (int number = 0; number < 2; number++) {
            long before = System.nanoTime();
            finish(number);
            nanos = System.nanoTime() - before;
            whole.put(number, result());
            assertEquals(FILES.length, result().size());
        }
        Files.writeString(out.resolve("mine.txt"), "keep");
        int now = 1;
        int[] outcomes = new int[3];
        for (int kill = 0; kill < KILLS; kill++) {
            int next = 1 - now;
            Process process = start(next);
            if (kill % 2 == 0) {
                process.waitFor(random.nextLong(nanos * 5 / 4), TimeUnit.NANOSECONDS);
            } else {
                awaitLastFile(process);
                long until = System.nanoTime() + random.nextLong(3_000_000);
                while (System.nanoTime() < until) {
                    Thread.onSpinWait();
                }
            }
            process.destroyForcibly().waitFor();
            boolean journal = Files.exists(out.resolve(OutputFolder.JOURNAL));
            if (journal) {
                outcomes[2]++;
                OutputFolder.settle(out);
                assertEquals(whole.get(next), result(), "kill " + kill);
            }
            boolean done = result().equals(whole.get(next));
            assertEquals(whole.get(done ? next : now), result(), "kill " + kill);
            assertEquals("keep", Files.readString(out.resolve("mine.txt")));
            outcomes[done ? 1 : 0]++;
            now = done ? next : now;
        }
        System.out.printf(
                "%d runs killed: %d left the former result, %d the new one, %d of these by the journal%n",
                KILLS, outcomes[0], outcomes[1], outcomes[2]);
        // A run that was killed in its first moments holds no lock yet; it counts as living for a minute.
        try (Stream<Path> files = Files.list(out)) {
            for (Path file : files.filter(Files::isDirectory).toList()) {
                Files.setLastModifiedTime(file, FileTime.fromMillis(System.currentTimeMillis() - 100_000));
            }
        }
        finish(1 - now);
        assertEquals(whole.get(1 - now), result());
        // Nothing of the killed runs is left.
        try (Stream<Path> files = Files.list(out)) {
            assertEquals(FILES.length + 1, files.count());
        }
    }

    /** Into a folder that does not exist: it appears with the whole result, or not at all. */
    @Test
    void aNewFolderAppearsWhole() throws IOException, InterruptedException {
        long before = System.nanoTime();
        finish(0);
        long nanos = System.nanoTime() - before;
        Map<String, String> whole = result();
        SplittableRandom random = new SplittableRandom(-KILLS);
        for (int kill = 0; kill < KILLS / 2; kill++) {
            delete(out);
            Process process = start(0);
            process.waitFor(random.nextLong(nanos * 5 / 4), TimeUnit.NANOSECONDS);
            process.destroyForcibly().waitFor();
            if (Files.exists(out)) {
                assertEquals(whole, result(), "kill " + kill);
            }
        }
        finish(0);
        assertEquals(whole, result());
        try (Stream<Path> files = Files.list(parent)) {
            assertEquals(3, files.count(), "layout, log and result");
        }
    }

    /** Waits until the last file of the result is being written. */
    private void awaitLastFile(Process process) throws IOException {
        while (process.isAlive()) {
            try (Stream<Path> folders = Files.list(out)) {
                if (folders.anyMatch(f -> Files.exists(f.resolve("summary.json")))) {
                    return;
                }
            } catch (NoSuchFileException e) {
                return;
            }
        }
    }

    private static void delete(Path folder) throws IOException {
        if (Files.exists(folder)) {
            try (Stream<Path> files = Files.list(folder)) {
                for (Path file : files.toList()) {
                    Files.delete(file);
                }
            }
            Files.delete(folder);
        }
    }
}
