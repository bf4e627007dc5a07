package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;

/** Runs the command line inside the test and keeps what it printed. */
record Tool(int code, String out, String err) {
    /** A point spread function of 50 kV. */
    static final List<String> PSF = List.of("--alpha-um", "0.02", "--beta-um", "9.5", "--eta", "0.6");

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

    /** Runs 'correct' with the demo's stairs of four depths. */
    static Tool stairs(Path out, String... psf) {
        List<Object> words = new ArrayList<>(List.of(
                "correct", testdata("demo/tidepool-stairs.csv"), "--contrast", testdata("demo/tidepool-contrast.csv")));
        for (String depth : List.of("10/0=100", "11/0=200", "12/0=300", "13/0=400")) {
            words.addAll(List.of("--depth", depth));
        }
        words.addAll(List.of("--base-dose-uc-per-cm2", 350, "--out", out));
        words.addAll(List.of(psf));
        return run(words.toArray());
    }

    /** Runs 'correct' with {@link #PSF}. */
    static Tool correct(Object layout, Object... more) {
        List<Object> words = new ArrayList<>(List.of("correct", layout));
        words.addAll(PSF);
        words.addAll(List.of(more));
        return run(words.toArray());
    }

    /** Asserts how it ended. */
    Tool ends(int expected) {
        assertEquals(expected, code, () -> err + out);
        return this;
    }

    /** The command that runs the command line in a Java of its own, up to the command line's own words. */
    static List<String> java(String... options) {
        List<String> command = new ArrayList<>();
        command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
        command.addAll(List.of(options));
        command.addAll(List.of("-cp", System.getProperty("java.class.path"), Main.class.getName()));
        return command;
    }

    /** Names of the files in a folder, in their order. */
    /** What a file holds but for how long stages took and, in a report, the command that repeats the run. */
    static String lasting(Path file) throws IOException {
        return new String(Files.readAllBytes(file), StandardCharsets.ISO_8859_1)
                .replaceAll("(?s)<section id=\"repeat\">.*", "")
                .replaceAll("(?s)\"seconds_by_stage\" : \\{.*?\\}", "");
    }

    static List<String> names(Path folder) throws IOException {
        try (Stream<Path> files = Files.list(folder)) {
            return files.map(f -> f.getFileName().toString()).sorted().toList();
        }
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
