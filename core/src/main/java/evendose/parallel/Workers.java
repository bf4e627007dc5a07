package evendose.parallel;

import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.function.IntConsumer;

/**
 * A fixed crew of threads that works through numbered parts of a computation.
 *
 * <p>The caller's thread works too, so {@code Workers.of(1)} starts no thread at all. Which thread takes which part is not
 * determined; a part must therefore write only to places of its own, and sums over parts are to be taken in the order of
 * their numbers afterwards. Then the result is the same for any number of threads.
 *
 * <p>Not meant for nested use: a part must not call {@link #run} of the same crew.
 */
public final class Workers implements AutoCloseable {
    private final int threads;
    private final ExecutorService executor;

    private Workers(int threads) {
        this.threads = threads;
        this.executor = threads == 1
                ? null
                : Executors.newFixedThreadPool(threads - 1, task -> {
                    Thread thread = new Thread(task, "evendose-worker");
                    thread.setDaemon(true);
                    return thread;
                });
    }

    /**
     * {@return a crew of the given size}
     *
     * @param threads number of threads, at least 1
     * @throws IllegalArgumentException if {@code threads} is less than 1
     */
    public static Workers of(int threads) {
        if (threads < 1) {
            throw new IllegalArgumentException("number of threads must be at least 1, got " + threads);
        }
        return new Workers(threads);
    }

    /** {@return number of threads, the caller's included} */
    public int threads() {
        return threads;
    }

    /**
     * Calls {@code part} once for each number from 0 to {@code parts - 1} and returns when all are done.
     *
     * @param parts number of parts
     * @param part does the part of a number
     * @throws CancellationException if the calling thread was interrupted; remaining parts are not begun
     * @throws RuntimeException what a part threw; remaining parts are not begun
     */
    public void run(int parts, IntConsumer part) {
        Thread caller = Thread.currentThread();
        AtomicInteger next = new AtomicInteger();
        AtomicBoolean stop = new AtomicBoolean();
        Runnable work = () -> {
            try {
                for (int i = next.getAndIncrement(); i < parts && !stop.get(); i = next.getAndIncrement()) {
                    if (caller.isInterrupted()) {
                        throw new CancellationException("interrupted");
                    }
                    part.accept(i);
                }
            } catch (Throwable t) {
                stop.set(true);
                throw t;
            }
        };
        List<Future<?>> others = new ArrayList<>();
        for (int t = 1; t < Math.min(threads, parts); t++) {
            others.add(executor.submit(work));
        }
        RuntimeException failure = null;
        try {
            work.run();
        } catch (RuntimeException e) {
            failure = e;
        }
        for (Future<?> other : others) {
            RuntimeException theirs = failureOf(other, stop);
            failure = failure == null ? theirs : failure;
        }
        if (failure != null) {
            throw failure;
        }
    }

    /** Waits for the part that a thread is at; an interrupt stops further ones and is kept for the caller. */
    private static RuntimeException failureOf(Future<?> other, AtomicBoolean stop) {
        boolean interrupted = false;
        try {
            while (true) {
                try {
                    other.get();
                    return interrupted ? new CancellationException("interrupted") : null;
                } catch (InterruptedException e) {
                    stop.set(true);
                    interrupted = true;
                } catch (ExecutionException e) {
                    if (e.getCause() instanceof Error error) {
                        throw error;
                    }
                    return (RuntimeException) e.getCause();
                }
            }
        } finally {
            if (interrupted) {
                Thread.currentThread().interrupt();
            }
        }
    }

    /**
     * Cuts {@code items} numbered items into parts of about {@code itemsPerPart} and calls {@code range} for each part. The
     * cuts depend on the two numbers only, never on the number of threads.
     *
     * @param items number of items
     * @param itemsPerPart items a part, at least 1
     * @param range does a range of items
     */
    public void runRanges(int items, int itemsPerPart, RangeConsumer range) {
        int parts = partCount(items, itemsPerPart);
        run(parts, part -> range.accept(partStart(items, parts, part), partStart(items, parts, part + 1), part));
    }

    /**
     * {@return number of parts that {@link #runRanges} makes}
     *
     * @param items number of items
     * @param itemsPerPart items a part, at least 1
     */
    public static int partCount(int items, int itemsPerPart) {
        return items == 0 ? 0 : (int) ((items + (long) itemsPerPart - 1) / itemsPerPart);
    }

    private static int partStart(int items, int parts, int part) {
        return (int) ((long) items * part / parts);
    }

    /** Takes the items {@code from} (inclusive) to {@code to} (exclusive) of part number {@code part}. */
    @FunctionalInterface
    public interface RangeConsumer {
        /**
         * Does the items of one part.
         *
         * @param from number of the first item
         * @param to number after that of the last one
         * @param part number of the part
         */
        void accept(int from, int to, int part);
    }

    @Override
    public void close() {
        if (executor != null) {
            executor.shutdownNow();
        }
    }
}
