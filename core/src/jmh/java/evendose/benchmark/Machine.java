package evendose.benchmark;

import evendose.parallel.Workers;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.SplittableRandom;

/**
 * What the machine does at best, measured in the same run as what is held against it. All times in seconds; the fastest of some
 * tries, since others may use the machine too.
 */
public final class Machine {
    private static final int TRIES = 5;
    private static final int BLOCK = 1 << 20;

    private Machine() {}

    /** Work that may fail. */
    public interface Work {
        /** Does it. */
        void run() throws IOException;
    }

    /** Shortest time of {@code tries} runs. */
    public static double fastest(int tries, Work work) throws IOException {
        double best = Double.MAX_VALUE;
        for (int k = 0; k < tries; k++) {
            long begun = System.nanoTime();
            work.run();
            best = Math.min(best, (System.nanoTime() - begun) * 1e-9);
        }
        return best;
    }

    /** Bytes a second when all workers read arrays much larger than the caches from end to end. */
    public static double readingMemory(Workers workers) throws IOException {
        double[][] arrays = new double[2 * workers.threads()][1 << 23];
        for (double[] a : arrays) {
            Arrays.fill(a, 1);
        }
        double[] sums = new double[arrays.length];
        double bytes = 8.0 * arrays.length * arrays[0].length;
        double time = fastest(
                TRIES,
                () -> workers.run(arrays.length, k -> {
                    double[] a = arrays[k];
                    double s0 = 0;
                    double s1 = 0;
                    double s2 = 0;
                    double s3 = 0;
                    for (int i = 0; i < a.length; i += 4) {
                        s0 += a[i];
                        s1 += a[i + 1];
                        s2 += a[i + 2];
                        s3 += a[i + 3];
                    }
                    sums[k] = s0 + s1 + s2 + s3;
                }));
        if (sums[0] != arrays[0].length) {
            throw new IllegalStateException("the sum is wrong");
        }
        return bytes / time;
    }

    /** Bytes a second when all workers take new memory and write it. */
    public static double freshMemory(Workers workers) throws IOException {
        double[][] arrays = new double[2 * workers.threads()][];
        double time = fastest(TRIES, () -> {
            Arrays.fill(arrays, null);
            workers.run(arrays.length, k -> {
                arrays[k] = new double[1 << 23];
                Arrays.fill(arrays[k], k);
            });
        });
        return 8.0 * arrays.length * (1 << 23) / time;
    }

    /** Sorting {@code count} random numbers with all processors. */
    public static double sorting(int count) throws IOException {
        long[] random = new SplittableRandom(1).longs(count).toArray();
        double best = Double.MAX_VALUE;
        for (int k = 0; k < TRIES; k++) {
            long[] keys = random.clone();
            best = Math.min(best, fastest(1, () -> Arrays.parallelSort(keys)));
        }
        return best;
    }

    /** Reading a file, which is in the system's cache after the first try. */
    public static double reading(Path file) throws IOException {
        byte[] buffer = new byte[BLOCK];
        return fastest(TRIES, () -> {
            try (InputStream in = Files.newInputStream(file)) {
                long sum = 0;
                for (int n = in.read(buffer); n >= 0; n = in.read(buffer)) {
                    sum += n;
                }
                if (sum != Files.size(file)) {
                    throw new IOException("file changed: " + file);
                }
            }
        });
    }

    /** Writing as many bytes as {@code like} has into a new file beside it. */
    public static double writing(Path like) throws IOException {
        byte[] block = new byte[BLOCK];
        long size = Files.size(like);
        double best = Double.MAX_VALUE;
        for (int k = 0; k < TRIES; k++) {
            Path copy = Files.createTempFile(like.getParent(), "plain", null);
            try {
                best = Math.min(best, fastest(1, () -> {
                    try (OutputStream out = Files.newOutputStream(copy)) {
                        for (long left = size; left > 0; left -= BLOCK) {
                            out.write(block, 0, (int) Math.min(BLOCK, left));
                        }
                    }
                }));
            } finally {
                Files.delete(copy);
            }
        }
        return best;
    }
}
