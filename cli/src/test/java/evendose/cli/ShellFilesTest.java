package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import picocli.CommandLine;
import picocli.CommandLine.Model.OptionSpec;

class ShellFilesTest {
    @TempDir
    Path folder;

    @BeforeEach
    void write() throws IOException {
        ShellFiles.write(folder, "1.2.3");
    }

    private record Ended(int code, String out) {}

    /** Runs a program with nothing to read and what it says of faults among its output. */
    private static Ended run(String... words) throws IOException, InterruptedException {
        ProcessBuilder builder = new ProcessBuilder(words).redirectErrorStream(true);
        builder.environment().putAll(java.util.Map.of("LC_ALL", "C.UTF-8", "MANWIDTH", "200", "MANPAGER", "cat"));
        Process process = builder.start();
        process.getOutputStream().close();
        String out = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        return new Ended(process.waitFor(), out);
    }

    private static boolean isThere(String program) {
        return Stream.of(System.getenv("PATH").split(":"))
                .anyMatch(place -> Files.isExecutable(Path.of(place, program)));
    }

    private Path page(String name) {
        return folder.resolve("man/man1").resolve(name + ".1");
    }

    @Test
    void everyCommandHasAPageWithAllItsOptions() throws IOException {
        List<CommandLine> commands = Stream.concat(
                        CommandLineTool.commandLine().getSubcommands().values().stream(),
                        CommandLineTool.commandLine()
                                .getSubcommands()
                                .get("calibrate")
                                .getSubcommands()
                                .values()
                                .stream())
                .toList();
        assertEquals(10, commands.size());
        for (CommandLine command : commands) {
            String text = Files.readString(page(command.getCommandSpec().qualifiedName("-")))
                    .replace("\\-", "-");
            for (OptionSpec option : command.getCommandSpec().options()) {
                assertTrue(
                        text.lines()
                                .anyMatch(line -> line.startsWith(".B ")
                                        && line.contains(option.longestName().substring(2))),
                        option + " of " + command.getCommandName());
            }
            assertTrue(text.startsWith(".TH \"EVENDOSE-"), text);
            assertTrue(text.contains("\"evendose 1.2.3\""), text);
            assertTrue(text.chars().allMatch(c -> c < 128), "plain ASCII is shown right everywhere");
        }
        assertEquals(11, Tool.names(folder.resolve("man/man1")).size());
    }

    /** What man makes of it, examples as they are typed. */
    @Test
    void manShowsThePages() throws IOException, InterruptedException {
        assumeTrue(isThere("man"), "man is not installed");
        for (String name : Tool.names(folder.resolve("man/man1"))) {
            Ended shown = run(
                    "man",
                    "--warnings",
                    "-l",
                    folder.resolve("man/man1").resolve(name).toString());
            assertEquals(0, shown.code(), shown.out());
            assertTrue(!shown.out().contains("warning:"), shown.out());
            assertTrue(shown.out().contains("evendose 1.2.3"), shown.out());
        }
        String correct = run("man", "-l", page("evendose-correct").toString()).out();
        assertTrue(correct.contains("NAME\n       evendose-correct - find a dose for every piece"), correct);
        assertTrue(
                correct.contains("evendose correct testdata/layouts/cd-500nm.gds --layer 1/0 --psf si-50kv \\\n"),
                correct);
        assertTrue(correct.contains("evendose correct LAYOUT [options]"), correct);
    }

    private List<String> completed(String... words) throws IOException, InterruptedException {
        String line = "'" + String.join("' '", words) + "'";
        Ended ended = run(
                "bash",
                "-c",
                // This builtin of bash is for its own calls only.
                "compopt() { :; }; source '" + folder.resolve("bash-completion/completions/evendose")
                        + "'; COMP_WORDS=(" + line
                        + "); COMP_CWORD=" + (words.length - 1)
                        + "; _complete_evendose evendose; printf '%s\\n' \"${COMPREPLY[@]}\"");
        assertEquals(0, ended.code(), ended.out());
        return ended.out().lines().toList();
    }

    @Test
    void bashCompletesCommandsOptionsAndValues() throws IOException, InterruptedException {
        assumeTrue(isThere("bash"), "bash is not installed");
        assertEquals(List.of("calibrate"), completed("evendose", "cal"));
        assertEquals(List.of("--layer"), completed("evendose", "correct", "--lay"));
        assertEquals(
                List.of("--level-spacing", "--level-step-percent", "--level-study", "--levels"),
                completed("evendose", "correct", "--lev").stream().sorted().toList());
        assertEquals(
                List.of("--settle-field-s", "--settle-piece-us"),
                completed("evendose", "plan", "--settle").stream().sorted().toList());
        assertEquals(List.of("pattern"), completed("evendose", "calibrate", "pat"));
    }
}
