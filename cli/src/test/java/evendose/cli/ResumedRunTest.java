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
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Runs in tiles that are killed or interrupted go on from their last whole round, and give the same files. */
@Tag("slow")
class ResumedRunTest {
    private static final Path LAYOUT = Tool.testdata("layouts/cd-500nm.gds");

    @TempDir
    Path folder;

    private Path out;
    private Path unfinished;
    private Path log;

    @BeforeEach
    void folders() {
        assumeTrue(Files.isDirectory(Path.of("/proc/self")), "signals are those of Unix");
        out = folder.resolve("out");
        unfinished = folder.resolve("out.unfinished");
        log = folder.resolve("log.txt");
    }

    /** Waits for the results of a work in a process of its own, then sends it a signal. */
    private String endedAfter(String signal, int work) throws IOException, InterruptedException {
        List<String> command = new ArrayList<>(Tool.java("-XX:TieredStopAtLevel=1", "-Xmx256m"));
        command.addAll(List.of("correct", LAYOUT.toString(), "--layer", "1/0"));
        command.addAll(Tool.PSF);
        command.addAll(List.of("--tiles", "30", "--tolerance", "1e-7", "--threads", "1", "--out", out.toString()));
        Process process = new ProcessBuilder(command)
                .redirectErrorStream(true)
                .redirectOutput(log.toFile())
                .start();
        while (!Files.exists(unfinished.resolve("tile-results." + work))) {
            assertTrue(process.isAlive(), () -> "ended too early: " + log());
            Thread.sleep(1);
        }
        new ProcessBuilder("kill", "-" + signal, "" + process.pid()).start().waitFor();
        process.waitFor();
        return log();
    }

    private String log() {
        try {
            return Files.readString(log);
        } catch (IOException e) {
            return e.toString();
        }
    }

    private Tool resumed(Object... more) {
        List<Object> words = new ArrayList<>(List.of("correct", LAYOUT, "--layer", "1/0"));
        words.addAll(Tool.PSF);
        words.addAll(List.of("--tiles", "30", "--tolerance", "1e-7"));
        words.addAll(List.of(more));
        return Tool.run(words.toArray());
    }

    @Test
    void aKilledRunGoesOnToTheSameBytes() throws Exception {
        Path whole = folder.resolve("whole");
        resumed("--out", whole).ends(0);

        endedAfter("KILL", 3);
        assertFalse(Files.exists(out));
        long begun =
                Files.getLastModifiedTime(unfinished.resolve("tile-results.0")).toMillis();
        Tool other = resumed("--out", out, "--resume", "--max-factor", 2);
        assertEquals(2, other.code());
        assertTrue(
                other.err().contains("cannot be gone on with") && other.err().contains("--max-factor 2"), other.err());
        Tool anew = resumed("--out", out);
        assertEquals(3, anew.code());
        assertTrue(anew.err().contains("go on with it by --resume"), anew.err());
        assertEquals(
                begun,
                Files.getLastModifiedTime(unfinished.resolve("tile-results.0")).toMillis(),
                "all of it is still there");

        Tool run = resumed("--out", out, "--resume").ends(0);
        assertTrue(run.err().contains("going on with an interrupted run"), run.err());
        assertEquals(Tool.names(whole), Tool.names(out));
        for (String name : Tool.names(whole)) {
            assertEquals(Tool.lasting(whole.resolve(name)), Tool.lasting(out.resolve(name)), name);
        }
        assertFalse(Files.exists(unfinished), "what is written need not be gone on with");
        assertEquals(2, resumed("--out", out, "--resume").code());
    }

    @Test
    void anInterruptedRunTellsHowToGoOn() throws Exception {
        String told = endedAfter("INT", 2);
        assertTrue(told.contains("nothing was written; the same command with --resume goes on"), told);
        assertFalse(Files.exists(out));
        Tool run = resumed("--out", out, "--resume", "--threads", 3).ends(0);
        assertTrue(run.err().contains("going on with an interrupted run"), run.err());
        assertFalse(Files.exists(unfinished));
    }
}
