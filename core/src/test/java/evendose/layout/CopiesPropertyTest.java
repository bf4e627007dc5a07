package evendose.layout;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.SplittableRandom;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Random repetitions, matrices and boxes against a look at every copy. */
class CopiesPropertyTest {
    private static final double ROUNDING = 0x1p-46;

    /** A step of the kinds that make trouble: none, along an axis, like another, large, small. */
    private static long[] step(SplittableRandom random, long[] other) {
        long scale = 1L << random.nextInt(2, 30);
        long x = random.nextLong(-scale, scale + 1);
        long y = random.nextLong(-scale, scale + 1);
        return switch (random.nextInt(7)) {
            case 0 -> new long[] {0, 0};
            case 1 -> new long[] {x, 0};
            case 2 -> new long[] {0, y};
            case 3 -> other.clone();
            case 4 -> new long[] {-3 * other[0], -3 * other[1]};
            case 5 -> new long[] {other[0] + 1, other[1]};
            default -> new long[] {x, y};
        };
    }

    private static Repetition repetition(SplittableRandom random) {
        if (random.nextInt(8) == 0) {
            return new Repetition.Places(random.longs(2L * random.nextInt(1, 100), -(1L << 20), 1L << 20)
                    .toArray());
        }
        long[] u = step(random, new long[] {1000, 10});
        long[] v = step(random, u);
        int columns = random.nextInt(1, 20);
        int rows = random.nextInt(1, 20);
        // Not a multiple of the number of steps: a step need not be whole.
        return new Repetition.Grid(
                columns, rows, columns * u[0] + random.nextInt(2), columns * u[1], rows * v[0], rows * v[1]);
    }

    /** A turn by a right angle, by any, or any matrix at all. */
    private static double[] matrix(SplittableRandom random) {
        double angle = Math.toRadians(random.nextDouble(360));
        double scale = Math.exp(random.nextDouble(-5, 5));
        double mirror = random.nextBoolean() ? 1 : -1;
        return switch (random.nextInt(4)) {
            case 0 -> new double[] {mirror, 0, 0, 1};
            case 1 -> new double[] {0, mirror, 1, 0};
            case 2 -> random.doubles(4, -2, 2).toArray();
            default ->
                new double[] {
                    scale * Math.cos(angle),
                    -scale * mirror * Math.sin(angle),
                    scale * Math.sin(angle),
                    scale * mirror * Math.cos(angle)
                };
        };
    }

    @ParameterizedTest
    @ValueSource(ints = {1, 2, 3, 4})
    void exactlyTheCopiesInTheBox(int seed) {
        SplittableRandom random = new SplittableRandom(seed);
        long found = 0;
        long left = 0;
        for (int round = 0; round < 25_000; round++) {
            Repetition r = repetition(random);
            double[] m = matrix(random);
            int n = (int) r.count();
            double[] x = new double[n];
            double[] y = new double[n];
            Box extent = new Box();
            for (int k = 0; k < n; k++) {
                x[k] = m[0] * r.x(k) + m[1] * r.y(k);
                y[k] = m[2] * r.x(k) + m[3] * r.y(k);
                extent.include(x[k], y[k]);
            }
            // Boxes about a copy, some so that it lies on a side, of any size from a point to all.
            int middle = random.nextInt(n);
            double size = extent.largest() * Math.exp(random.nextDouble(-12, 1)) * random.nextInt(2);
            double height = size * Math.exp(random.nextDouble(-3, 3)) * random.nextInt(2);
            Box box = new Box()
                    .include(x[middle] - size * random.nextInt(2), y[middle] - height * random.nextInt(2))
                    .include(x[middle] + size * random.nextDouble(), y[middle] + height * random.nextDouble());
            double rounding = ROUNDING * Math.max(extent.largest(), box.largest());
            if (random.nextInt(4) > 0) {
                box.include(box.left - rounding, box.bottom - rounding)
                        .include(box.right + rounding, box.top + rounding);
            }
            Copies copies = Copies.in(box, r, m[0], m[1], m[2], m[3]);
            long next = copies.next();
            for (int k = 0; k < n; k++) {
                double inside = Math.min(
                        Math.min(x[k] - box.left, box.right - x[k]), Math.min(y[k] - box.bottom, box.top - y[k]));
                if (next == k) {
                    assertTrue(inside >= -rounding, () -> r + " " + inside);
                    next = copies.next();
                    found++;
                } else {
                    assertTrue(inside < rounding, () -> r + " " + inside);
                    left++;
                }
            }
            assertEquals(-1, next, "numbers rise and end");
        }
        assertTrue(found > 100_000 && left > 100_000, found + " found, " + left + " left");
    }
}
