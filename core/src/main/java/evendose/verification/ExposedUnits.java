package evendose.verification;

import evendose.correction.DoseStatus;
import evendose.correction.LayerRole;
import evendose.pieces.Pieces;
import java.util.Arrays;
import java.util.List;

/** Pieces with what each of their units is exposed with; the arrays, one value a unit, are not to be changed. */
final class ExposedUnits {
    final Pieces pieces;
    final double[] corrected;

    /** Factors without a correction. */
    final double[] uncorrected;

    final DoseStatus[] status;

    private ExposedUnits(Pieces pieces, double[] corrected, double[] uncorrected, DoseStatus[] status) {
        this.pieces = pieces;
        this.corrected = corrected;
        this.uncorrected = uncorrected;
        this.status = status;
    }

    /** Of pieces whose layers are indices into the roles; uncorrected, those that are corrected have factor 1. */
    static ExposedUnits of(Pieces pieces, List<LayerRole> roles, double[] corrected, DoseStatus[] status) {
        double[] given = new double[pieces.shapes()];
        Arrays.setAll(given, s -> roles.get(pieces.layerOfShape(s)).fixedDose().orElse(1));
        return new ExposedUnits(pieces, corrected, ofShapes(pieces, given), status);
    }

    /** The same with other factors without a correction, one a shape. */
    ExposedUnits withUncorrected(double[] factorOfShape) {
        return new ExposedUnits(pieces, corrected, ofShapes(pieces, factorOfShape), status);
    }

    private static double[] ofShapes(Pieces pieces, double[] factorOfShape) {
        double[] factors = new double[pieces.units()];
        for (int s = 0; s < factorOfShape.length; s++) {
            Arrays.fill(factors, pieces.shapeFirst(s), pieces.shapeFirst(s + 1), factorOfShape[s]);
        }
        return factors;
    }

    double[] factors(boolean withDoses) {
        return withDoses ? corrected : uncorrected;
    }

    /**
     * Units with a piece that lies within a distance of some windows.
     *
     * @param windowsUm left, bottom, right, top of each window, um
     * @param reachUm the distance, um
     */
    ExposedUnits near(List<double[]> windowsUm, double reachUm) {
        boolean[] keep = new boolean[pieces.units()];
        double[] factor = new double[keep.length];
        double[] before = new double[keep.length];
        DoseStatus[] statuses = new DoseStatus[keep.length];
        int kept = 0;
        for (int u = 0; u < keep.length; u++) {
            keep[u] = meets(u, windowsUm, reachUm);
            if (keep[u]) {
                factor[kept] = corrected[u];
                before[kept] = uncorrected[u];
                statuses[kept++] = status[u];
            }
        }
        return new ExposedUnits(
                pieces.ofUnits(keep),
                Arrays.copyOf(factor, kept),
                Arrays.copyOf(before, kept),
                Arrays.copyOf(statuses, kept));
    }

    private boolean meets(int u, List<double[]> tiles, double reach) {
        for (int i = pieces.unitFirst(u); i < pieces.unitFirst(u + 1); i++) {
            double x0 = pieces.leftUm(i) - reach;
            double x1 = pieces.rightUm(i) + reach;
            double y0 = pieces.bottomUm(i) - reach;
            double y1 = pieces.topUm(i) + reach;
            for (double[] t : tiles) {
                if (x0 < t[2] && x1 > t[0] && y0 < t[3] && y1 > t[1]) {
                    return true;
                }
            }
        }
        return false;
    }
}
