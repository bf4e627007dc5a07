package evendose.pieces;

import java.util.Optional;

/**
 * One piece by itself, with the coordinates that {@link Pieces} has in arrays.
 *
 * @param standing whether the parallel sides lie along y
 * @param low position of the low parallel side
 * @param high position of the high one, above {@code low}
 * @param fromLow where the low side begins
 * @param toLow where it ends, at least {@code fromLow}
 * @param fromHigh where the high side begins
 * @param toHigh where it ends, at least {@code fromHigh}
 */
public record Trapezoid(
        boolean standing, double low, double high, double fromLow, double toLow, double fromHigh, double toHigh) {

    /**
     * The trapezoid with the given corners, level if it can be, to exactly these numbers.
     *
     * @param xy x and y of four corners in order, from any of them and either way round; a triangle gives three, or repeats
     *     the one that stands for its side without length
     * @return empty if they are no trapezoid with two sides along x or two along y, or have no area
     */
    public static Optional<Trapezoid> ofCorners(double... xy) {
        if (xy.length == 6) {
            return triangle(xy);
        }
        if (xy.length != 8) {
            return Optional.empty();
        }
        double[] back = new double[8];
        double[] exchanged = new double[8];
        double[] exchangedBack = new double[8];
        for (int k = 0; k < 4; k++) {
            back[6 - 2 * k] = exchanged[2 * k + 1] = exchangedBack[7 - 2 * k] = xy[2 * k];
            back[7 - 2 * k] = exchanged[2 * k] = exchangedBack[6 - 2 * k] = xy[2 * k + 1];
        }
        return level(xy, false)
                .or(() -> level(back, false))
                .or(() -> level(exchangedBack, true))
                .or(() -> level(exchanged, true));
    }

    private static Optional<Trapezoid> triangle(double[] xy) {
        Optional<Trapezoid> standing = Optional.empty();
        for (int repeated = 0; repeated < 6; repeated += 2) {
            double[] four = new double[8];
            System.arraycopy(xy, 0, four, 0, repeated + 2);
            System.arraycopy(xy, repeated, four, repeated + 2, 6 - repeated);
            Optional<Trapezoid> found = ofCorners(four);
            if (found.isPresent() && !found.get().standing()) {
                return found;
            }
            standing = standing.or(() -> found);
        }
        return standing;
    }

    /** The level trapezoid with these corners anticlockwise from any; {@code standing} tells what was exchanged before. */
    private static Optional<Trapezoid> level(double[] xy, boolean standing) {
        for (int a = 0; a < 8; a += 2) {
            int b = a + 2 & 7;
            int c = a + 4 & 7;
            int d = a + 6 & 7;
            if (xy[a + 1] == xy[b + 1]
                    && xy[c + 1] == xy[d + 1]
                    && xy[a + 1] < xy[c + 1]
                    && xy[a] <= xy[b]
                    && xy[d] <= xy[c]
                    && (xy[a] < xy[b] || xy[d] < xy[c])) {
                return Optional.of(new Trapezoid(standing, xy[a + 1], xy[c + 1], xy[a], xy[b], xy[d], xy[c]));
            }
        }
        return Optional.empty();
    }
}
