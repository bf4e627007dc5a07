package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.File;
import java.io.IOException;
import java.io.OutputStream;
import java.io.PrintStream;
import java.lang.reflect.Method;
import java.net.URL;
import java.net.URLClassLoader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import javax.tools.ToolProvider;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/**
 * Whether {@code verify} judges doses independently: the program's own sources are changed, compiled and run in a class loader of
 * their own, so that the correction and the check share the fault, and the check must find it all the same.
 */
class CorruptedEngineTest {
    private static final String SHAPES = """
            x_min_um,y_min_um,x_max_um,y_max_um
            0,0,20,20
            21,0,21.5,20
            22,0,22.5,20
            23,0,23.5,20
            24,0,24.5,20
            40,0,40.2,20
            """;

    @TempDir
    private Path folder;

    /** A change of one source file: what stands there, and what is put in its place. */
    private record Fault(String file, String what, String instead) {}

    private Tool correctAndVerify(List<Fault> faults) throws Exception {
        Path layout = Files.writeString(folder.resolve("layout.csv"), SHAPES);
        Path classes = Files.createDirectories(folder.resolve("classes"));
        List<String> words =
                new ArrayList<>(List.of("-nowarn", "-proc:none", "-d", classes.toString(), "-cp", classPath()));
        for (Fault fault : faults) {
            Path source = Tool.testdata("").getParent().resolve("core/src/main/java/evendose/" + fault.file());
            String text = Files.readString(source);
            assertTrue(text.contains(fault.what()), fault + ": the source has changed");
            Path changed = folder.resolve(source.getFileName().toString());
            Files.writeString(changed, text.replace(fault.what(), fault.instead()));
            words.add(changed.toString());
        }
        if (!faults.isEmpty()) {
            assertEquals(0, ToolProvider.getSystemJavaCompiler().run(null, null, null, words.toArray(String[]::new)));
        }
        try (URLClassLoader loader = loader(classes)) {
            Path out = folder.resolve("out");
            List<String> correct = new ArrayList<>(List.of("correct", layout.toString(), "--no-report"));
            correct.addAll(Tool.PSF);
            correct.addAll(List.of("--reference-density", "0.3", "--out", out.toString()));
            assertEquals(0, run(loader, correct).code());
            return run(loader, List.of("verify", out.toString(), layout.toString()));
        }
    }

    private static String classPath() {
        return System.getProperty("java.class.path");
    }

    private static URLClassLoader loader(Path first) throws IOException {
        List<URL> urls = new ArrayList<>(List.of(first.toUri().toURL()));
        for (String entry : classPath().split(File.pathSeparator)) {
            urls.add(new File(entry).toURI().toURL());
        }
        return new URLClassLoader(urls.toArray(URL[]::new), ClassLoader.getPlatformClassLoader());
    }

    private static Tool run(ClassLoader loader, List<String> words) throws Exception {
        Class<?> tool = loader.loadClass(CommandLineTool.class.getName());
        assertNotEquals(CommandLineTool.class, tool);
        Method run = tool.getDeclaredMethod("run", String[].class, OutputStream.class, OutputStream.class);
        run.setAccessible(true);
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        ByteArrayOutputStream err = new ByteArrayOutputStream();
        int code = (int) run.invoke(
                null,
                words.toArray(String[]::new),
                new PrintStream(out, true, StandardCharsets.UTF_8),
                new PrintStream(err, true, StandardCharsets.UTF_8));
        return new Tool(code, out.toString(StandardCharsets.UTF_8), err.toString(StandardCharsets.UTF_8));
    }

    @Test
    void theSoundProgramPasses() throws Exception {
        correctAndVerify(List.of()).ends(0);
    }

    @Test
    void halfTheBlurIsFound() throws Exception {
        Tool verify = correctAndVerify(List.of(
                        new Fault("energy/NearTerms.java", "1 / t.rangeUm()", "2 / t.rangeUm()"),
                        new Fault("energy/FarTerms.java", "Math.exp(-u * u)", "Math.exp(-0.25 * u * u)"),
                        new Fault("energy/GaussianFilter.java", "-0.25 * k", "-0.0625 * k")))
                .ends(4);
        assertTrue(verify.out().contains("Doses that are not those their layout needs"), verify.out());
    }

    @Test
    void samplesBesideTheEdgeAreFound() throws Exception {
        // A fifth of the direct range inside the shape, on standing sides.
        Tool verify = correctAndVerify(List.of(new Fault(
                        "pieces/EdgeSampler.java",
                        "(edges.x0(e) + f * (edges.x1(e) - edges.x0(e))) * gridUm,",
                        "(edges.x0(e) + f * (edges.x1(e) - edges.x0(e))) * gridUm"
                                + " - 0.2 * directUm * Math.signum(edges.y1(e) - edges.y0(e)),")))
                .ends(4);
        assertTrue(
                verify.out().contains("Doses are too low on the whole")
                        || verify.out().contains("All doses are too low"),
                verify.out());
    }

    @Test
    void aWrongTargetIsFound() throws Exception {
        Tool verify = correctAndVerify(List.of(new Fault(
                        "correction/Criterion.java",
                        "return target / densityFactor",
                        "return 1.04 * target / densityFactor")))
                .ends(4);
        assertTrue(verify.out().contains("All doses are too high by about "), verify.out());
    }
}
