package evendose.geometry;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/** The lists that the scan line keeps, against plain ones of the standard library. */
class ScanLineListsTest {
    private final SplittableRandom random = new SplittableRandom(11);

    /** Pushes and pops in turn; each crossing keeps its edges. */
    @Test
    void theLowestCrossingComesFirst() {
        for (int trial = 0; trial < 200; trial++) {
            Crossings crossings = new Crossings();
            List<Long> kept = new ArrayList<>();
            for (int step = 0; step < 120; step++) {
                if (kept.isEmpty() || random.nextInt(5) < 3) {
                    long height = random.nextInt(50);
                    crossings.push(height, (int) height + 100, (int) height + 200);
                    kept.add(height);
                } else {
                    crossings.pop();
                    kept.remove(0);
                }
                kept.sort(null);
                assertEquals(kept.size(), crossings.size);
                if (!kept.isEmpty()) {
                    assertEquals(kept.get(0), crossings.heights[0]);
                    assertEquals(kept.get(0) + 100, crossings.left[0]);
                    assertEquals(kept.get(0) + 200, crossings.right[0]);
                }
            }
        }
    }

    @Test
    void fewAndManyAreSortedAndEqualOnesKeepTheirOrder() {
        for (int n : new int[] {0, 1, 2, 23, 24, 25, 26, 49, 51, 200}) {
            for (int trial = 0; trial < 20; trial++) {
                int[] key = random.ints(n, 0, Math.max(1, n / 3)).toArray();
                int[] numbers = new int[n + 5];
                Integer[] expected = new Integer[n];
                for (int k = 0; k < n; k++) {
                    numbers[k + 2] = k;
                    expected[k] = k;
                }
                numbers[0] = numbers[n + 4] = -7;
                EdgeOrder.sort(numbers, 2, n + 2, 33, (a, b, height) -> {
                    assertEquals(33, height);
                    return Integer.compare(key[a], key[b]);
                });
                Arrays.sort(expected, Comparator.comparingInt(a -> key[a]));
                assertArrayEquals(
                        Arrays.stream(expected).mapToInt(a -> a).toArray(), Arrays.copyOfRange(numbers, 2, n + 2));
                assertEquals(-7, numbers[0]);
                assertEquals(-7, numbers[n + 4]);
                int[] plain = Arrays.copyOf(key, n + 1);
                plain[n] = -9;
                EdgeOrder.sort(plain, n);
                int[] sorted = key.clone();
                Arrays.sort(sorted);
                assertArrayEquals(sorted, Arrays.copyOf(plain, n));
                assertEquals(-9, plain[n]);
            }
        }
    }

    @Test
    void rangesAreSortedByWhereTheyBegin() {
        for (int n : new int[] {1, 5, 24, 25, 300}) {
            DisturbedRanges ranges = new DisturbedRanges();
            List<int[]> expected = new ArrayList<>();
            for (int k = 0; k < n; k++) {
                int first = random.nextInt(1 << 30);
                int end = first + random.nextInt(9);
                ranges.add(first, end, end % 2 == 1);
                expected.add(new int[] {first, end});
            }
            ranges.sort();
            expected.sort(Comparator.<int[]>comparingInt(r -> r[0]).thenComparingInt(r -> r[1]));
            assertEquals(n, ranges.size);
            for (int p = 0; p < n; p++) {
                assertEquals(expected.get(p)[0], ranges.first(p));
                assertEquals(expected.get(p)[1], ranges.end(p));
                assertEquals(expected.get(p)[1] % 2 == 1, ranges.counted(p));
            }
        }
    }

    /** Things numbered from 0 with new ones put in before some of them, as a list does it. */
    @Test
    void rangesMoveWithTheirEdges() {
        for (int trial = 0; trial < 300; trial++) {
            int n = 1 + random.nextInt(12);
            int[] before = random.ints(random.nextInt(6), 0, n + 1).sorted().toArray();
            List<Integer> list = new ArrayList<>();
            for (int i = 0; i <= n; i++) {
                for (int b : before) {
                    if (b == i) {
                        list.add(-1);
                    }
                }
                if (i < n) {
                    list.add(i);
                }
            }
            DisturbedRanges ranges = new DisturbedRanges();
            for (int first = 0; first <= n; first++) {
                for (int end = first; end <= n; end++) {
                    ranges.add(first, end, (first + end) % 2 == 0);
                }
            }
            ranges.shift(before, before.length);
            int p = 0;
            for (int first = 0; first <= n; first++) {
                for (int end = first; end <= n; end++) {
                    int newFirst = first < end ? list.indexOf(first) : first == 0 ? 0 : list.indexOf(first - 1) + 1;
                    int newEnd = first < end ? list.indexOf(end - 1) + 1 : newFirst;
                    assertEquals(newFirst, ranges.first(p));
                    assertEquals(newEnd, ranges.end(p));
                    assertEquals((first + end) % 2 == 0, ranges.counted(p));
                    p++;
                }
            }
        }
    }
}
