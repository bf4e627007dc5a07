package evendose.verification;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.IdentityHashMap;
import java.util.List;
import java.util.Map;

/**
 * How values spread.
 *
 * @param count number of values
 * @param mean mean, with its sign
 * @param rms root mean square
 * @param p95 95th percentile of the magnitudes: the smallest that at least 95 % do not exceed
 * @param max largest magnitude
 */
public record Spread(int count, double mean, double rms, double p95, double max) {
    private static final double MOST = 0.95;

    /** The spread of the finite ones among {@code values}; zeros if there is none. */
    static Spread of(double[] values) {
        return of(List.of(values), new double[] {1});
    }

    /** The spread of the finite ones among several groups of values, each with a weight; zeros if there is none. */
    static Spread of(List<double[]> groups, double[] weight) {
        // Equal tiles have the same array: it is looked at once, and weighs as often as it lies.
        Map<double[], Integer> known = new IdentityHashMap<>();
        List<double[]> distinct = new ArrayList<>();
        double[] weights = new double[weight.length];
        int[] times = new int[weight.length];
        for (int g = 0; g < weight.length; g++) {
            int at = known.getOrDefault(groups.get(g), distinct.size());
            if (at == distinct.size()) {
                known.put(groups.get(g), at);
                distinct.add(groups.get(g));
            }
            weights[at] += weight[g];
            times[at]++;
        }
        return of(distinct, weights, times);
    }

    private static Spread of(List<double[]> groups, double[] weight, int[] times) {
        List<double[]> all = new ArrayList<>();
        int count = 0;
        double sum = 0;
        double squares = 0;
        double total = 0;
        for (int g = 0; g < groups.size(); g++) {
            double w = weight[g];
            for (double v : groups.get(g)) {
                if (Double.isFinite(v)) {
                    count += times[g];
                    all.add(new double[] {Math.abs(v), w});
                    sum += w * v;
                    squares += w * v * v;
                    total += w;
                }
            }
        }
        if (all.isEmpty()) {
            return new Spread(0, 0, 0, 0, 0);
        }
        all.sort(Comparator.comparingDouble(v -> v[0]));
        double within = 0;
        int p95 = 0;
        for (int k = 0; within < MOST * total && k < all.size(); k++) {
            within += all.get(k)[1];
            p95 = k;
        }
        return new Spread(count, sum / total, Math.sqrt(squares / total), all.get(p95)[0], all.get(all.size() - 1)[0]);
    }
}
