package evendose.fuzz;

import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import java.io.IOException;
import java.lang.management.ManagementFactory;
import java.lang.management.ThreadMXBean;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Isolated;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

/**
 * Damaged files of every kind: whatever comes out is a result or one line for the user, within two seconds of processor time
 * an input.
 *
 * <p>A short run by default. A campaign, which writes inputs that show faults to {@code core/target/fuzz}:
 *
 * <pre>mvn -pl core test -Dtest=FuzzTest -Devendose.fuzz.inputs=1000000 -Devendose.fuzz.seed=2 -Dtest.heap=512m</pre>
 *
 * <p>Inputs that once showed faults are kept in {@code core/src/test/resources/fuzz}, a folder for each target, and read first.
 */
@Isolated("a damaged file may ask for most of the heap")
class FuzzTest {
    private static final int INPUTS = Integer.getInteger("evendose.fuzz.inputs", 6_000);
    private static final long SEED = Long.getLong("evendose.fuzz.seed", 1);
    private static final double MOST_SECONDS = 2;
    private static final int FAULTS_TOLD = 5;
    private static final String REFUSED = "refused";

    private static final ThreadMXBean CLOCK = ManagementFactory.getThreadMXBean();

    @TempDir
    Path directory;

    @ParameterizedTest
    @EnumSource
    void soundFilesAreRead(Target target) throws IOException {
        for (byte[] seed : target.seeds()) {
            target.read(seed, directory.resolve("input"));
        }
    }

    @ParameterizedTest
    @EnumSource
    void foundFaultsStayMended(Target target) throws IOException {
        Path kept = Path.of("src/test/resources/fuzz", target.name());
        if (Files.exists(kept)) {
            try (Stream<Path> files = Files.list(kept)) {
                for (Path file : files.sorted().toList()) {
                    String fault = fault(target, Files.readAllBytes(file));
                    assertTrue(fault.isEmpty() || fault.equals(REFUSED), file + ": " + fault);
                }
            }
        }
    }

    @ParameterizedTest
    @EnumSource
    void damagedFilesGetAMessage(Target target) throws IOException {
        int shares = 0;
        for (Target t : Target.values()) {
            shares += t.share();
        }
        long inputs = Math.max(1, (long) INPUTS * target.share() / shares);
        Mutator mutator = new Mutator(target.seeds(), SEED * 1000 + target.ordinal());
        List<String> faults = new ArrayList<>();
        long refused = 0;
        double slowest = 0;
        for (long i = 0; i < inputs && faults.size() < FAULTS_TOLD; i++) {
            byte[] input = mutator.next();
            long before = CLOCK.getCurrentThreadCpuTime();
            String fault = fault(target, input);
            double seconds = 1e-9 * (CLOCK.getCurrentThreadCpuTime() - before);
            slowest = Math.max(slowest, seconds);
            refused += fault.equals(REFUSED) ? 1 : 0;
            if (seconds > MOST_SECONDS) {
                fault = "took " + seconds + " s";
            }
            if (!fault.isEmpty() && !fault.equals(REFUSED)) {
                faults.add("input " + i + ": " + fault + ", kept as " + keep(target, input, i));
            }
        }
        System.out.printf(
                "%s: %,d inputs, %,d refused, slowest %.2f s, %d faults%n",
                target, inputs, refused, slowest, faults.size());
        assertTrue(faults.isEmpty(), String.join("\n", faults));
        // Else the damage is too mild, or too heavy, to test much.
        assertTrue(refused > inputs / 20 && refused < inputs, refused + " of " + inputs + " refused");
    }

    /** What is wrong; empty if the input was read, {@link #REFUSED} if it was refused properly. */
    private String fault(Target target, byte[] input) {
        try {
            target.read(input, directory.resolve("input"));
            return "";
        } catch (BadInputException e) {
            return e.getMessage().length() > 5000
                    ? "a message of " + e.getMessage().length() + " characters"
                    : REFUSED;
        } catch (Exception | OutOfMemoryError | StackOverflowError e) {
            StackTraceElement[] trace = e.getStackTrace();
            return e + (trace.length == 0 ? "" : " at " + trace[0]);
        }
    }

    private static Path keep(Target target, byte[] input, long number) throws IOException {
        Path folder = Files.createDirectories(Path.of("target/fuzz", target.name()));
        return Files.write(folder.resolve(SEED + "-" + number), input);
    }
}
