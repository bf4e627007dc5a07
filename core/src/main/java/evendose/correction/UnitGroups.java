package evendose.correction;

import evendose.pieces.Pieces;
import java.io.Serializable;
import java.util.Arrays;

/**
 * Neighbours in the order of units that have one dose: what is judged of a group is the mean over its units, weighted by the outline or area that
 * judges each.
 *
 * @serial exclude
 */
final class UnitGroups implements Serializable {
    private static final long serialVersionUID = 1L;

    private final int[] first;
    private final float[] weight;

    /**
     * Groups.
     *
     * @param first first unit of each group and the number of units at the end; taken over
     * @param judged outline or area that judges each unit
     */
    UnitGroups(int[] first, float[] judged) {
        this.first = first;
        this.weight = new float[judged.length];
        for (int g = 0; g + 1 < first.length; g++) {
            double sum = 0;
            for (int u = first[g]; u < first[g + 1]; u++) {
                sum += judged[u];
            }
            for (int u = first[g]; u < first[g + 1]; u++) {
                // Where nothing is judged, units count alike.
                weight[u] = sum > 0 ? judged[u] : 1;
            }
        }
    }

    /** The units of each shape. */
    static UnitGroups ofShapes(Pieces pieces, float[] judged) {
        int[] first = new int[pieces.shapes() + 1];
        Arrays.setAll(first, pieces::shapeFirst);
        return new UnitGroups(first, judged);
    }

    /** Each unit that is tied to the one before it, together with that one. */
    static UnitGroups tied(boolean[] tied, float[] judged) {
        int[] first = new int[tied.length + 1];
        int n = 0;
        for (int u = 0; u < tied.length; u++) {
            if (!tied[u]) {
                first[n++] = u;
            }
        }
        first[n] = tied.length;
        return new UnitGroups(Arrays.copyOf(first, n + 1), judged);
    }

    /** Mean of each group's units. */
    double[] means(double[] ofUnits) {
        double[] mean = new double[first.length - 1];
        for (int g = 0; g < mean.length; g++) {
            double sum = 0;
            double weights = 0;
            for (int u = first[g]; u < first[g + 1]; u++) {
                sum += weight[u] * ofUnits[u];
                weights += weight[u];
            }
            mean[g] = sum / weights;
        }
        return mean;
    }

    /** Least of each group's units. */
    double[] least(double[] ofUnits) {
        double[] least = new double[first.length - 1];
        for (int g = 0; g < least.length; g++) {
            least[g] = Arrays.stream(ofUnits, first[g], first[g + 1]).min().orElse(0);
        }
        return least;
    }

    /** Each group's value for all its units. */
    double[] toUnits(double[] ofGroups) {
        double[] values = new double[weight.length];
        for (int g = 0; g < ofGroups.length; g++) {
            Arrays.fill(values, first[g], first[g + 1], ofGroups[g]);
        }
        return values;
    }
}
