package evendose.correction;

import evendose.pieces.Pieces;
import java.util.Arrays;

/** One dose for all units of a shape: its criterion is the mean over units, weighted by the outline or area judged. */
final class DosePerShape {
    private final Pieces pieces;
    private final UnitGroups groups;
    private final double[] unitDose;
    private final double[] unitCriterion;

    DosePerShape(Pieces pieces, float[] judged) {
        this.pieces = pieces;
        this.groups = UnitGroups.ofShapes(pieces, judged);
        this.unitDose = new double[judged.length];
        this.unitCriterion = new double[judged.length];
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
        return groups.means(ofUnits);
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
        return groups.toUnits(ofShapes);
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
