package evendose.geometry;

import java.util.Arrays;

/**
 * Where in the order of the scan line edges came, went or changed places at a height: ranges of indexes, to be looked at from left to right.
 * Packed: first index (31 bits), end of the range to recompute (32 bits), whether a boundary that counted went.
 */
final class DisturbedRanges {
    int size;
    private long[] packed = new long[64];

    /** First index of range {@code p}. */
    int first(int p) {
        return first(packed[p]);
    }

    /** End of range {@code p}. */
    int end(int p) {
        return end(packed[p]);
    }

    /** Whether a boundary that counted went from range {@code p}. */
    boolean counted(int p) {
        return counted(packed[p]);
    }

    /** Adds a range; {@code counted} tells whether a boundary that counted went from it. */
    void add(int first, int end, boolean counted) {
        if (size == packed.length) {
            packed = Arrays.copyOf(packed, 2 * size);
        }
        packed[size++] = pack(first, end, counted);
    }

    void sort() {
        if (size > 24) {
            Arrays.sort(packed, 0, size);
            return;
        }
        for (int i = 1; i < size; i++) {
            long value = packed[i];
            int at = i;
            while (at > 0 && packed[at - 1] > value) {
                packed[at] = packed[at - 1];
                at--;
            }
            packed[at] = value;
        }
    }

    /** Moves the ranges to where they are after insertions before {@code count} indexes of the scan line, in rising order. */
    void shift(int[] before, int count) {
        for (int p = 0; p < size; p++) {
            packed[p] = shifted(packed[p], before, count);
        }
    }

    /** A place in the list after insertions before the indexes in {@code before}. */
    private static long shifted(long packed, int[] before, int count) {
        int first = first(packed);
        int end = end(packed);
        // An empty place begins right behind the edge before it, a range at its first edge.
        int newFirst =
                first == end ? first + inserted(first - 1, before, count) : first + inserted(first, before, count);
        int newEnd = first == end ? newFirst : end - 1 + inserted(end - 1, before, count) + 1;
        return pack(newFirst, newEnd, counted(packed));
    }

    /** How many edges are inserted before or at index {@code i}. */
    private static int inserted(int i, int[] before, int count) {
        int a = 0;
        int b = count;
        while (a < b) {
            int middle = (a + b) >>> 1;
            if (before[middle] <= i) {
                a = middle + 1;
            } else {
                b = middle;
            }
        }
        return a;
    }

    private static long pack(int first, int end, boolean counted) {
        return ((long) first << 33) | ((long) end << 1) | (counted ? 1 : 0);
    }

    private static int first(long packed) {
        return (int) (packed >>> 33);
    }

    private static int end(long packed) {
        return (int) (packed >>> 1);
    }

    private static boolean counted(long packed) {
        return (packed & 1) != 0;
    }
}
