package evendose.fuzz;

import com.code_intelligence.jazzer.Jazzer;
import evendose.files.BadInputException;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;

/**
 * Fuzzing guided by coverage: an input that reaches new code is changed further. The arguments are a {@link Target} and the
 * number of inputs:
 *
 * <pre>mvn -q -P fuzz -pl core test-compile exec:exec -Dexec.executable=java -Dexec.classpathScope=test \
 *     -Dexec.args="-Xmx512m -cp %classpath evendose.fuzz.GuidedFuzz OASIS 100000"</pre>
 *
 * <p>It ends with an error at the first fault and leaves the input in {@code core/target/fuzz/guided}; move it to
 * {@code core/src/test/resources/fuzz}, a folder for each target, where {@code FuzzTest} keeps reading it. Inputs that reached new
 * code stay beside it and are where the next run begins.
 */
public final class GuidedFuzz {
    private static final String TARGET_PROPERTY = "evendose.fuzz.target";

    private static Target target;
    private static Path scratch;

    private GuidedFuzz() {}

    /** Runs Jazzer on one target. */
    public static void main(String[] args) throws IOException, InterruptedException {
        Target chosen = Target.valueOf(args[0]);
        Path folder = Path.of("target/fuzz/guided").toAbsolutePath();
        Path corpus = Files.createDirectories(folder.resolve(chosen.name()));
        int number = 0;
        for (byte[] seed : chosen.seeds()) {
            Files.write(corpus.resolve("seed" + number++), seed);
        }
        System.setProperty(TARGET_PROPERTY, chosen.name());
        Jazzer.main(new String[] {
            "--target_class=" + GuidedFuzz.class.getName(),
            "--instrumentation_includes=evendose.**",
            "--reproducer_path=" + folder,
            "-artifact_prefix=" + folder + "/" + chosen + "-",
            "-runs=" + args[1],
            "-timeout=20",
            "-rss_limit_mb=4096",
            corpus.toString()
        });
    }

    /** Called by Jazzer before the first input. */
    public static void fuzzerInitialize() throws IOException {
        target = Target.valueOf(System.getProperty(TARGET_PROPERTY));
        target.seeds();
        scratch = Files.createTempDirectory("fuzz").resolve("input");
    }

    /** Called by Jazzer for each input: anything thrown from here is a fault. */
    public static void fuzzerTestOneInput(byte[] input) throws IOException {
        try {
            target.read(input, scratch);
        } catch (BadInputException e) {
            // As it should be.
        }
    }
}
