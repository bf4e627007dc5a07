package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.LayoutBuilder;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import org.apache.commons.numbers.gamma.ErfDifference;

/** Two beams over rectangles, whose energies are sums of products of error functions. */
public final class TwoBeamFixture {
    /** Weight and range of each term of the fine beam. */
    public static final double[][] FINE = {{0.625, 0.012}, {0.375, 6}};

    /** Weight and range of each term of the coarse beam. */
    public static final double[][] BULK = {{0.6, 0.06}, {0.4, 6}};

    public static final PointSpreadFunction FINE_PSF = PointSpreadFunction.doubleGaussian(0.012, 6, 0.6);
    public static final PointSpreadFunction BULK_PSF = PointSpreadFunction.doubleGaussian(0.06, 6, 2 / 3.0);
    public static final double RIM = 0.5;
    static final Layer LAYER = new Layer(1, 0);

    private TwoBeamFixture() {}

    /** Rectangles {x0, y0, x1, y1}, um, to be corrected. */
    public static DrawnPattern pattern(double[]... boxes) {
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        for (double[] box : boxes) {
            builder.rectangles(LAYER, box);
        }
        return DrawnPattern.of(builder.build(), List.of(LayerRole.corrected(LAYER)));
    }

    /** Energy of a table of upright rectangles, term by term. */
    public static double energy(DoseTable table, double[][] psf, double x, double y) {
        Pieces p = table.pieces();
        double sum = 0;
        for (int u = 0; u < p.units(); u++) {
            for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                assertTrue(p.isRectangle(i));
                for (double[] term : psf) {
                    double across = band(p.leftUm(i) - x, p.rightUm(i) - x, term[1]);
                    sum += across == 0
                            ? 0
                            : table.factor(u) * term[0] * across * band(p.bottomUm(i) - y, p.topUm(i) - y, term[1]);
                }
            }
        }
        return sum;
    }

    /** Share of a Gaussian between two places; 0, and not asked for, where it is below 1e-16. */
    private static double band(double from, double to, double range) {
        return from > 6 * range || to < -6 * range ? 0 : 0.5 * ErfDifference.value(from / range, to / range);
    }

    /** Energy of both beams. */
    public static double energy(TwoBeamCorrection both, double x, double y) {
        return energy(both.fine(), FINE, x, y) + energy(both.bulk(), BULK, x, y);
    }
}
