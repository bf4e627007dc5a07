package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What is printed in README.md and in help texts works as it stands, in an empty folder that has nothing but testdata. */
class PrintedCommandsTest {
    /** Commands and options, not a whole line: {@code evendose correct --help} in a sentence counts, {@code evendose psf} not. */
    private static final Pattern INLINE = Pattern.compile("`(evendose [a-z ]+[^`]* --[^`]*)`");

    private static final Pattern WORD = Pattern.compile("\"([^\"]*)\"|(\\S+)");
    private static final Pattern OPTION = Pattern.compile("(?<![\\w-])--[a-z][a-z0-9-]*[a-z0-9]");

    /** Commands in the order in which their examples build on each other. */
    private static final List<List<String>> HELP = List.of(
            List.of(),
            List.of("correct"),
            List.of("verify"),
            List.of("map"),
            List.of("equalise"),
            List.of("plan"),
            List.of("calibrate"),
            List.of("calibrate", "pattern"),
            List.of("calibrate", "fit"),
            List.of("scatter"),
            List.of("psf"));

    @TempDir
    Path folder;

    private static String help(List<String> command) {
        List<Object> words = new ArrayList<>(command);
        words.add("--help");
        return Tool.run(words.toArray()).ends(0).out();
    }

    /** The commands in the indented lines of a text, and in its sentences, with a line that ends in a backslash going on. */
    private static List<String> commands(String text) {
        String joined = text.replaceAll("\\\\\n +", "");
        List<String> commands = new ArrayList<>();
        for (String line : joined.split("\n")) {
            String start = line.stripLeading();
            if (line.startsWith("  ") && start.startsWith("evendose ") && !start.contains(" [-")) {
                commands.add(start);
            } else if (line.startsWith("    ") && start.contains("evendose.jar ")) {
                commands.add("evendose " + start.split("evendose\\.jar ")[1]);
            }
        }
        // Sentences break inside of commands.
        Matcher inline = INLINE.matcher(joined.replace('\n', ' '));
        while (inline.find()) {
            commands.add(inline.group(1));
        }
        return commands;
    }

    /** What the shell would hand over: quoted words whole, comments not. */
    private static String words(String command) {
        List<String> words = new ArrayList<>();
        Matcher word = WORD.matcher(command.replaceAll(" #.*", "").substring("evendose ".length()));
        while (word.find()) {
            words.add(word.group(1) == null ? word.group(2) : word.group(1));
        }
        if (words.get(0).equals("scatter") && words.contains("--energy-kev")) {
            // The only thing that is not as printed: 100,000 electrons take too long for a test.
            words.addAll(List.of("--electrons", "300"));
        }
        return String.join("\t", words);
    }

    /** The same command again, but for its folder, finds the same and need not run: what the first one wrote is copied. */
    private static List<String> withoutRepeating(List<String> commands) {
        Map<String, String> folders = new HashMap<>();
        List<String> series = new ArrayList<>();
        for (String command : commands) {
            Matcher out = Pattern.compile("\t--out\t([^\t]+)").matcher(command);
            String folder = out.find() ? out.group(1) : "";
            String former = folders.putIfAbsent(out.replaceAll(""), folder);
            if (former == null) {
                series.add(command);
            } else if (!folder.isEmpty()) {
                series.add(String.join("\t", CommandSeries.COPY, former, folder));
            }
        }
        return series;
    }

    private void runInAnEmptyFolder(List<String> commands) throws IOException, InterruptedException {
        Path place = Files.createDirectory(folder.resolve("place"));
        Files.createSymbolicLink(place.resolve("testdata"), Tool.testdata(""));
        Path list = Files.write(
                folder.resolve("commands"),
                withoutRepeating(
                        commands.stream().map(PrintedCommandsTest::words).toList()));
        Path log = folder.resolve("log");
        Process series = new ProcessBuilder(
                        Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                        "-Xmx1g",
                        "-cp",
                        System.getProperty("java.class.path"),
                        CommandSeries.class.getName(),
                        list.toString())
                .directory(place.toFile())
                .redirectErrorStream(true)
                .redirectOutput(log.toFile())
                .start();
        int code = series.waitFor();
        assertEquals(0, code, Files.readString(log));
    }

    /** One Java runs them all, which saves warming up; that all have folders of their own is another test. */
    @Test
    @Tag("slow")
    void workAsPrinted() throws IOException, InterruptedException {
        List<String> commands = new ArrayList<>(readme());
        assertTrue(commands.size() >= 12, commands::toString);
        for (List<String> command : HELP) {
            List<String> found = commands(help(command));
            assertEquals(command.isEmpty(), found.isEmpty(), "examples of " + command);
            commands.addAll(found);
        }
        runInAnEmptyFolder(commands);
        // The profile of the simulation has fewer electrons here.
        String text = Files.readString(Tool.testdata("../README.md"));
        assertEquals(6, ReadmePictures.check(text, folder.resolve("place/walk"), "profile.png"));
    }

    private static List<String> readme() throws IOException {
        return commands(Files.readString(Tool.testdata("../README.md")));
    }

    /** No two share one, and no help text builds on what the README writes. */
    @Test
    void haveFoldersOfTheirOwn() throws IOException {
        List<String> commands = new ArrayList<>(readme());
        int ofReadme = commands.size();
        HELP.forEach(command -> commands.addAll(commands(help(command))));
        Set<String> folders = new TreeSet<>();
        for (String command : commands) {
            Matcher out = Pattern.compile("--out (\\S+)").matcher(command);
            assertTrue(!out.find() || folders.add(out.group(1)), command);
        }
        for (String command : commands.subList(ofReadme, commands.size())) {
            assertFalse(command.contains("walk/") || command.contains("demo-out"), command);
        }
    }

    /** An option that a help text speaks of is one of this command, or of the one whose example it stands in. */
    @Test
    void helpTextsNameNoOptionThatIsNotThere() {
        for (List<String> command : HELP) {
            String help = help(command);
            String own = help.replaceAll("(?m)^  evendose .*\n(    .*\n)*", "");
            assertTrue(help.lines().allMatch(line -> line.length() <= HelpPage.WIDTH), help);
            Set<String> listed = new TreeSet<>();
            Matcher list = Pattern.compile("(?m)^  (?:-\\w, )?--(\\[no-])?([a-z0-9-]+)")
                    .matcher(help);
            while (list.find()) {
                listed.add("--" + list.group(2));
                if (list.group(1) != null) {
                    listed.add("--no-" + list.group(2));
                }
            }
            Matcher option = OPTION.matcher(own);
            while (option.find()) {
                String name = option.group();
                boolean elsewhere = own.contains(name + " of other commands") || own.contains("COMMAND " + name);
                assertTrue(listed.contains(name) || elsewhere, command + " has no " + name);
            }
        }
    }
}
