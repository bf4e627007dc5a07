package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Runs the tool in a Java of its own with a small heap, on an array of 134,940 rectangles. */
class HeapTest {
    @TempDir
    Path folder;

    private String run(int code, List<String> java) throws IOException, InterruptedException {
        List<String> command = Tool.java(java.toArray(String[]::new));
        command.addAll(List.of(
                "correct",
                Tool.testdata("layouts/pad-arrays.gds").toString(),
                "--layer",
                "19/0",
                "--psf",
                "si-50kv",
                "--no-report",
                "--out",
                folder.resolve("out").toString()));
        Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
        String text = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertEquals(code, process.waitFor(), text);
        return text;
    }

    @Test
    void aRunThatNeedsMoreThanItsHeapBeginsAgainWithMore() throws Exception {
        String text = run(0, List.of("-Xmx80m"));
        assertTrue(text.contains("134,940 shapes"), text);
        assertTrue(Files.exists(folder.resolve("out/doses.csv")));
    }

    @Test
    void whereThatIsNotPossibleTheNeedIsTold() throws Exception {
        String text = run(
                4,
                List.of("-Xmx80m", "-Devendose.again=" + ProcessHandle.current().pid()));
        assertTrue(text.contains("needs about 0.2 GB of memory"), text);
        assertTrue(text.contains("-Xmx"), text);
        assertFalse(Files.exists(folder.resolve("out")));
    }
}
