package evendose.cli;

import java.io.ByteArrayOutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;

/** Runs the command line inside the test and keeps what it printed. */
record Tool(int code, String out, String err) {
    static Tool run(Object... arguments) {
        String[] words = new String[arguments.length];
        for (int i = 0; i < words.length; i++) {
            words[i] = String.valueOf(arguments[i]);
        }
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        ByteArrayOutputStream err = new ByteArrayOutputStream();
        int code = CommandLineTool.run(
                words,
                new PrintStream(out, true, StandardCharsets.UTF_8),
                new PrintStream(err, true, StandardCharsets.UTF_8));
        return new Tool(code, out.toString(StandardCharsets.UTF_8), err.toString(StandardCharsets.UTF_8));
    }

    /** A file under the project's testdata. */
    static Path testdata(String relative) {
        Path here = Path.of("").toAbsolutePath();
        while (!Files.isDirectory(here.resolve("testdata"))) {
            here = here.getParent();
        }
        return here.resolve("testdata").resolve(relative);
    }
}
