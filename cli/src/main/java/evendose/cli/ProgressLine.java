package evendose.cli;

import evendose.parallel.Progress;
import java.io.PrintStream;
import java.io.PrintWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Locale;
import java.util.concurrent.atomic.AtomicLong;

/** Shows the current stage, how much of it is done and the time left, in one line of a terminal that it keeps rewriting. */
final class ProgressLine implements Progress, AutoCloseable {
    private static final long REDRAW_NANOS = 200_000_000L;
    private static final String CLEAR = "\r\u001b[K";

    private final PrintWriter err;
    private final AtomicLong done = new AtomicLong();
    private volatile String stage = "";
    private volatile long total;
    private volatile long begun;
    private volatile long drawn;

    private ProgressLine(PrintWriter err) {
        this.err = err;
    }

    /** A line on {@code err} if that is a terminal and the user wants it; otherwise nothing is shown. */
    static ProgressLine on(PrintWriter err, boolean quiet) {
        return new ProgressLine(!quiet && isTerminal() ? err : null);
    }

    /** Prints a line to standard error, in a terminal over the progress. */
    static void printInstead(PrintStream standardError, String line) {
        standardError.println((isTerminal() ? CLEAR : "") + line);
    }

    /** Whether standard error is a terminal. Java only knows about input and output together, so Linux is asked first. */
    private static boolean isTerminal() {
        Path descriptor = Path.of("/proc/self/fd/2");
        try {
            String device = Files.readSymbolicLink(descriptor).toString();
            return device.startsWith("/dev/pts/") || device.startsWith("/dev/tty") || device.equals("/dev/console");
        } catch (java.io.IOException | UnsupportedOperationException e) {
            return System.console() != null;
        }
    }

    @Override
    public synchronized void begin(String newStage, long newTotal) {
        stage = newStage;
        total = newTotal;
        done.set(0);
        begun = System.nanoTime();
        draw(begun);
    }

    @Override
    public void advance(long steps) {
        done.addAndGet(steps);
        long now = System.nanoTime();
        if (err != null && now - drawn > REDRAW_NANOS) {
            draw(now);
        }
    }

    private synchronized void draw(long now) {
        if (err == null) {
            return;
        }
        drawn = now;
        StringBuilder text = new StringBuilder(CLEAR).append(stage);
        long steps = done.get();
        double elapsed = (now - begun) * 1e-9;
        if (total > 0) {
            double share = Math.min(1, (double) steps / total);
            text.append(String.format(Locale.ROOT, "  %3.0f %%", 100 * share));
            if (share > 0.02 && elapsed > 1) {
                text.append(String.format(Locale.ROOT, "  %.0f s left", elapsed * (1 - share) / share));
            }
        } else if (steps > 0) {
            text.append(String.format(Locale.ROOT, "  step %d, %.0f s", steps, elapsed));
        }
        err.print(text);
        err.flush();
    }

    /** Takes the line away. */
    @Override
    public synchronized void close() {
        if (err != null) {
            err.print(CLEAR);
            err.flush();
        }
    }
}
