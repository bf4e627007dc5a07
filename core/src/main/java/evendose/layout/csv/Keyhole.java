package evendose.layout.csv;

import java.util.Arrays;
import java.util.List;

/**
 * Makes one polygon of an outer ring and its holes. Each hole turns against the outer ring and is tied to its first point by
 * an edge that runs to and fro. Such a pair of edges changes no winding number, wherever it runs, so inside a hole the
 * winding number is 0 and between hole and outer ring it is 1 or -1.
 */
final class Keyhole {
    private Keyhole() {}

    /**
     * @param rings outer ring first, x0, y0, x1, y1, ...; closing points may be repeated
     * @return the polygon, without a repeated closing point
     * @throws IllegalArgumentException if a hole reaches beyond the box around the outer ring
     */
    static long[] join(List<long[]> rings) {
        long[] outer = open(rings.get(0));
        if (rings.size() == 1) {
            return outer;
        }
        int length = outer.length;
        for (long[] hole : rings) {
            length += hole.length + 4;
        }
        long[] joined = Arrays.copyOf(outer, length);
        int at = outer.length;
        boolean clockwise = area(outer) < 0;
        for (long[] ring : rings.subList(1, rings.size())) {
            long[] hole = open(ring);
            if (hole.length < 6) {
                continue;
            }
            checkInside(hole, outer);
            if ((area(hole) < 0) == clockwise) {
                reverse(hole);
            }
            joined[at++] = outer[0];
            joined[at++] = outer[1];
            System.arraycopy(hole, 0, joined, at, hole.length);
            at += hole.length;
            joined[at++] = hole[0];
            joined[at++] = hole[1];
        }
        return Arrays.copyOf(joined, at);
    }

    private static long[] open(long[] ring) {
        int n = ring.length;
        while (n > 2 && ring[0] == ring[n - 2] && ring[1] == ring[n - 1]) {
            n -= 2;
        }
        return Arrays.copyOf(ring, n);
    }

    /** Twice the area, positive if counter-clockwise; relative to the first point, so that little is cancelled. */
    private static double area(long[] ring) {
        double sum = 0;
        for (int i = 2; i + 3 < ring.length; i += 2) {
            sum += (double) (ring[i] - ring[0]) * (ring[i + 3] - ring[1])
                    - (double) (ring[i + 2] - ring[0]) * (ring[i + 1] - ring[1]);
        }
        return sum;
    }

    private static void reverse(long[] ring) {
        for (int i = 0, j = ring.length - 2; i < j; i += 2, j -= 2) {
            long x = ring[i];
            long y = ring[i + 1];
            ring[i] = ring[j];
            ring[i + 1] = ring[j + 1];
            ring[j] = x;
            ring[j + 1] = y;
        }
    }

    private static void checkInside(long[] hole, long[] outer) {
        for (int axis = 0; axis < 2; axis++) {
            long low = Long.MAX_VALUE;
            long high = Long.MIN_VALUE;
            for (int i = axis; i < outer.length; i += 2) {
                low = Math.min(low, outer[i]);
                high = Math.max(high, outer[i]);
            }
            for (int i = axis; i < hole.length; i += 2) {
                if (hole[i] < low || hole[i] > high) {
                    throw new IllegalArgumentException(
                            "a hole lies outside the outer ring; the first ring must be the outer one");
                }
            }
        }
    }
}
