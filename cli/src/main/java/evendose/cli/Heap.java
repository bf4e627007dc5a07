package evendose.cli;

import com.sun.management.OperatingSystemMXBean;
import evendose.correction.MemoryLimitException;
import java.io.IOException;
import java.lang.management.ManagementFactory;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;

/**
 * The memory that Java may use. By default that is a quarter of the machine's; a run that needs more, on a machine that has it,
 * is begun again in a Java with a larger heap.
 */
final class Heap {
    /** Set in a Java that was begun by {@link #runAgain}. */
    private static final String AGAIN = "evendose.again";

    /** Garbage collection works well only with room to spare. */
    private static final double ROOM = 1.25;

    /** Share of the machine's memory that a run may take. */
    private static final double SHARE = 0.8;

    private Heap() {}

    /** Whether this machine could hold what did not fit, in a Java with a larger heap. */
    static boolean couldHold(MemoryLimitException e) {
        return System.getProperty(AGAIN) == null
                && ManagementFactory.getOperatingSystemMXBean() instanceof OperatingSystemMXBean os
                && ROOM * e.neededBytes() < SHARE * os.getTotalMemorySize();
    }

    /** Runs the same command in a Java with enough heap; returns its exit code. It shares input and outputs with this one. */
    static int runAgain(MemoryLimitException e, String[] arguments) throws IOException, InterruptedException {
        List<String> command = new ArrayList<>();
        command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
        command.add("-Xmx" + (long) Math.ceil(ROOM * e.neededBytes() / (1 << 20)) + "m");
        command.add("-D" + AGAIN + "=true");
        command.add("-cp");
        command.add(System.getProperty("java.class.path"));
        command.add(Main.class.getName());
        command.addAll(List.of(arguments));
        Process process = new ProcessBuilder(command).inheritIO().start();
        // An interrupt of this process must not leave the other one behind.
        Thread end = new Thread(process::destroy);
        Runtime.getRuntime().addShutdownHook(end);
        int code = process.waitFor();
        Runtime.getRuntime().removeShutdownHook(end);
        return code;
    }
}
