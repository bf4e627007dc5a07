package evendose.correction;

import evendose.geometry.Polygons;
import evendose.layout.Layer;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import org.apache.commons.numbers.gamma.Erfc;

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

    static final double LINE_ALPHA_UM = 0.02;

    /** Upright lines 0.5 um wide and 5 um apart, of the given lengths, each of a group of its own. */
    static Polygons lines(double... lengthUm) {
        Polygons polygons = new Polygons();
        for (int k = 0; k < lengthUm.length; k++) {
            box(polygons, k, 5 * k, 0, 5 * k + 0.5, lengthUm[k]);
        }
        return polygons;
    }

    /** How to correct them without backscattering: wide lines then get their targets as factors, but for {@link #raisedByEnds}. */
    static CorrectionOptions.Builder linesAlone() {
        return CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(LINE_ALPHA_UM, 9, 0))
                .tolerance(1e-6);
    }

    /**
     * By how much the ends of such a line raise its dose. Along a side at {@code t} ranges from a corner {@code erfc(t) / 2} of the energy
     * is missing, and the outline counts by {@code t^8 / (t^8 + 1.75^8)}; there are four corners of two sides each.
     */
    static double raisedByEnds(double lengthUm) {
        int n = 6_000;
        double step = 6.0 / n;
        double missing = 0;
        double faded = 0;
        for (int i = 0; i < n; i++) {
            double t = (i + 0.5) * step;
            double x = Math.pow(t / 1.75, 8);
            missing += x / (x + 1) * 0.5 * Erfc.value(t) * step;
            faded += 1 / (x + 1) * step;
        }
        double mean = 8 * LINE_ALPHA_UM * missing / (2 * (0.5 + lengthUm) - 8 * LINE_ALPHA_UM * faded);
        return 1 / (1 - mean);
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
