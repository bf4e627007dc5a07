package evendose.correction;

import evendose.Supported;
import java.io.Serializable;
import java.util.Arrays;
import java.util.Locale;

/**
 * Dose levels in rising order, for writers that take a limited number of doses. Where neighbours differ by a constant ratio q,
 * snapping to the nearest in ratio costs at most {@code sqrt(q) - 1} of the dose.
 *
 * @serial exclude
 */
@Supported
public final class DoseLevels implements Serializable {
    private static final long serialVersionUID = 1L;

    /** Most levels. */
    public static final int MOST = 65_536;

    /** Levels made when the user asks for no number: as many as datatypes of one byte. */
    public static final int USUAL = 256;

    private final double[] factors;

    private DoseLevels(double[] factors) {
        this.factors = factors;
    }

    /**
     * {@return levels in geometric spacing}
     *
     * @param smallest smallest factor, positive
     * @param largest largest factor, at least {@code smallest}
     * @param count number of levels, 1 to {@link #MOST}; fewer are made if the range is empty
     */
    public static DoseLevels geometric(double smallest, double largest, int count) {
        if (!(smallest > 0) || !(largest >= smallest) || count < 1 || count > MOST) {
            throw new IllegalArgumentException(
                    "cannot make " + count + " dose levels from " + smallest + " to " + largest);
        }
        if (count == 1 || smallest == largest) {
            return new DoseLevels(new double[] {Math.sqrt(smallest * largest)});
        }
        double[] factors = new double[count];
        double ratio = Math.log(largest / smallest);
        for (int k = 0; k < count; k++) {
            factors[k] = smallest * Math.exp(ratio * k / (count - 1));
        }
        factors[count - 1] = largest;
        return new DoseLevels(factors);
    }

    /** Levels that only group free doses: {@link #USUAL} geometric ones from the smallest to the largest. */
    static DoseLevels grouping(double[] factors) {
        return factors.length == 0
                ? geometric(1, 1, 1)
                : geometric(
                        Arrays.stream(factors).min().orElseThrow(),
                        Arrays.stream(factors).max().orElseThrow(),
                        USUAL);
    }

    /**
     * {@return levels at powers of {@code 1 + percent / 100} that reach from the smallest factor to the largest; factor 1 is on their
     * ladder}
     *
     * @param smallest smallest factor, positive
     * @param largest largest factor, at least {@code smallest}
     * @param percent distance of neighbours, percent, positive
     * @throws IllegalArgumentException if that asks for more than {@link #MOST} levels
     */
    public static DoseLevels step(double smallest, double largest, double percent) {
        if (!(smallest > 0) || !(largest >= smallest) || !(percent > 0)) {
            throw new IllegalArgumentException(
                    "cannot make dose levels of " + percent + " percent from " + smallest + " to " + largest);
        }
        double log = Math.log1p(percent / 100);
        double first = Math.floor(Math.log(smallest) / log + 0.5);
        double last = Math.max(first, Math.floor(Math.log(largest) / log + 0.5));
        if (last - first >= MOST) {
            throw new IllegalArgumentException(
                    "steps of " + percent + " percent ask for more than " + MOST + " levels");
        }
        double[] factors = new double[(int) (last - first) + 1];
        for (int k = 0; k < factors.length; k++) {
            factors[k] = Math.exp(log * (first + k));
        }
        return new DoseLevels(factors);
    }

    /**
     * {@return given levels}
     *
     * @param factors rising, positive, at least one; copied
     * @throws IllegalArgumentException if that does not hold
     */
    public static DoseLevels of(double[] factors) {
        if (factors.length == 0 || factors.length > MOST) {
            throw new IllegalArgumentException("number of dose levels must lie in 1 to " + MOST);
        }
        for (int k = 0; k < factors.length; k++) {
            if (!(factors[k] > (k == 0 ? 0 : factors[k - 1])) || Double.isInfinite(factors[k])) {
                throw new IllegalArgumentException(
                        "dose levels must be positive and rise, level " + k + " is " + factors[k]);
            }
        }
        return new DoseLevels(factors.clone());
    }

    /** {@return number of levels} */
    public int size() {
        return factors.length;
    }

    /**
     * {@return factor of level {@code k}, 0 to {@code size() - 1}}
     *
     * @param k number of the level
     */
    public double factor(int k) {
        return factors[k];
    }

    /** {@return the factors of all levels, a new array} */
    public double[] factors() {
        return factors.clone();
    }

    /**
     * {@return the level nearest to {@code factor} in ratio}
     *
     * @param factor a dose factor
     */
    public int nearest(double factor) {
        int k = Arrays.binarySearch(factors, factor);
        if (k >= 0) {
            return k;
        }
        int above = -k - 1;
        if (above == 0) {
            return 0;
        }
        if (above == factors.length) {
            return factors.length - 1;
        }
        return factor * factor < factors[above - 1] * factors[above] ? above - 1 : above;
    }

    /** The level whose difference from {@code factor} is smallest. */
    int closest(double factor) {
        int k = nearest(Math.max(factor, Double.MIN_NORMAL));
        // A geometric mean is no larger than the arithmetic one: the nearest in difference is the nearest in ratio or
        // the one below.
        return k > 0 && factor - factors[k - 1] < factors[k] - factor ? k - 1 : k;
    }

    @Override
    public String toString() {
        return String.format(
                Locale.ROOT,
                "DoseLevels[%d from %.6f to %.6f]",
                factors.length,
                factors[0],
                factors[factors.length - 1]);
    }
}
