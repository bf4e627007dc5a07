package evendose.tiles;

import java.util.List;

/**
 * Sizes of tiles for which they repeat where the layout does: a multiple of an array's step, or a whole part of it.
 *
 * @param x width of tiles, dbu; 0 if nothing repeats along x, and any will do
 * @param y height of tiles, dbu, likewise
 */
record TileSteps(long x, long y) {
    /** How much larger than wanted a tile may be. */
    private static final double LARGER = 1.5;

    /**
     * The sizes nearest to what is wanted.
     *
     * @param periods steps of arrays, the outermost first, as {@link evendose.layout.WindowContents#periods} gives them
     * @param wanted side of a tile, dbu
     * @param grid sizes are multiples of it, dbu
     */
    static TileSteps of(List<long[]> periods, double wanted, long grid) {
        return new TileSteps(along(periods, 0, wanted, grid), along(periods, 1, wanted, grid));
    }

    private static long along(List<long[]> periods, int axis, double wanted, long grid) {
        long outer = 0;
        for (long[] steps : periods) {
            long period = steps[axis];
            if (period > 0 && period <= LARGER * wanted) {
                long multiple = multiple(period, outer, wanted);
                return multiple % grid == 0 ? multiple : 0;
            }
            outer = period > 0 ? period : outer;
        }
        // Arrays of large cells only: a part of the innermost.
        long parts = (long) Math.ceil(outer / (LARGER * wanted));
        for (long k = parts; outer > 0 && k < 4 * parts; k++) {
            if (outer % (k * grid) == 0) {
                return outer / k;
            }
        }
        return 0;
    }

    /** A multiple of the period about as large as wanted, which divides the outer period if it can. */
    private static long multiple(long period, long outer, double wanted) {
        long n = Math.max(1, Math.round(wanted / period));
        if (outer > 0 && outer % period == 0) {
            for (long less = n; 2 * less >= n; less--) {
                if (outer / period % less == 0) {
                    return less * period;
                }
            }
        }
        return n * period;
    }

    /** The largest step that leads from any tile to any other; 0 if nothing repeats. */
    long common() {
        long a = x;
        long b = y;
        while (b > 0) {
            long rest = a % b;
            a = b;
            b = rest;
        }
        return a;
    }
}
