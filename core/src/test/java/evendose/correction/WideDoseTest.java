package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Polygons;
import evendose.layout.Layer;
import evendose.psf.PointSpreadFunction;
import org.apache.commons.math3.special.Erf;
import org.junit.jupiter.api.Test;

/**
 * Mean energies where each shape has the dose that a wide one of its layer would get: its target, or the dose it is given. Over a lone line
 * of width w and factor f, far from its ends, a Gaussian of range s and weight 1 has the mean
 *
 * <pre>f [erf(w/s) - s (1 - exp(-w^2/s^2)) / (w sqrt(pi))]</pre>
 *
 * <p>(the mean of [erf(x/s) + erf((w-x)/s)]/2 for x from 0 to w, by parts).
 */
class WideDoseTest {
    private static final double ALPHA_UM = 0.02;
    private static final double BETA_UM = 1;
    private static final double ETA = 0.6;
    private static final double WIDTH_UM = 0.5;

    private static DoseTable lines(LayerRole... roles) {
        Polygons polygons = new Polygons();
        for (int k = 0; k < roles.length; k++) {
            Corrections.box(polygons, k, 20 * k, 0, 20 * k + WIDTH_UM, 20);
        }
        return Corrections.correct(
                polygons,
                CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(ALPHA_UM, BETA_UM, ETA))
                        .criterion(Criterion.MEAN)
                        .build(),
                roles);
    }

    private static double mean(double rangeUm) {
        double t = WIDTH_UM / rangeUm;
        return Erf.erf(t) - (1 - Math.exp(-t * t)) / (t * Math.sqrt(Math.PI));
    }

    /** No unit of a line has more than its middle, where the ends are out of reach; area means are right to 5e-4. */
    private static void assertMiddles(double[] energy, DoseTable table, double... factor) {
        double perFactor = (mean(ALPHA_UM) + ETA * mean(BETA_UM)) / (1 + ETA);
        double[] most = new double[factor.length];
        for (int u = 0; u < energy.length; u++) {
            int line = (int) (table.pieces().middleXUm(table.pieces().unitFirst(u)) / 20);
            most[line] = Math.max(most[line], energy[u]);
        }
        for (int k = 0; k < factor.length; k++) {
            assertEquals(factor[k] * perFactor, most[k], 1e-3, "line " + k);
        }
    }

    @Test
    void targetsAndGivenDosesAreTheFactors() {
        DoseTable table = lines(
                Corrections.LINES, LayerRole.corrected(new Layer(2, 0), 0.7), LayerRole.fixed(new Layer(3, 0), 1.7));
        assertMiddles(table.energyAtWideDose().orElseThrow(), table, 1, 0.7, 1.7);
    }

    /** Before, all factors are 1 but the given one; afterwards corrected lines have their targets. */
    @Test
    void energiesBeforeAndAfter() {
        DoseTable table = lines(
                Corrections.LINES, LayerRole.corrected(new Layer(2, 0), 0.7), LayerRole.fixed(new Layer(3, 0), 1.7));
        double[] before = new double[table.pieces().units()];
        for (int u = 0; u < before.length; u++) {
            before[u] = table.energyUncorrected(u);
            int layer = table.pieces().layerOfShape(table.pieces().shapeOfUnit()[u]);
            if (layer < 2) {
                assertEquals(layer == 0 ? 1 : 0.7, table.energyCorrected(u), 1e-3, "unit " + u);
            }
        }
        assertMiddles(before, table, 1, 1, 1.7);
    }

    @Test
    void layersOfOneTargetHaveNone() {
        assertTrue(lines(Corrections.LINES, LayerRole.corrected(new Layer(2, 0), 1))
                .energyAtWideDose()
                .isEmpty());
    }
}
