package evendose.cli;

import com.sun.management.OperatingSystemMXBean;
import evendose.correction.MemoryLimitException;
import java.io.IOException;
import java.lang.management.ManagementFactory;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicReference;

/**
 * The memory that Java may use. By default that is a quarter of the machine's; a run that needs more, on a machine that has it,
 * is begun again in a Java with a larger heap.
 */
final class Heap {
    /** In a Java that was begun by {@link #runAgain}, the number of the process that began it. */
    private static final String AGAIN = "evendose.again";

    /** How long a process is given to clean up after itself. */
    private static final long GRACE_SECONDS = 20;

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

    /** Asks for a Java with a smaller heap, unless this one's is small enough or was begun for that. */
    static void requireAtMost(long bytes) {
        if (System.getProperty(AGAIN) == null && Runtime.getRuntime().maxMemory() > bytes) {
            throw new SmallerHeap(bytes);
        }
    }

    /** The run is to be begun again in a Java with a heap of this size. */
    static final class SmallerHeap extends RuntimeException {
        private static final long serialVersionUID = 1L;
        private final long bytes;

        SmallerHeap(long bytes) {
            super("a smaller heap is asked for");
            this.bytes = bytes;
        }
    }

    static int runAgain(SmallerHeap e, String[] arguments) throws IOException, InterruptedException {
        return runAgain(e.bytes, arguments);
    }

    static int runAgain(MemoryLimitException e, String[] arguments) throws IOException, InterruptedException {
        return runAgain((long) (ROOM * e.neededBytes()), arguments);
    }

    /** Runs the same command in a Java with a heap of this size; returns its exit code. It shares input and outputs with this one. */
    private static int runAgain(long bytes, String[] arguments) throws IOException, InterruptedException {
        List<String> command = new ArrayList<>();
        command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
        command.add("-Xmx" + (bytes / (1 << 20) + 1) + "m");
        command.add("-D" + AGAIN + "=" + ProcessHandle.current().pid());
        command.add("-cp");
        command.add(System.getProperty("java.class.path"));
        command.add(Main.class.getName());
        command.addAll(List.of(arguments));
        // An interruption must not leave the other process behind. If there is no time for hooks, endWithFirst sees to
        // it.
        AtomicReference<Process> again = new AtomicReference<>();
        Runtime.getRuntime().addShutdownHook(new Thread(() -> end(again.get())));
        again.set(new ProcessBuilder(command).inheritIO().start());
        return again.get().waitFor();
    }

    private static void end(Process process) {
        if (process == null) {
            return;
        }
        process.destroy();
        try {
            // Whoever waits for this process finds the output cleaned up.
            process.waitFor(GRACE_SECONDS, TimeUnit.SECONDS);
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
        }
        process.destroyForcibly();
    }

    /** In a Java that was begun by {@link #runAgain}: ends it, cleanly, soon after the one that began it, however that ended. */
    static void endWithFirst() {
        String first = System.getProperty(AGAIN);
        if (first != null) {
            ProcessHandle.of(Long.parseLong(first))
                    .map(ProcessHandle::onExit)
                    .orElse(CompletableFuture.completedFuture(null))
                    .thenRun(() -> System.exit(ExitCode.UNEXPECTED.number()));
        }
    }
}
