package evendose.correction;

import java.util.Arrays;

/**
 * Units that have become one.
 *
 * @param number new number of each unit
 * @param count how many there are then
 * @param judged outline or area that judges each of the units before
 */
record JoinedUnits(int[] number, int count, float[] judged) {
    /** Means over what has become one, weighted by what judges it; plain ones where nothing does. */
    double[] means(double[] ofUnits) {
        double[] sum = new double[count];
        double[] weight = new double[count];
        double[] plain = new double[count];
        int[] parts = new int[count];
        for (int u = 0; u < number.length; u++) {
            int j = number[u];
            sum[j] += judged[u] * ofUnits[u];
            weight[j] += judged[u];
            plain[j] += ofUnits[u];
            parts[j]++;
        }
        for (int j = 0; j < count; j++) {
            sum[j] = weight[j] > 0 ? sum[j] / weight[j] : plain[j] / parts[j];
        }
        return sum;
    }

    /** The same means, for each of the units before. */
    double[] meansOfUnits(double[] ofUnits) {
        double[] mean = means(ofUnits);
        return Arrays.stream(number).mapToDouble(j -> mean[j]).toArray();
    }

    /** For each of the units before, whether something holds for all that it has become one with. */
    boolean[] holdsForAll(boolean[] ofUnits) {
        boolean[] all = new boolean[count];
        Arrays.fill(all, true);
        for (int u = 0; u < number.length; u++) {
            all[number[u]] &= ofUnits[u];
        }
        boolean[] holds = new boolean[number.length];
        for (int u = 0; u < holds.length; u++) {
            holds[u] = all[number[u]];
        }
        return holds;
    }
}
