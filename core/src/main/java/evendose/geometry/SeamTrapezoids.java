package evendose.geometry;

import java.util.Arrays;

/**
 * BandTrapezoids that are cut by the border of a band, from left to right, with their lines: {@code LINES} numbers per span, that is
 * {@code x, y, dx, dy} of the left line, then of the right line.
 */
final class SeamTrapezoids {
    static final int LINES = 8;

    int size;
    int[] span = new int[16];
    long[] lines = new long[16 * LINES];

    void add(int number) {
        if (size == span.length) {
            span = Arrays.copyOf(span, 2 * size);
            lines = Arrays.copyOf(lines, 2 * size * LINES);
        }
        span[size++] = number;
    }

    /** Order of the left lines of span {@code i} here and span {@code j} of {@code other}, just above {@code height}. */
    int compareLeft(long height, int i, SeamTrapezoids other, int j) {
        return compare(height, i * LINES, other, j * LINES);
    }

    /** Order of the right lines of span {@code i} here and span {@code j} of {@code other}, just above {@code height}. */
    int compareRight(long height, int i, SeamTrapezoids other, int j) {
        return compare(height, i * LINES + 4, other, j * LINES + 4);
    }

    private int compare(long height, int a, SeamTrapezoids other, int b) {
        long[] p = lines;
        long[] q = other.lines;
        return Lines.compare(height, p[a], p[a + 1], p[a + 2], p[a + 3], q[b], q[b + 1], q[b + 2], q[b + 3]);
    }

    double left(long height, int i) {
        return x(height, i * LINES);
    }

    double right(long height, int i) {
        return x(height, i * LINES + 4);
    }

    double leftSlope(int i) {
        return Lines.slope(lines[i * LINES + 2], lines[i * LINES + 3]);
    }

    double rightSlope(int i) {
        return Lines.slope(lines[i * LINES + 6], lines[i * LINES + 7]);
    }

    private double x(long height, int a) {
        return Lines.x(height, lines[a], lines[a + 1], lines[a + 2], lines[a + 3]);
    }

    /** Sorts by left line just above {@code height}; nearly sorted already, but for lines that meet there. */
    void sort(long height) {
        long[] kept = new long[LINES];
        for (int i = 1; i < size; i++) {
            int to = i;
            while (to > 0 && compareLeft(height, to - 1, this, i) > 0) {
                to--;
            }
            if (to == i) {
                continue;
            }
            int number = span[i];
            System.arraycopy(lines, i * LINES, kept, 0, LINES);
            System.arraycopy(span, to, span, to + 1, i - to);
            System.arraycopy(lines, to * LINES, lines, (to + 1) * LINES, (i - to) * LINES);
            span[to] = number;
            System.arraycopy(kept, 0, lines, to * LINES, LINES);
        }
    }
}
