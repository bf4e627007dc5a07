package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Machines that lack what most have. */
class OddPlacesTest {
    @TempDir
    private Path folder;

    private record Outcome(int code, String err) {}

    /** Runs a shell line in which {@code $EVENDOSE} is the program. */
    private static Outcome shell(String line) throws IOException, InterruptedException {
        List<String> words = new ArrayList<>();
        Tool.java().forEach(w -> words.add("'" + w + "'"));
        ProcessBuilder builder =
                new ProcessBuilder("/bin/sh", "-c", line.replace("$EVENDOSE", String.join(" ", words)));
        builder.redirectOutput(ProcessBuilder.Redirect.DISCARD);
        Process process = builder.start();
        String err = new String(process.getErrorStream().readAllBytes(), StandardCharsets.UTF_8);
        return new Outcome(process.waitFor(), err);
    }

    @Test
    void closedStandardOutputIsTold() throws Exception {
        Outcome run = shell("$EVENDOSE psf si-100kv >&-");
        assertEquals(3, run.code(), run.err());
        assertTrue(run.err().contains("standard output cannot be written to"), run.err());
        assertEquals(1, run.err().lines().count(), run.err());
    }

    /** Without any font file and configuration, in a file system of its own. */
    @Test
    void missingFontsAreTold() throws Exception {
        Path fonts = Path.of("/usr/share/fonts");
        assumeTrue(Files.isDirectory(fonts), "skipped: no fonts to hide");
        assumeTrue(shell("unshare -m true").code() == 0, "skipped: no rights to hide fonts");
        Path none = Files.writeString(folder.resolve("none.conf"), "<?xml version=\"1.0\"?><fontconfig></fontconfig>");
        Path out = folder.resolve("out");
        Outcome run = shell("unshare -m sh -c \"mount -t tmpfs none " + fonts + "; FONTCONFIG_FILE=" + none
                + " $EVENDOSE psf si-100kv --out " + out + "\"");
        assertEquals(3, run.code(), run.err());
        assertTrue(run.err().contains("this Java finds no font"), run.err());
        assertEquals(1, run.err().lines().count(), run.err());
        assertFalse(Files.exists(out));
    }
}
