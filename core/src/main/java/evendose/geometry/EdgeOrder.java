package evendose.geometry;

import java.util.Arrays;

/** Order of two numbered things from left to right just above a height of the scan line. */
interface EdgeOrder {
    /** Negative, 0 or positive, as {@code a} lies to the left of {@code b}, on the same line or to the right. */
    int compare(int a, int b, long height);

    /** Quick on what is nearly sorted. */
    static void sort(int[] array, int begin, int end, long height, EdgeOrder order) {
        if (end - begin > 24) {
            mergeSort(array, begin, end, height, order);
            return;
        }
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

    private static void mergeSort(int[] array, int begin, int end, long height, EdgeOrder order) {
        int middle = (begin + end) >>> 1;
        sort(array, begin, middle, height, order);
        sort(array, middle, end, height, order);
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
