package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.List;
import org.junit.jupiter.api.Test;

class SpreadTest {
    /** -1, 2, -3 ... 20: the mean is 0.5, the sum of squares 20 * 21 * 41 / 6, and 19 of 20 magnitudes do not exceed 19. */
    @Test
    void twentyValuesByHand() {
        double[] values = new double[23];
        for (int k = 1; k <= 20; k++) {
            values[k] = k % 2 == 0 ? k : -k;
        }
        values[0] = Double.NaN;
        values[21] = Double.POSITIVE_INFINITY;
        values[22] = Double.NEGATIVE_INFINITY;
        Spread spread = Spread.of(values);
        assertEquals(20, spread.count());
        assertEquals(0.5, spread.mean(), 1e-15);
        assertEquals(Math.sqrt(143.5), spread.rms(), 1e-14);
        assertEquals(19, spread.p95());
        assertEquals(20, spread.max());
    }

    /** What weighs twice counts as if it were there twice. */
    @Test
    void weightsCount() {
        Spread weighted =
                Spread.of(List.of(new double[] {1, -3}, new double[] {2, Double.NaN, 10}), new double[] {2, 1});
        Spread plain = Spread.of(new double[] {1, 1, -3, -3, 2, 10});
        assertEquals(4, weighted.count());
        assertEquals(plain.mean(), weighted.mean(), 1e-15);
        assertEquals(plain.rms(), weighted.rms(), 1e-15);
        assertEquals(10, weighted.p95());
        double[] ones = {1, -1, 1, 1};
        double[] nine = {9};
        assertEquals(1, Spread.of(List.of(ones, nine), new double[] {5, 1}).p95(), "20 of 21");
        assertEquals(9, Spread.of(List.of(ones, nine), new double[] {5, 1.2}).p95(), "20 of 21.2");
        // The same array is that of an equal tile.
        assertEquals(
                Spread.of(List.of(ones, nine, ones.clone()), new double[] {1, 2, 3}),
                Spread.of(List.of(ones, nine, ones), new double[] {1, 2, 3}));
    }

    @Test
    void aSingleValueIsAllOfThem() {
        assertEquals(new Spread(1, -2, 2, 2, 2), Spread.of(new double[] {-2}));
    }

    @Test
    void nothingSpreadsNothing() {
        assertEquals(new Spread(0, 0, 0, 0, 0), Spread.of(new double[] {Double.NaN}));
    }
}
