package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.LayoutBuilder;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import org.apache.commons.math3.special.Erf;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;

/** A pad, a narrow line and a frame with a hole, all of rectangles: energies are sums of products of error functions. */
class TwoBeamCorrectionTest {
    private static final double[][] FINE = {{0.625, 0.012}, {0.375, 6}};
    private static final double[][] BULK = {{0.6, 0.06}, {0.4, 6}};
    private static final double RIM = 0.5;
    private static final Layer LAYER = new Layer(1, 0);
    private static final PointSpreadFunction FINE_PSF = PointSpreadFunction.doubleGaussian(0.012, 6, 0.6);
    private static final PointSpreadFunction BULK_PSF = PointSpreadFunction.doubleGaussian(0.06, 6, 2 / 3.0);

    private static TwoBeamCorrection found;

    private static DrawnPattern pattern(double[]... boxes) {
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        for (double[] box : boxes) {
            builder.rectangles(LAYER, box);
        }
        return DrawnPattern.of(builder.build(), List.of(LayerRole.corrected(LAYER)));
    }

    @BeforeAll
    static void correct() {
        found = TwoBeamCorrection.of(
                        pattern(
                                new double[] {0, 0, 20, 20},
                                new double[] {22, 0, 22.2, 20},
                                new double[] {30, 0, 38, 20},
                                new double[] {38, 0, 46, 8},
                                new double[] {38, 12, 46, 20},
                                new double[] {46, 0, 54, 20}),
                        CorrectionOptions.builder(FINE_PSF).threads(2).build(),
                        BULK_PSF,
                        RIM)
                .orElseThrow();
    }

    /** Energy of a table of upright pieces, term by term. */
    private static double energy(DoseTable table, double[][] psf, double x, double y) {
        Pieces p = table.pieces();
        double sum = 0;
        for (int u = 0; u < p.units(); u++) {
            for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                assertTrue(p.isRectangle(i));
                for (double[] term : psf) {
                    sum += table.factor(u)
                            * term[0]
                            * 0.25
                            * Erf.erf((p.leftUm(i) - x) / term[1], (p.rightUm(i) - x) / term[1])
                            * Erf.erf((p.bottomUm(i) - y) / term[1], (p.topUm(i) - y) / term[1]);
                }
            }
        }
        return sum;
    }

    private static double energy(double x, double y) {
        return energy(found.fine(), FINE, x, y) + energy(found.bulk(), BULK, x, y);
    }

    @Test
    void edgesOfWideAndNarrowShapesGetTheClearingEnergyOfBothExposures() {
        for (double[] place : new double[][] {
            {0, 10}, {0, 5.3}, {20, 10}, {10, 0}, {22, 10}, {22.2, 4}, {30, 10}, {54, 3}, {42, 0}, {38, 10}, {42, 8}
        }) {
            assertEquals(0.5, energy(place[0], place[1]), 0.5 * 0.01, place[0] + ", " + place[1]);
        }
    }

    @Test
    void printsProfile() {
        System.out.println(found.seam() + " " + java.util.Arrays.toString(found.seam().shares()) + java.util.Arrays.toString(found.seam().edgesUm()));
        for (double x = 0; x < 1.2; x += 0.02) {
            System.out.printf("%.3f %.5f%n", x, energy(x, 10));
        }
        System.out.println(found.fine() + " " + found.bulk() + " area " + found.fine().areaUm2() + " " + found.bulk().areaUm2());
    }
}
