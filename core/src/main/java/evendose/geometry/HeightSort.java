package evendose.geometry;

import java.util.Arrays;

/** Sorts edge numbers by height, stably: radix sort on as many bits as the heights need. */
final class HeightSort {
    private static final int DIGIT_BITS = 11;
    private static final int DIGITS = 1 << DIGIT_BITS;
    private static final int SMALL = 48;

    private final int[] count = new int[DIGITS + 1];
    private int[] other = new int[0];

    /** Fills {@code order} with the numbers 0 to {@code size - 1}, sorted by {@code height}. */
    void sort(long[] height, int size, int[] order) {
        for (int i = 0; i < size; i++) {
            order[i] = i;
        }
        if (size <= SMALL) {
            for (int i = 1; i < size; i++) {
                int at = i;
                while (at > 0 && height[order[at - 1]] > height[i]) {
                    order[at] = order[at - 1];
                    at--;
                }
                order[at] = i;
            }
            return;
        }
        long lowest = Long.MAX_VALUE;
        long highest = Long.MIN_VALUE;
        long bits = 0;
        for (int i = 0; i < size; i++) {
            lowest = Math.min(lowest, height[i]);
            highest = Math.max(highest, height[i]);
            bits |= height[i] ^ height[0];
        }
        if (bits == 0) {
            return;
        }
        // Low bits that all heights share need no pass.
        int shift = Long.numberOfTrailingZeros(bits);
        long base = lowest >> shift;
        int significant = 64 - Long.numberOfLeadingZeros((highest >> shift) - base);
        if (other.length < size) {
            other = new int[size];
        }
        int[] source = order;
        int[] target = other;
        for (int done = 0; done < significant; done += DIGIT_BITS) {
            Arrays.fill(count, 0);
            for (int i = 0; i < size; i++) {
                count[digit(height[i], shift, base, done) + 1]++;
            }
            for (int d = 0; d < DIGITS; d++) {
                count[d + 1] += count[d];
            }
            for (int i = 0; i < size; i++) {
                int e = source[i];
                target[count[digit(height[e], shift, base, done)]++] = e;
            }
            int[] swap = source;
            source = target;
            target = swap;
        }
        if (source != order) {
            System.arraycopy(source, 0, order, 0, size);
        }
    }

    private static int digit(long height, int shift, long base, int done) {
        return (int) (((height >> shift) - base) >>> done) & (DIGITS - 1);
    }
}
