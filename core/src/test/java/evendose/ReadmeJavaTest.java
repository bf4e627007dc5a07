package evendose;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.DoseTableReader;
import evendose.correction.StoredDoses;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import javax.tools.ToolProvider;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The library's examples in README.md compile and run as they stand there, in a folder that holds a layout. */
class ReadmeJavaTest {
    private static final String CLASS_PATH = System.getProperty("java.class.path");

    @TempDir
    Path folder;

    private String readme;

    @BeforeEach
    void bringLayout() throws IOException {
        readme = Files.readString(TestData.file("../README.md"));
        Files.copy(TestData.file("layouts/cd-500nm.gds"), folder.resolve("chip.gds"));
    }

    private List<String> blocks(String language) {
        List<String> blocks = new ArrayList<>();
        Matcher block = Pattern.compile("(?ms)^```" + language + "\n(.*?)^```").matcher(readme);
        while (block.find()) {
            blocks.add(block.group(1));
        }
        return blocks;
    }

    private static String tool(String name) {
        return Path.of(System.getProperty("java.home"), "bin", name).toString();
    }

    /** Output of a process in the folder, which must end well. */
    private String run(String input, String... command) throws IOException, InterruptedException {
        Path in = Files.writeString(folder.resolve("in"), input);
        Path out = folder.resolve("out");
        Process process = new ProcessBuilder(command)
                .directory(folder.toFile())
                .redirectInput(in.toFile())
                .redirectErrorStream(true)
                .redirectOutput(out.toFile())
                .start();
        int code = process.waitFor();
        String text = Files.readString(out);
        assertEquals(0, code, text);
        return text;
    }

    /** The jar of the command line stands for what this test has on its class path. */
    private String[] printed(String start) {
        Matcher line = Pattern.compile("`(" + start + " cli/target/evendose\\.jar[^`]*)`")
                .matcher(readme);
        assertTrue(line.find(), start);
        String[] words = line.group(1).split(" ");
        words[0] = tool(words[0]);
        return Arrays.stream(words)
                .map(word -> word.equals("cli/target/evendose.jar") ? CLASS_PATH : word)
                .toArray(String[]::new);
    }

    @Test
    void exampleFileAndShellRun() throws IOException, InterruptedException {
        Files.writeString(folder.resolve("Example.java"), blocks("java").get(0));
        String out = run("", printed("java -cp"));
        assertTrue(out.matches("(?s)DoseTable\\[\\d+ pieces, .*, converged]\\s*"), out);
        StoredDoses doses = DoseTableReader.read(folder.resolve("doses.csv"));
        assertTrue(doses.pieces().size() > 100 && doses.factor(0) > 0.5 && doses.factor(0) < 2);

        String shell = run(blocks("jshell").get(0) + "/exit\n", printed("jshell --class-path"));
        assertFalse(shell.contains("Error"), shell);
        assertTrue(shell.contains("==> " + doses.factor(0)), shell);
    }

    @Test
    void everyOtherBlockRunsWithTheImportsOfTheExample() throws IOException, InterruptedException {
        List<String> blocks = blocks("java");
        assertEquals(2, blocks.size());
        String imports = blocks.get(0).substring(0, blocks.get(0).indexOf("class "));
        Path source = Files.writeString(
                folder.resolve("Snippet.java"),
                imports + "class Snippet { public static void main(String[] args) throws Exception {\n" + blocks.get(1)
                        + "}}\n");
        var compiler = ToolProvider.getSystemJavaCompiler();
        assertNotNull(compiler);
        assertEquals(
                0,
                compiler.run(
                        null,
                        null,
                        null,
                        "-Xlint:all",
                        "-Werror",
                        "-cp",
                        CLASS_PATH,
                        "-d",
                        folder.toString(),
                        source.toString()));
        String out = run("", tool("java"), "-cp", folder + java.io.File.pathSeparator + CLASS_PATH, "Snippet");
        Matcher line =
                Pattern.compile("(\\d\\.\\d{3}), (-?\\d+\\.\\d) nm off\\s*").matcher(out);
        assertTrue(line.matches(), out);
        // Narrow lines beside little else need nearly 1 + eta over what half a plane needs.
        assertEquals(1.6, Double.parseDouble(line.group(1)), 0.15);
        assertTrue(Math.abs(Double.parseDouble(line.group(2))) < 1, out);
    }
}
