package evendose.verification;

import java.util.Random;

/** Some of many things, spread evenly over them and no thing twice. */
final class EvenSample {
    private EvenSample() {}

    /**
     * Rising numbers from 0 to {@code n - 1}: all if there are no more than {@code count}, else {@code count} of them, at random one in each
     * of as many equal ranges.
     *
     * @param seed the same seed gives the same numbers
     */
    static int[] of(int n, int count, long seed) {
        int[] chosen = new int[Math.min(n, count)];
        Random random = new Random(seed);
        for (int k = 0; k < chosen.length; k++) {
            int from = (int) ((long) k * n / chosen.length);
            int to = (int) ((k + 1L) * n / chosen.length);
            chosen[k] = from + (int) (random.nextDouble() * (to - from));
        }
        return chosen;
    }
}
