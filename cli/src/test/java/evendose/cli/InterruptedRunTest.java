package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** Runs of 'correct' in processes of their own that are told to end, as by Ctrl-C: they do, and nothing of them is left. */
@Tag("slow")
class InterruptedRunTest {
    private static final String MESSAGE = "evendose: interrupted; nothing was written\n";

    /** Far longer than it takes. */
    private static final long PATIENCE_SECONDS = 60;

    @TempDir
    Path folder;

    private Path parent;
    private Path out;
    private Path log;

    @BeforeEach
    void folders() throws IOException {
        assumeTrue(Files.isDirectory(Path.of("/proc/self")), "signals are those of Unix");
        parent = Files.createDirectory(folder.resolve("results"));
        out = parent.resolve("out");
        log = folder.resolve("log.txt");
    }

    private Process start(String heap, List<String> program, Path layout, String... more) throws IOException {
        List<String> command = new ArrayList<>(
                List.of(Path.of(System.getProperty("java.home"), "bin", "java").toString(), heap));
        command.addAll(List.of("-XX:TieredStopAtLevel=1", "-cp", System.getProperty("java.class.path")));
        command.addAll(program);
        command.addAll(List.of("correct", layout.toString(), "--psf", "si-50kv", "--threads", "1", "--out", out + ""));
        command.addAll(List.of(more));
        return new ProcessBuilder(command)
                .redirectErrorStream(true)
                .redirectOutput(log.toFile())
                .start();
    }

    private static void signal(String name, Process process) throws IOException, InterruptedException {
        Process kill = new ProcessBuilder("kill", "-" + name, "" + process.pid())
                .inheritIO()
                .start();
        assertEquals(0, kill.waitFor());
    }

    private int end(Process process) throws InterruptedException {
        try {
            assertTrue(process.waitFor(PATIENCE_SECONDS, TimeUnit.SECONDS), "the process lives on");
        } finally {
            process.destroyForcibly();
        }
        return process.exitValue();
    }

    private interface Condition {
        boolean holds() throws IOException;
    }

    private void await(Process process, Condition condition) throws IOException, InterruptedException {
        while (!condition.holds()) {
            assertTrue(process.isAlive(), () -> log());
            Thread.sleep(1);
        }
    }

    private String log() {
        try {
            return Files.readString(log);
        } catch (IOException e) {
            return e.toString();
        }
    }

    /** All files and folders beside and in the output, and what is in them. */
    private Map<String, String> everything() throws IOException {
        Map<String, String> files = new TreeMap<>();
        try (Stream<Path> paths = Files.walk(parent)) {
            for (Path path : paths.toList()) {
                String name = parent.relativize(path).toString();
                files.put(name, Files.isDirectory(path) ? "folder" : Files.readString(path));
            }
        }
        return files;
    }

    private Path layout() throws IOException {
        StringBuilder table = new StringBuilder("x_min_um,y_min_um,x_max_um,y_max_um\n");
        for (int i = 0; i < 5000; i++) {
            table.append(2 * (i % 100)).append(',').append(3 * (i / 100)).append(',');
            table.append(2 * (i % 100) + 1)
                    .append(',')
                    .append(3 * (i / 100) + 2)
                    .append('\n');
        }
        return Files.writeString(folder.resolve("layout.csv"), table);
    }

    @ParameterizedTest
    @CsvSource({
        "INT, 130, evendose.layout.csv.CsvReader",
        "INT, 130, evendose.correction.Solver",
        "INT, 130, evendose.correction.DoseTableCsv",
        "INT, 130, evendose.report.ReportPage",
        "TERM, 143, evendose.layout.csv.CsvReader",
        "TERM, 143, evendose.correction.Solver",
        "TERM, 143, evendose.correction.DoseTableCsv"
    })
    void theFormerResultStaysAsItIs(String signal, int code, String at) throws IOException, InterruptedException {
        Path layout = layout();
        Files.createDirectory(out);
        for (String name : List.of("doses.csv", "corrected.gds", "corrected.oas", "summary.json", "mine.txt")) {
            Files.writeString(out.resolve(name), "former " + name);
        }
        Map<String, String> before = everything();
        Path seen = folder.resolve("seen");
        Process process = start("-Xmx256m", List.of(RunUntil.class.getName(), at, seen.toString()), layout, "--force");
        await(process, () -> Files.exists(seen));
        signal(signal, process);
        assertEquals(code, end(process), () -> log());
        assertEquals(before, everything());
        assertEquals(MESSAGE, log());
    }

    @ParameterizedTest
    @ValueSource(strings = {"evendose.layout.csv.CsvReader", "evendose.correction.DoseTableCsv"})
    void noFolderAppears(String at) throws IOException, InterruptedException {
        Path seen = folder.resolve("seen");
        Process process = start("-Xmx256m", List.of(RunUntil.class.getName(), at, seen.toString()), layout());
        await(process, () -> Files.exists(seen));
        signal("INT", process);
        assertEquals(130, end(process), () -> log());
        assertEquals(Map.of("", "folder"), everything());
        assertEquals(MESSAGE, log());
    }

    /** A run that began again in a Java with more memory: only the first process is told to end. */
    @ParameterizedTest
    @CsvSource({"INT, 130", "TERM, 143", "KILL, 137"})
    void bothProcessesEnd(String signal, int code) throws Exception {
        Path layout = Tool.testdata("layouts/pad-arrays.gds");
        Process first =
                start("-Xmx80m", List.of(Main.class.getName()), layout, "--layer", "19/0", "--no-report", "--quiet");
        ProcessHandle second = null;
        try {
            await(first, () -> first.children().findAny().isPresent());
            second = first.children().findAny().orElseThrow();
            await(first, () -> everything().size() > 1);
            signal(signal, first);
            assertEquals(code, end(first), () -> log());
            if (!signal.equals("KILL")) {
                assertFalse(second.isAlive());
            }
            second.onExit().get(PATIENCE_SECONDS, TimeUnit.SECONDS);
        } finally {
            if (second != null) {
                second.destroyForcibly();
            }
        }
        assertEquals(Map.of("", "folder"), everything());
        assertEquals(MESSAGE, log());
    }
}
