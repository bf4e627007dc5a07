package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.energy.EnginePlan;
import evendose.layout.Layer;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.PointSpreadFunction;
import java.util.OptionalDouble;
import org.junit.jupiter.api.Test;

/** Density forms of the criteria, roles of layers and needs of memory, by hand. */
class CriterionTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.02, 9, 0.6);

    @Test
    void densityForms() {
        assertEquals(0.5, Criterion.EDGE.target());
        assertEquals(1, Criterion.MEAN.target());
        // (1 + eta)/(1 + 2 eta rho) and (1 + eta)/(1 + eta rho).
        assertEquals(1.6 / 1.36, Criterion.EDGE.densityFactor(PSF, 0.3), 1e-12);
        assertEquals(1.6 / 1.18, Criterion.MEAN.densityFactor(PSF, 0.3), 1e-12);
        assertEquals(0.5 * 1.36 / 1.6, Criterion.EDGE.targetAt(PSF, 0.3), 1e-12);
        assertEquals(1.18 / 1.6, Criterion.MEAN.targetAt(PSF, 0.3), 1e-12);
        for (Criterion criterion : Criterion.values()) {
            double usual = criterion.usualReferenceDensity();
            assertEquals(1, criterion.densityFactor(PSF, usual), 1e-12, "needs no scaling");
        }
        // At the edge of a wide area half of the direct energy, inside all of it.
        assertEquals(0.5 / 1.6, Criterion.EDGE.ownShare(PSF), 1e-12);
        assertEquals(1 / 1.6, Criterion.MEAN.ownShare(PSF), 1e-12);
    }

    @Test
    void roles() {
        Layer layer = new Layer(3, 1);
        assertEquals(new LayerRole(layer, 1, OptionalDouble.empty()), LayerRole.corrected(layer));
        assertEquals(0.4, LayerRole.corrected(layer, 0.4).target());
        assertEquals(0.7, LayerRole.fixed(layer, 0.7).fixedDose().orElseThrow());
        for (double bad : new double[] {0, -1, Double.NaN, Double.POSITIVE_INFINITY}) {
            assertThrows(IllegalArgumentException.class, () -> LayerRole.corrected(layer, bad));
            assertThrows(IllegalArgumentException.class, () -> LayerRole.fixed(layer, bad));
        }
    }

    /** A need rises by the same amount for each piece; a cell's area is worth one piece. */
    @Test
    void needsOfMemory() {
        double none = MemoryNeed.ofPolygons(0);
        double each = MemoryNeed.ofPolygons(1) - none;
        assertTrue(none > 0 && each > 0);
        assertEquals(none + 1e6 * each, MemoryNeed.ofPolygons(1e6), 1);
        assertEquals(none + 40 * each, MemoryNeed.ofMerged(15, 100, 2), 1e-3);
        Pieces pieces = new Pieces(
                new double[][] {{0}, {1}, {0}, {2}, {0}, {2}},
                new boolean[1],
                new int[] {0, 1},
                new int[] {0, 1},
                new int[] {0});
        Samples samples = new Samples(
                new double[] {1}, new double[] {0}, new float[] {1}, new int[] {0, 1}, new boolean[] {false});
        EnginePlan plan = EnginePlan.of(pieces, samples, PSF, Workers.of(1));
        assertTrue(plan.bytes() > 0);
        assertEquals(plan.bytes(), MemoryNeed.ofModel(plan, 0));
        assertEquals(
                2 * (MemoryNeed.ofModel(plan, 500) - plan.bytes()),
                MemoryNeed.ofModel(plan, 1000) - plan.bytes(),
                1e-6);
        assertTrue(MemoryNeed.ofModel(plan, 1) > plan.bytes());
    }

    @Test
    void tooMuchIsToldInPlainNumbers() {
        double most = Runtime.getRuntime().maxMemory();
        MemoryLimitException e =
                assertThrows(MemoryLimitException.class, () -> MemoryNeed.require(8 * most, "the layout is large"));
        assertTrue(e.getMessage().contains("the layout is large"), e.getMessage());
        assertThrows(MemoryLimitException.class, () -> MemoryNeed.requireBeside(most, "so is this"));
        MemoryNeed.requireBeside(0.05 * most, "this is not");
        MemoryLimitException told = new MemoryLimitException("the chip", 8.2e9, 2.1e9);
        // A fifth more than is needed, in whole GB: 9.84, so 10.
        assertTrue(
                told.getMessage().startsWith("the chip; that needs about 8.2 GB of memory, 2.1 GB are allowed.")
                        && told.getMessage().contains("-Xmx10g"),
                told.getMessage());
        assertEquals(8.2e9, told.neededBytes());
    }
}
