package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

class EvenSampleTest {
    @Test
    void fewAreAllTaken() {
        assertArrayEquals(new int[] {0, 1, 2}, EvenSample.of(3, 3, 1));
        assertArrayEquals(new int[] {0, 1, 2}, EvenSample.of(3, 9, 1));
        assertEquals(0, EvenSample.of(0, 9, 1).length);
    }

    /** Ranges of 1.1 things: none is taken twice, and each lies in its own range. */
    @Test
    void oneInEachRangeAndNoneTwice() {
        for (int n : new int[] {1100, 1999, 2000, 100_000, Integer.MAX_VALUE}) {
            int[] chosen = EvenSample.of(n, 1000, 19);
            assertEquals(1000, Arrays.stream(chosen).distinct().count());
            for (int k = 0; k < 1000; k++) {
                assertTrue(
                        chosen[k] > k * (n / 1000.0) - 1 && chosen[k] < (k + 1) * (n / 1000.0), k + ": " + chosen[k]);
            }
        }
        assertArrayEquals(EvenSample.of(5000, 100, 3), EvenSample.of(5000, 100, 3));
        assertFalse(Arrays.equals(EvenSample.of(5000, 100, 3), EvenSample.of(5000, 100, 4)));
        // Places within ranges of 50 are spread evenly: a mean of 24.5 with a standard error of 1.4.
        int[] many = EvenSample.of(5000, 100, 3);
        double mean = 0;
        for (int k = 0; k < 100; k++) {
            mean += (many[k] - 50 * k) / 100.0;
        }
        assertEquals(24.5, mean, 4.5);
    }
}
