package evendose.correction;

import evendose.pieces.Pieces;
import java.util.Arrays;

/** One dose for all units of a shape: its criterion is the mean over units, weighted by the outline or area judged. */
final class DosePerShape {
    private final Pieces pieces;
    private final float[] weight;
    private final double[] unitDose;
    private final double[] unitCriterion;

    DosePerShape(Pieces pieces, float[] judged) {
        this.pieces = pieces;
        this.weight = new float[judged.length];
        this.unitDose = new double[judged.length];
        this.unitCriterion = new double[judged.length];
        for (int s = 0; s < pieces.shapes(); s++) {
            int from = pieces.shapeFirst(s);
            int to = pieces.shapeFirst(s + 1);
            double sum = 0;
            for (int u = from; u < to; u++) {
                sum += judged[u];
            }
            // Where nothing is judged, units count alike.
            for (int u = from; u < to; u++) {
                weight[u] = sum > 0 ? judged[u] : 1;
            }
        }
    }

    /** Criterion values of the shapes for one dose each. */
    void apply(UnitEnergy model, double[] dose, double[] criterion) {
        for (int s = 0; s < dose.length; s++) {
            Arrays.fill(unitDose, pieces.shapeFirst(s), pieces.shapeFirst(s + 1), dose[s]);
        }
        model.apply(unitDose, unitCriterion);
        System.arraycopy(means(unitCriterion), 0, criterion, 0, criterion.length);
    }

    /** Mean of each shape's units. */
    double[] means(double[] ofUnits) {
        double[] mean = new double[pieces.shapes()];
        for (int s = 0; s < mean.length; s++) {
            double sum = 0;
            double weights = 0;
            for (int u = pieces.shapeFirst(s); u < pieces.shapeFirst(s + 1); u++) {
                sum += weight[u] * ofUnits[u];
                weights += weight[u];
            }
            mean[s] = sum / weights;
        }
        return mean;
    }

    /** Sum over each shape's units. */
    double[] sums(double[] ofUnits) {
        double[] sum = new double[pieces.shapes()];
        for (int s = 0; s < sum.length; s++) {
            for (int u = pieces.shapeFirst(s); u < pieces.shapeFirst(s + 1); u++) {
                sum[s] += ofUnits[u];
            }
        }
        return sum;
    }

    /** The value of each shape's first unit. */
    double[] ofShapes(double[] ofUnits) {
        double[] values = new double[pieces.shapes()];
        for (int s = 0; s < values.length; s++) {
            values[s] = ofUnits[pieces.shapeFirst(s)];
        }
        return values;
    }

    /** Each shape's value for all its units. */
    double[] toUnits(double[] ofShapes) {
        double[] values = new double[pieces.units()];
        for (int s = 0; s < ofShapes.length; s++) {
            Arrays.fill(values, pieces.shapeFirst(s), pieces.shapeFirst(s + 1), ofShapes[s]);
        }
        return values;
    }

    /** Each shape's number for all its units. */
    int[] toUnits(int[] ofShapes) {
        int[] values = new int[pieces.units()];
        for (int s = 0; s < ofShapes.length; s++) {
            Arrays.fill(values, pieces.shapeFirst(s), pieces.shapeFirst(s + 1), ofShapes[s]);
        }
        return values;
    }
}
