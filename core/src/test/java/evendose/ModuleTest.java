package evendose;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.File;
import java.io.IOException;
import java.lang.module.ModuleDescriptor;
import java.lang.module.ModuleFinder;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import javax.tools.ToolProvider;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The library as a module: it brings its libraries along, and shows the packages that hold what is supported. */
class ModuleTest {
    private static final String MODULE_PATH = Arrays.stream(
                    System.getProperty("java.class.path").split(File.pathSeparator))
            .filter(entry -> !entry.matches(".*(test-classes|junit|archunit|opentest4j|apiguardian|slf4j|jts-core).*"))
            .collect(Collectors.joining(File.pathSeparator));

    @TempDir
    Path folder;

    @Test
    void exportedPackagesAreThoseOfSupportedTypes() throws IOException {
        Set<String> supported = new TreeSet<>(Set.of("evendose"));
        try (Stream<Path> sources = Files.walk(TestData.file("../core/src/main/java"))) {
            for (Path source :
                    sources.filter(f -> f.toString().endsWith(".java")).toList()) {
                String text = Files.readString(source);
                if (text.contains("\n@Supported\npublic ")) {
                    supported.add(text.replaceAll("(?s).*?package (evendose[a-z.]+);.*", "$1"));
                }
            }
        }
        ModuleDescriptor library = ModuleFinder.of(Arrays.stream(MODULE_PATH.split(File.pathSeparator))
                        .map(Path::of)
                        .toArray(Path[]::new))
                .find("evendose.core")
                .orElseThrow()
                .descriptor();
        assertTrue(!library.isAutomatic() && library.isOpen() == false);
        assertEquals(
                supported,
                library.exports().stream()
                        .map(ModuleDescriptor.Exports::source)
                        .collect(Collectors.toCollection(TreeSet::new)));
    }

    private String compile(String body) throws IOException {
        Path descriptor =
                Files.writeString(folder.resolve("module-info.java"), "module embedder { requires evendose.core; }");
        Path source = Files.createDirectories(folder.resolve("embedder")).resolve("Main.java");
        Files.writeString(
                source, "package embedder; class Main { public static void main(String[] args) { " + body + " } }");
        ByteArrayOutputStream told = new ByteArrayOutputStream();
        ToolProvider.getSystemJavaCompiler()
                .run(
                        null,
                        told,
                        told,
                        "--module-path",
                        MODULE_PATH,
                        "-d",
                        folder.resolve("out").toString(),
                        descriptor.toString(),
                        source.toString());
        return told.toString();
    }

    @Test
    void aModularProgramCorrects() throws IOException, InterruptedException {
        String told = compile("""
                var lines = new evendose.layout.Layer(1, 0);
                var layout = evendose.layout.Layout.builder(evendose.layout.DatabaseUnit.NANOMETRE)
                        .rectangles(lines, 0, 0, 0.2, 20, 1, 0, 11, 20).build();
                System.out.println(evendose.correction.Corrector.correct(
                        layout,
                        java.util.List.of(evendose.correction.LayerRole.corrected(lines)),
                        evendose.correction.CorrectionOptions.of(
                                evendose.psf.PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6))));
                """);
        assertEquals("", told);
        Path log = folder.resolve("log");
        int code = new ProcessBuilder(
                        Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                        "--module-path",
                        folder.resolve("out") + File.pathSeparator + MODULE_PATH,
                        "-m",
                        "embedder/embedder.Main")
                .redirectErrorStream(true)
                .redirectOutput(log.toFile())
                .start()
                .waitFor();
        String out = Files.readString(log);
        assertEquals(0, code, out);
        assertTrue(out.startsWith("DoseTable["), out);
    }

    @Test
    void whatIsNotExportedIsNotSeen() throws IOException {
        String told = compile("evendose.energy.ExactEnergy energy = null;");
        assertTrue(told.contains("package evendose.energy is not visible"), told);
    }
}
