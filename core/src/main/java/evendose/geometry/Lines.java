package evendose.geometry;

import java.math.BigInteger;

/**
 * Exact arithmetic on the supporting lines of edges, kernel of the scan line.
 *
 * <p>A line is given by an integer point {@code (x, y)} and an integer direction {@code (dx, dy)} with {@code dy > 0}, all in
 * dbu. Heights are counted on a finer grid of {@link #STEPS} steps per dbu. On it, x is the rational number
 * {@code x + dx (height - y STEPS) / (dy STEPS)}; it is split into its floor and a remainder, so that a 64-bit division serves
 * unless an edge is some 90 million dbu long, when {@link BigInteger} takes over. Coordinates must keep to
 * {@link Polygons#MAX_COORDINATE}; nothing is checked.
 */
final class Lines {
    /** Steps of the height grid per dbu, as a power of two. */
    static final int STEP_BITS = 10;

    /** Steps of the height grid per dbu. */
    static final int STEPS = 1 << STEP_BITS;

    private Lines() {}

    /**
     * Order of two lines just above {@code height}: by x there, then by slope; 0 only if the lines are the same.
     */
    static int compare(long height, long xa, long ya, long dxa, long dya, long xb, long yb, long dxb, long dyb) {
        int order = compareX(height, xa, ya, dxa, dya, xb, yb, dxb, dyb);
        return order != 0 ? order : compareProducts(dxa, dyb, dxb, dya);
    }

    /** Order of x on two lines at {@code height}. */
    static int compareX(long height, long xa, long ya, long dxa, long dya, long xb, long yb, long dxb, long dyb) {
        long riseA = height - (ya << STEP_BITS);
        long riseB = height - (yb << STEP_BITS);
        if (overflows(dxa, riseA) || overflows(dxb, riseB)) {
            BigInteger bottomA = BigInteger.valueOf(dya << STEP_BITS);
            BigInteger bottomB = BigInteger.valueOf(dyb << STEP_BITS);
            BigInteger a = BigInteger.valueOf(xa).multiply(bottomA).add(product(dxa, riseA));
            BigInteger b = BigInteger.valueOf(xb).multiply(bottomB).add(product(dxb, riseB));
            return a.multiply(bottomB).compareTo(b.multiply(bottomA));
        }
        long bottomA = dya << STEP_BITS;
        long bottomB = dyb << STEP_BITS;
        long floorA = Math.floorDiv(dxa * riseA, bottomA);
        long floorB = Math.floorDiv(dxb * riseB, bottomB);
        int order = Long.compare(xa + floorA, xb + floorB);
        return order != 0
                ? order
                : compareProducts(dxa * riseA - floorA * bottomA, bottomB, dxb * riseB - floorB * bottomB, bottomA);
    }

    /**
     * x at {@code height}, rounded once or twice. Lines that are the same give the same number whichever point stands for them;
     * rounding never swaps two numbers, and whole numbers are exact.
     */
    static double x(long height, long x, long y, long dx, long dy) {
        if (dx == 0) {
            return x;
        }
        long rise = height - (y << STEP_BITS);
        long bottom = dy << STEP_BITS;
        if (overflows(dx, rise)) {
            BigInteger divisor = BigInteger.valueOf(bottom);
            BigInteger top = product(dx, rise);
            BigInteger rest = top.mod(divisor);
            long floor = top.subtract(rest).divide(divisor).longValueExact();
            return (x + floor) + rest.doubleValue() / bottom;
        }
        long floor = Math.floorDiv(dx * rise, bottom);
        return (x + floor) + (double) (dx * rise - floor * bottom) / bottom;
    }

    /** dx / dy per step of the height grid; the same for lines that are the same. */
    static double slope(long dx, long dy) {
        return dx == 0 ? 0 : (double) dx / (dy << STEP_BITS);
    }

    /** Order of {@code a b} and {@code c d}, in 128 bits. */
    static int compareProducts(long a, long b, long c, long d) {
        int order = Long.compare(Math.multiplyHigh(a, b), Math.multiplyHigh(c, d));
        return order != 0 ? order : Long.compareUnsigned(a * b, c * d);
    }

    private static boolean overflows(long a, long b) {
        return Math.multiplyHigh(a, b) != (a * b) >> 63;
    }

    private static BigInteger product(long a, long b) {
        return BigInteger.valueOf(a).multiply(BigInteger.valueOf(b));
    }
}
