package evendose.correction;

import evendose.geometry.Polygons;
import evendose.layout.Layer;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import java.util.List;

/** Helps the tests of this package: draws in um, corrects, and finds the dose at a place. */
final class Corrections {
    static final double DBU_UM = 0.001;
    static final LayerRole LINES = LayerRole.corrected(new Layer(1, 0));

    private Corrections() {}

    static void box(Polygons polygons, int group, double x0, double y0, double x1, double y1) {
        polygons.addRectangle(
                group,
                Math.round(x0 / DBU_UM),
                Math.round(y0 / DBU_UM),
                Math.round(x1 / DBU_UM),
                Math.round(y1 / DBU_UM));
    }

    /** Vertical lines centred on x = 0 that reach to both sides by {@code reachUm}, from y = 0 to {@code lengthUm}. */
    static Polygons grating(double periodUm, double density, double reachUm, double lengthUm) {
        Polygons polygons = new Polygons();
        int n = (int) Math.ceil(reachUm / periodUm);
        for (int k = -n; k <= n; k++) {
            double half = 0.5 * density * periodUm;
            box(polygons, 0, k * periodUm - half, 0, k * periodUm + half, lengthUm);
        }
        return polygons;
    }

    static DoseTable correct(Polygons polygons, CorrectionOptions options, LayerRole... roles) {
        try (Workers workers = Workers.of(2)) {
            return TestPatterns.correct(
                    polygons,
                    DBU_UM,
                    roles.length == 0 ? List.of(LINES) : List.of(roles),
                    options,
                    workers,
                    Progress.NONE);
        }
    }

    /** Dose factor of the piece that holds the point. */
    static double factorAt(DoseTable table, double x, double y) {
        Pieces p = table.pieces();
        for (int u = 0; u < p.units(); u++) {
            for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                double along = p.standing(i) ? y : x;
                double f = ((p.standing(i) ? x : y) - p.lowUm()[i]) / (p.highUm()[i] - p.lowUm()[i]);
                if (f >= 0
                        && f < 1
                        && along >= p.fromLowUm()[i] + f * (p.fromHighUm()[i] - p.fromLowUm()[i])
                        && along < p.toLowUm()[i] + f * (p.toHighUm()[i] - p.toLowUm()[i])) {
                    return table.factor(u);
                }
            }
        }
        throw new AssertionError("no piece at " + x + ", " + y);
    }
}
