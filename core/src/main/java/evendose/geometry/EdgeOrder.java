package evendose.geometry;

import java.util.Arrays;

/** Order of two numbered things from left to right just above a height of the scan line. */
interface EdgeOrder {
    /** How many are sorted by insertion. */
    int RUN = 24;

    /** Negative, 0 or positive, as {@code a} lies to the left of {@code b}, on the same line or to the right. */
    int compare(int a, int b, long height);

    /** Quick on what is nearly sorted: puts runs in order, then merges them two by two. */
    static void sort(int[] array, int begin, int end, long height, EdgeOrder order) {
        // Not recursive, since the compiler puts the exact order into each level of it.
        for (int from = begin; from < end; from += RUN) {
            insert(array, from, Math.min(from + RUN, end), height, order);
        }
        for (long run = RUN; run < end - begin; run *= 2) {
            for (long from = begin; from + run < end; from += 2 * run) {
                int middle = (int) (from + run);
                merge(array, (int) from, middle, (int) Math.min(middle + run, end), height, order);
            }
        }
    }

    private static void insert(int[] array, int begin, int end, long height, EdgeOrder order) {
        for (int i = begin + 1; i < end; i++) {
            int value = array[i];
            int at = i;
            while (at > begin && order.compare(array[at - 1], value, height) > 0) {
                array[at] = array[at - 1];
                at--;
            }
            array[at] = value;
        }
    }

    private static void merge(int[] array, int begin, int middle, int end, long height, EdgeOrder order) {
        if (order.compare(array[middle - 1], array[middle], height) <= 0) {
            return;
        }
        int[] left = Arrays.copyOfRange(array, begin, middle);
        int a = 0;
        int b = middle;
        int at = begin;
        while (a < left.length) {
            array[at++] = b < end && order.compare(array[b], left[a], height) < 0 ? array[b++] : left[a++];
        }
    }

    /** Sorts the first {@code count} numbers; few as a rule. */
    static void sort(int[] array, int count) {
        if (count > 24) {
            Arrays.sort(array, 0, count);
            return;
        }
        for (int i = 1; i < count; i++) {
            int value = array[i];
            int at = i;
            while (at > 0 && array[at - 1] > value) {
                array[at] = array[at - 1];
                at--;
            }
            array[at] = value;
        }
    }
}
