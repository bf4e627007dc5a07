package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import evendose.files.JsonInput;
import java.io.File;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.jar.Attributes;
import java.util.jar.JarOutputStream;
import java.util.jar.Manifest;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The scripts of README.md's section "From Python", as they are printed there. */
class PythonExamplesTest {
    private static final Pattern SCRIPT = Pattern.compile("```python\n(.*?)```", Pattern.DOTALL);

    /** The machine's own Python may have packages that another one does not. */
    private static final List<String> PYTHONS = List.of("python3", "/usr/bin/python3");

    @TempDir
    Path folder;

    private List<String> scripts;

    private record Ended(int code, String out) {}

    @BeforeEach
    void layOut() throws IOException {
        String readme = Files.readString(Tool.testdata("../README.md"));
        Matcher script = SCRIPT.matcher(readme.substring(readme.indexOf("### From Python")));
        scripts = script.results().map(r -> r.group(1)).toList();
        assertEquals(2, scripts.size());
        Files.createSymbolicLink(folder.resolve("testdata"), Tool.testdata(""));
        // Not packaged yet: a jar that leads to the classes under test.
        Manifest manifest = new Manifest();
        Attributes main = manifest.getMainAttributes();
        main.put(Attributes.Name.MANIFEST_VERSION, "1.0");
        main.put(Attributes.Name.MAIN_CLASS, Main.class.getName());
        main.put(
                Attributes.Name.CLASS_PATH,
                Arrays.stream(System.getProperty("java.class.path").split(File.pathSeparator))
                        .map(entry -> Path.of(entry).toUri().toString())
                        .collect(Collectors.joining(" ")));
        Path jar = folder.resolve("cli/target/evendose.jar");
        Files.createDirectories(jar.getParent());
        try (OutputStream out = Files.newOutputStream(jar)) {
            new JarOutputStream(out, manifest).close();
        }
    }

    private Ended run(String... words) throws IOException, InterruptedException {
        ProcessBuilder builder =
                new ProcessBuilder(words).directory(folder.toFile()).redirectErrorStream(true);
        String java = Path.of(System.getProperty("java.home"), "bin").toString();
        builder.environment().merge("PATH", java, (path, own) -> own + File.pathSeparator + path);
        Process process = builder.start();
        String out = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        return new Ended(process.waitFor(), out);
    }

    /** The first Python that can import these packages. */
    private Optional<String> python(String packages) throws InterruptedException {
        for (String python : PYTHONS) {
            try {
                if (run(python, "-c", "import " + packages).code() == 0) {
                    return Optional.of(python);
                }
            } catch (IOException e) {
                // There is none of that name.
                continue;
            }
        }
        return Optional.empty();
    }

    private String runScript(String python, int number) throws IOException, InterruptedException {
        Path script = Files.writeString(folder.resolve("script" + number + ".py"), scripts.get(number));
        Ended ended = run(python, script.toString());
        assertEquals(0, ended.code(), ended.out());
        return ended.out();
    }

    @Test
    void thePlainScriptReadsWhatTheCommandWrote() throws IOException, InterruptedException {
        Optional<String> python = python("json");
        assumeTrue(python.isPresent(), "python3 is not installed");
        String out = runScript(python.get(), 0);
        JsonInput summary = JsonInput.read(folder.resolve("python-doses/summary.json"));
        List<String> rows = Files.readAllLines(folder.resolve("python-doses/doses.csv"));
        long pieces = Math.round(summary.get("pieces").number());
        assertEquals(rows.size() - 1, pieces);
        assertTrue(out.startsWith(pieces + " pieces, factors "), out);
        double highest = summary.get("max_factor").number() * 450;
        Matcher told = Pattern.compile("highest dose (\\S+) uC").matcher(out);
        assertTrue(told.find(), out);
        assertEquals(highest, Double.parseDouble(told.group(1)), 1e-6 * highest);
    }

    @Test
    void theScriptWithNumpyFindsAreaAndCharge() throws IOException, InterruptedException {
        Optional<String> python = python("numpy, pandas");
        assumeTrue(python.isPresent(), "no python3 with numpy and pandas is installed");
        runScript(python.get(), 0);
        String out = runScript(python.get(), 1);
        double area = 0;
        double charge = 0;
        List<String> rows = Files.readAllLines(folder.resolve("python-doses/levels.csv"));
        List<Double> areas = new ArrayList<>();
        for (String row : rows.subList(1, rows.size())) {
            String[] v = row.split(",");
            areas.add(Double.parseDouble(v[4]));
            area += Double.parseDouble(v[4]);
            charge += Double.parseDouble(v[4]) * Double.parseDouble(v[2]) / 100;
        }
        Matcher told = Pattern.compile("(\\S+) um\\^2, (\\S+) pC").matcher(out);
        assertTrue(told.find(), out);
        assertEquals(area, Double.parseDouble(told.group(1)), 2e-3);
        // Levels stand for the doses near them; free doses differ from theirs by less than half a step.
        assertEquals(charge, Double.parseDouble(told.group(2)), 2e-3 * charge);
        double largest = areas.stream().mapToDouble(Double::doubleValue).max().orElseThrow();
        Matcher first = Pattern.compile("level\\R\\d+ +(\\S+)").matcher(out);
        assertTrue(first.find(), out);
        // Both are sums, rounded to six digits.
        assertEquals(largest, Double.parseDouble(first.group(1)), 2e-6);
    }
}
