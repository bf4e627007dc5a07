package evendose.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.report.scattering.ScatterCharts;
import java.io.File;
import java.io.IOException;
import java.lang.reflect.Array;
import java.lang.reflect.InvocationTargetException;
import java.lang.reflect.Method;
import java.lang.reflect.Modifier;
import java.net.MalformedURLException;
import java.net.URL;
import java.net.URLClassLoader;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/** The library on a class path without the optional libraries that draw plots. */
class WithoutDrawingLibrariesTest {
    private static final List<Class<?>> DRAWING = List.of(
            ReportPage.class,
            VerificationFiles.class,
            CalibrationPictures.class,
            LevelPictures.class,
            PlanPictures.class,
            ScatterCharts.class);

    /** Public methods of these classes that draw no plot. */
    private static final List<String> WITHOUT_PLOTS = List.of("json", "csv", "fields");

    /** Loads everything anew from the class path of this test, without the jars whose names hold one of these words. */
    private static URLClassLoader without(String... words) throws MalformedURLException {
        List<URL> urls = new ArrayList<>();
        for (String entry : System.getProperty("java.class.path").split(File.pathSeparator)) {
            String name = Path.of(entry).getFileName().toString();
            if (Arrays.stream(words).noneMatch(name::contains)) {
                urls.add(Path.of(entry).toUri().toURL());
            }
        }
        return new URLClassLoader(urls.toArray(URL[]::new), ClassLoader.getPlatformClassLoader());
    }

    static Stream<Method> methodsThatDraw() {
        return DRAWING.stream()
                .flatMap(type -> Arrays.stream(type.getMethods()))
                .filter(method -> Modifier.isStatic(method.getModifiers()))
                .filter(method -> !WITHOUT_PLOTS.contains(method.getName()));
    }

    /** Arguments do not matter: what is missing is told first. */
    @ParameterizedTest
    @MethodSource("methodsThatDraw")
    void whatDrawsSaysWhatIsMissing(Method method) throws IOException, ReflectiveOperationException {
        try (URLClassLoader loader = without("xchart", "batik")) {
            Method same = Class.forName(method.getDeclaringClass().getName(), true, loader)
                    .getMethod(
                            method.getName(),
                            Arrays.stream(method.getParameterTypes())
                                    .map(type -> in(loader, type))
                                    .toArray(Class[]::new));
            Object[] nothing = Arrays.stream(method.getParameterTypes())
                    .map(type -> Array.get(Array.newInstance(type, 1), 0))
                    .toArray();
            Throwable fault = assertThrows(InvocationTargetException.class, () -> same.invoke(null, nothing))
                    .getCause();
            assertEquals(
                    MissingLibraryException.class.getName(), fault.getClass().getName(), fault::toString);
            assertTrue(fault.getMessage().contains("org.knowm.xchart:xchart and "), fault.getMessage());
            assertTrue(fault.getMessage().contains("org.apache.xmlgraphics:batik-svggen"), fault.getMessage());
        }
    }

    private static Class<?> in(ClassLoader loader, Class<?> type) {
        try {
            return type.isPrimitive() ? type : Class.forName(type.getName(), false, loader);
        } catch (ClassNotFoundException e) {
            throw new IllegalStateException(e);
        }
    }

    @Test
    void oneThatIsThereIsNotNamed() throws IOException, ReflectiveOperationException {
        try (URLClassLoader loader = without("batik")) {
            Method require = Class.forName(DrawingLibraries.class.getName(), true, loader)
                    .getMethod("require");
            String message = assertThrows(InvocationTargetException.class, () -> require.invoke(null))
                    .getCause()
                    .getMessage();
            assertTrue(message.contains("batik-svggen"), message);
            assertTrue(!message.contains("xchart"), message);
        }
        DrawingLibraries.require();
    }

    /** No other class needs them: all that is public can be linked. */
    @Test
    void everyPublicClassCanBeLinked() throws IOException {
        Path classes = Path.of("target/classes");
        int linked = 0;
        try (URLClassLoader loader = without("xchart", "batik");
                Stream<Path> files = Files.walk(classes)) {
            for (Path file : files.filter(f -> f.toString().endsWith(".class")).toList()) {
                String name = classes.relativize(file).toString().replace(File.separatorChar, '.');
                if (name.contains("package-info") || name.contains("module-info")) {
                    continue;
                }
                String type = name.substring(0, name.length() - ".class".length());
                try {
                    if (Modifier.isPublic(Class.forName(type).getModifiers())) {
                        Class.forName(type, true, loader);
                        linked++;
                    }
                } catch (LinkageError | ClassNotFoundException e) {
                    throw new AssertionError(name, e);
                }
            }
        }
        assertTrue(linked > 100, "linked " + linked);
    }
}
