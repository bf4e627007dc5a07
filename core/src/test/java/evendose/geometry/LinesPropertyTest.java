package evendose.geometry;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.BigInteger;
import java.math.MathContext;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/** {@link Lines} and {@link Outlines} against arbitrary precision, over all magnitudes of coordinates. */
class LinesPropertyTest {
    private static final int CASES = 20_000;

    private final SplittableRandom random = new SplittableRandom(21);

    /** A line {@code x, y, dx, dy} that passes near the origin as often as far from it. */
    private long[] line(int bits) {
        long reach = 1L << bits;
        return new long[] {
            random.nextLong(-reach, reach),
            random.nextLong(-reach, reach),
            random.nextInt(5) == 0 ? 0 : random.nextLong(-reach, reach),
            random.nextLong(1, reach)
        };
    }

    /** Numerator of x times {@code dy STEPS} at {@code height}. */
    private static BigInteger numerator(long[] l, long height) {
        BigInteger rise = BigInteger.valueOf(height - l[1] * Lines.STEPS);
        return BigInteger.valueOf(l[0]).multiply(denominator(l)).add(rise.multiply(BigInteger.valueOf(l[2])));
    }

    private static BigInteger denominator(long[] l) {
        return BigInteger.valueOf(l[3]).multiply(BigInteger.valueOf(Lines.STEPS));
    }

    @Test
    void orderIsExact() {
        int equal = 0;
        for (int i = 0; i < CASES; i++) {
            long[] a = line(2 + i % 41);
            long[] b = line(2 + i % 41);
            long height = random.nextLong(-(1L << (12 + i % 41)), 1L << (12 + i % 41));
            if (i % 3 == 0) {
                // The same line through another of its points; every other time, off by the least.
                b = new long[] {a[0] + a[2], a[1] + a[3] + i % 2, a[2], a[3]};
            }
            int order = numerator(a, height)
                    .multiply(denominator(b))
                    .compareTo(numerator(b, height).multiply(denominator(a)));
            int slopes = BigInteger.valueOf(a[2])
                    .multiply(BigInteger.valueOf(b[3]))
                    .compareTo(BigInteger.valueOf(b[2]).multiply(BigInteger.valueOf(a[3])));
            assertEquals(order, Lines.compareX(height, a[0], a[1], a[2], a[3], b[0], b[1], b[2], b[3]));
            assertEquals(
                    order != 0 ? order : slopes, Lines.compare(height, a[0], a[1], a[2], a[3], b[0], b[1], b[2], b[3]));
            double xa = Lines.x(height, a[0], a[1], a[2], a[3]);
            double xb = Lines.x(height, b[0], b[1], b[2], b[3]);
            assertTrue(order < 0 ? xa <= xb : order > 0 ? xa >= xb : xa == xb);
            equal += order == 0 ? 1 : 0;
        }
        assertTrue(equal > CASES / 10);
    }

    @Test
    void xIsRoundedOnceOrTwice() {
        for (int i = 0; i < CASES; i++) {
            long[] a = line(2 + i % 41);
            long height = a[1] * Lines.STEPS + random.nextLong(0, a[3] * Lines.STEPS + 1);
            BigDecimal exact =
                    new BigDecimal(numerator(a, height)).divide(new BigDecimal(denominator(a)), MathContext.DECIMAL128);
            double x = Lines.x(height, a[0], a[1], a[2], a[3]);
            assertEquals(exact.doubleValue(), x, 1.01 * Math.ulp(Math.abs(x) + 1));
            assertEquals(a[0] + a[2], Lines.x((a[1] + a[3]) * Lines.STEPS, a[0], a[1], a[2], a[3]));
        }
    }

    @Test
    void orientationIsTheSignOfTheArea() {
        for (int i = 0; i < CASES; i++) {
            int points = 3 + i % 6;
            long reach = 1L << (1 + i % 42);
            long[] xy = new long[2 * points + 2];
            BigInteger area = BigInteger.ZERO;
            for (int k = 2; k < xy.length; k++) {
                xy[k] = random.nextLong(-reach, reach + 1);
            }
            for (int k = 2; k < xy.length; k += 2) {
                int next = k + 2 < xy.length ? k + 2 : 2;
                area = area.add(BigInteger.valueOf(xy[k]).multiply(BigInteger.valueOf(xy[next + 1])))
                        .subtract(BigInteger.valueOf(xy[next]).multiply(BigInteger.valueOf(xy[k + 1])));
            }
            assertEquals(area.signum(), Outlines.orientation(xy, 2, points));
        }
    }

    @Test
    void convexMeansOneTurnOneWay() {
        long[] hexagon = {0, 0, 5, 0, 9, 4, 9, 4, 5, 8, 2, 8, 0, 4};
        assertTrue(Outlines.convex(hexagon, 0, 7));
        assertTrue(Outlines.convex(new long[] {0, 4, 2, 8, 5, 8, 9, 4, 5, 0, 0, 0}, 0, 6));
        assertTrue(Outlines.convex(new long[] {0, 0, 5, 0, 10, 0, 10, 10}, 0, 4));
        assertFalse(Outlines.convex(new long[] {0, 0, 9, 0, 9, 9, 4, 9, 4, 4, 0, 4}, 0, 6));
        assertFalse(Outlines.convex(new long[] {0, 0, 10, 10, 10, 0, 0, 10}, 0, 4));
        // A pentagram turns one way only, but twice round.
        assertFalse(Outlines.convex(new long[] {0, 1000, 588, -809, -951, 309, 951, 309, -588, -809}, 0, 5));
        // A spike.
        assertFalse(Outlines.convex(new long[] {0, 0, 10, 0, 20, 0, 10, 0, 10, 10, 0, 10}, 0, 6));
    }
}
