package evendose.correction;

import java.util.Arrays;
import java.util.Comparator;
import java.util.stream.IntStream;

/**
 * Places N dose levels so that the weighted sum of squared errors in log dose,
 *
 * <pre>sum_i w_i (ln d_i - ln L(i))^2,   L(i) the level nearest to d_i in ratio,</pre>
 *
 * is the least possible. In one dimension the best groups are runs of the sorted values, so dynamic programming over "the first j
 * values in k groups" finds the optimum (W. D. Fisher, J. Am. Stat. Assoc. 53, 789 (1958), from memory). The best split
 * moves one way only with j, which lets each row be filled by halving in {@code O(n log n)}; a plain search over all groupings is
 * the oracle in {@code LevelClusteringTest}.
 *
 * <p>Least squares alone crowds levels where most of the layout is and lets rare doses pay; a bound on the distance of any dose
 * from its level keeps that in check. It only makes wide groups impossible, which leaves the halving valid.
 *
 * <p>Of more than {@value #MOST_CELLS} values those closer than the range over that number are taken together first, which moves a
 * dose by at most {@code ln(max / min) / 16384}: 1e-4 of itself for a range of 1 to 5.
 */
final class LevelClustering {
    /** Most levels placed. */
    static final int MOST = 1024;

    private static final int MOST_CELLS = 1 << 14;

    private static final double ROUNDING = 1e-9;

    private final double[] value;
    private double widest = Double.POSITIVE_INFINITY;
    private final double[] sumW;
    private final double[] sumWx;
    private final double[] sumWxx;

    LevelClustering(double[] value, double[] weight) {
        int n = value.length;
        this.value = value;
        this.sumW = new double[n + 1];
        this.sumWx = new double[n + 1];
        this.sumWxx = new double[n + 1];
        // Sums of squares about the middle lose fewer digits.
        double middle = 0.5 * (value[0] + value[n - 1]);
        for (int i = 0; i < n; i++) {
            double x = value[i] - middle;
            sumW[i + 1] = sumW[i] + weight[i];
            sumWx[i + 1] = sumWx[i] + weight[i] * x;
            sumWxx[i + 1] = sumWxx[i] + weight[i] * x * x;
        }
    }

    /**
     * The levels, at most {@code count}.
     *
     * @param factor dose factors, positive, at least one
     * @param weight weight of each, at least 0
     * @param mostOff how far a dose may be from its level at most, in the logarithm and in units of the range over {@code count} (as
     *     far as equal spacing would put it: 0.5); infinity for the plain optimum. Groups are no wider than twice that, and levels
     *     are moved from the mean of their group by as little as it takes; at least 0.5, so that there is a solution
     */
    static DoseLevels levels(double[] factor, double[] weight, int count, double mostOff) {
        double[] x = Arrays.stream(factor).map(Math::log).toArray();
        int[] order = sortedOrder(x);
        double low = x[order[0]];
        double high = x[order[order.length - 1]];
        double cell = order.length > MOST_CELLS ? (high - low) / MOST_CELLS : 0;
        // Values within one cell become their weighted mean; weights of nothing still keep their place.
        double tiny =
                1e-9 * Math.max(Double.MIN_NORMAL, Arrays.stream(weight).max().orElse(0));
        double[] value = new double[order.length];
        double[] mass = new double[order.length];
        int n = 0;
        for (int i = 0; i < order.length; ) {
            double begin = x[order[i]];
            double sum = 0;
            double moment = 0;
            for (; i < order.length && (x[order[i]] == begin || x[order[i]] - begin < cell); i++) {
                double w = Math.max(tiny, weight[order[i]]);
                sum += w;
                moment += w * (x[order[i]] - begin);
            }
            value[n] = begin + moment / sum;
            mass[n++] = sum;
        }
        value = Arrays.copyOf(value, n);
        mass = Arrays.copyOf(mass, n);
        double off = high > low ? mostOff * (high - low) / count : 0;
        int[] starts = n <= count
                ? IntStream.rangeClosed(0, n).toArray()
                : new LevelClustering(value, mass).split(count, 2 * off * (1 + ROUNDING));
        double[] levels = new double[starts.length - 1];
        for (int k = 0; k < levels.length; k++) {
            double sum = 0;
            double moment = 0;
            for (int i = starts[k]; i < starts[k + 1]; i++) {
                sum += mass[i];
                moment += mass[i] * (value[i] - value[starts[k]]);
            }
            double mean = value[starts[k]] + moment / sum;
            double last = value[starts[k + 1] - 1];
            levels[k] = Math.exp(Math.min(value[starts[k]] + off, Math.max(last - off, mean)));
        }
        return DoseLevels.of(levels);
    }

    /** Indices by rising value; ties keep their order. */
    private static int[] sortedOrder(double[] x) {
        return IntStream.range(0, x.length)
                .boxed()
                .sorted(Comparator.comparingDouble(i -> x[i]))
                .mapToInt(Integer::intValue)
                .toArray();
    }

    /** Starts of the best groups, none wider than {@code widest}, of the sorted values, and their number at the end. */
    int[] split(int count, double widest) {
        this.widest = widest;
        int n = value.length;
        double[] previous = new double[n + 1];
        double[] current = new double[n + 1];
        int[][] from = new int[count][n + 1];
        for (int j = 1; j <= n; j++) {
            previous[j] = cost(0, j);
        }
        for (int k = 1; k < count; k++) {
            Arrays.fill(current, Double.POSITIVE_INFINITY);
            fill(previous, current, from[k], k + 1, n, k, n - 1);
            double[] swap = previous;
            previous = current;
            current = swap;
        }
        int[] starts = new int[count + 1];
        starts[count] = n;
        for (int k = count - 1; k >= 0; k--) {
            starts[k] = k == 0 ? 0 : from[k][starts[k + 1]];
        }
        return starts;
    }

    /** Fills {@code current[low..high]}, whose last groups begin between {@code first} and {@code last}. */
    private void fill(double[] previous, double[] current, int[] from, int low, int high, int first, int last) {
        if (low > high) {
            return;
        }
        int j = (low + high) >>> 1;
        double best = Double.POSITIVE_INFINITY;
        // Where nothing is possible the bound must not shut out what is possible for smaller j.
        int at = last;
        for (int i = first; i <= Math.min(j - 1, last); i++) {
            double c = previous[i] + cost(i, j);
            if (c < best) {
                best = c;
                at = i;
            }
        }
        current[j] = best;
        from[j] = at;
        fill(previous, current, from, low, j - 1, first, at);
        fill(previous, current, from, j + 1, high, at, last);
    }

    /** Least cost of values i to j - 1 in one group. */
    private double cost(int i, int j) {
        if (value[j - 1] - value[i] > widest) {
            return Double.POSITIVE_INFINITY;
        }
        double w = sumW[j] - sumW[i];
        double m = sumWx[j] - sumWx[i];
        return Math.max(0, sumWxx[j] - sumWxx[i] - m * m / w);
    }
}
