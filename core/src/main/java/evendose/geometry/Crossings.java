package evendose.geometry;

import java.util.Arrays;

/** Crossings of edges to come, a binary heap: the lowest stands first. */
final class Crossings {
    int size;
    long[] heights = new long[16];
    int[] left = new int[16];
    int[] right = new int[16];

    /** Takes in that the edges {@code a} and {@code b} cross at a height. */
    void push(long height, int a, int b) {
        if (size == heights.length) {
            heights = Arrays.copyOf(heights, 2 * size);
            left = Arrays.copyOf(left, 2 * size);
            right = Arrays.copyOf(right, 2 * size);
        }
        int i = size++;
        while (i > 0) {
            int up = (i - 1) >>> 1;
            if (heights[up] <= height) {
                break;
            }
            move(up, i);
            i = up;
        }
        heights[i] = height;
        left[i] = a;
        right[i] = b;
    }

    /** Forgets the lowest crossing. */
    void pop() {
        int lastOne = --size;
        long height = heights[lastOne];
        int a = left[lastOne];
        int b = right[lastOne];
        int i = 0;
        while (2 * i + 1 < lastOne) {
            int down = 2 * i + 1;
            if (down + 1 < lastOne && heights[down + 1] < heights[down]) {
                down++;
            }
            if (heights[down] >= height) {
                break;
            }
            move(down, i);
            i = down;
        }
        heights[i] = height;
        left[i] = a;
        right[i] = b;
    }

    private void move(int source, int target) {
        heights[target] = heights[source];
        left[target] = left[source];
        right[target] = right[source];
    }
}
