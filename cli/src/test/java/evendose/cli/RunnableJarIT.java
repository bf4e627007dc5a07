package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.File;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import java.util.jar.JarEntry;
import java.util.jar.JarFile;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;

/** The runnable jar as it is handed on: it runs, and gives every library in it the licence and the notice that it asks for. */
class RunnableJarIT {
    private static final Path JAR = Path.of("target/evendose.jar");
    private static final Pattern LICENCE = Pattern.compile("META-INF/[^/]*LICEN[CS]E[^/]*", Pattern.CASE_INSENSITIVE);
    private static final Pattern NOTICE = Pattern.compile("META-INF/NOTICE[^/]*");
    private static final Pattern NAME = Pattern.compile("(.+?)-\\d[^/]*\\.jar");

    /** Jars of the class path that hold a class of the runnable jar; the others serve tests. */
    private static List<Path> bundled(Set<String> classes) throws IOException {
        List<Path> found = new ArrayList<>();
        for (String entry : System.getProperty("java.class.path").split(File.pathSeparator)) {
            // In a whole build the library's own jar is among them.
            if (entry.endsWith(".jar")
                    && !Path.of(entry).getFileName().toString().startsWith("evendose-")) {
                try (JarFile jar = new JarFile(entry)) {
                    if (jar.stream().map(JarEntry::getName).anyMatch(classes::contains)) {
                        found.add(Path.of(entry));
                    }
                }
            }
        }
        return found;
    }

    private static Set<String> classes(JarFile jar) {
        Set<String> names = new TreeSet<>();
        jar.stream()
                .map(JarEntry::getName)
                .filter(name -> name.endsWith(".class") && !name.startsWith("META-INF/"))
                .forEach(names::add);
        return names;
    }

    private static String text(JarFile jar, String name) throws IOException {
        return new String(jar.getInputStream(jar.getEntry(name)).readAllBytes(), StandardCharsets.UTF_8);
    }

    /** Lines of all files of this kind, without blanks around them and without how an address is to be reached. */
    private static Set<String> lines(JarFile jar, Pattern kind) throws IOException {
        Set<String> lines = new HashSet<>();
        for (JarEntry entry : jar.stream().toList()) {
            if (kind.matcher(entry.getName()).matches()) {
                words(text(jar, entry.getName())).forEach(lines::add);
            }
        }
        return lines;
    }

    private static Stream<String> words(String text) {
        return text.lines().map(line -> line.strip().replace("https://", "http://"));
    }

    @Test
    void licencesAndNoticesOfAllItsLibrariesAreInIt() throws IOException {
        try (JarFile runnable = new JarFile(JAR.toFile())) {
            String thirdParty = text(runnable, "META-INF/THIRD-PARTY.txt");
            Set<String> named = new HashSet<>(List.of(thirdParty.split("[\\s,()]+")));
            Set<String> licences = lines(runnable, LICENCE);
            words(thirdParty).forEach(licences::add);
            Set<String> notices = lines(runnable, NOTICE);
            Set<String> classes = classes(runnable);
            List<Path> libraries = bundled(classes);
            assertTrue(libraries.size() > 20, libraries::toString);
            for (Path library : libraries) {
                Matcher name = NAME.matcher(library.getFileName().toString());
                assertTrue(name.matches(), library::toString);
                assertTrue(named.contains(name.group(1)), "THIRD-PARTY.txt does not name " + name.group(1));
                try (JarFile jar = new JarFile(library.toFile())) {
                    for (String line : lines(jar, LICENCE)) {
                        assertTrue(licences.contains(line), library + ": lost from its licence: " + line);
                    }
                    for (String line : lines(jar, NOTICE)) {
                        assertTrue(notices.contains(line), library + ": lost from its notice: " + line);
                    }
                    classes.removeAll(classes(jar));
                }
            }
            classes.removeIf(name -> name.startsWith("evendose/"));
            assertEquals(Set.of(), classes, "classes of libraries that were not looked at");
        }
    }

    @Test
    void runsAndKnowsItsVersion() throws IOException, InterruptedException {
        Process process = new ProcessBuilder(
                        Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                        "-jar",
                        JAR.toString(),
                        "--version")
                .redirectErrorStream(true)
                .start();
        String out = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertEquals(0, process.waitFor(), out);
        assertTrue(out.matches("evendose \\d+\\.\\d+\\.\\d+\\R"), out);
    }

    /** The files that a user is told to copy lie beside it. */
    @Test
    void manPagesAndCompletionLieBesideIt() {
        Stream.of("man/man1/evendose.1", "man/man1/evendose-correct.1", "bash-completion/completions/evendose")
                .map(name -> Path.of("target/share", name))
                .forEach(file -> assertTrue(file.toFile().length() > 0, file::toString));
    }
}
