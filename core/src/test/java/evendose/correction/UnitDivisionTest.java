package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.energy.ExactEnergy;
import evendose.geometry.Polygons;
import evendose.pieces.Pieces;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Doses as fine as edges ask for, held against the exact evaluator on points of the test's own. */
class UnitDivisionTest {
    private static final double ALPHA_UM = 0.02;

    private static PointSpreadFunction psf(double middleUm, double middleWeight) {
        return PointSpreadFunction.from(List.of(
                new GaussianTerm((1 - middleWeight) / 1.6, ALPHA_UM),
                new GaussianTerm(middleWeight, middleUm),
                new GaussianTerm(0.6 * (1 - middleWeight) / 1.6, 9.5)));
    }

    /** A guide of 0.5 um that passes a pad at half a micrometre. */
    private static Polygons guide() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 30, 0.5);
        Corrections.box(polygons, 0, 10, 1, 20, 8);
        return polygons;
    }

    /** 95 % of the lower side of the guide are within this of 1/2; at least 2 alpha from its ends. */
    private static double p95(DoseTable table, PointSpreadFunction psf) {
        ExactEnergy energy = ExactEnergy.ofUnits(table.pieces(), table.factors(), psf);
        double[] off = new double[700];
        for (int k = 0; k < off.length; k++) {
            double x = 0.04 + (30 - 0.08) * (k + 0.5) / off.length;
            off[k] = Math.abs(energy.at(x, k % 2 == 0 ? 0 : 0.5) / 0.5 - 1);
        }
        Arrays.sort(off);
        return off[(int) (0.95 * off.length)];
    }

    @ParameterizedTest
    @CsvSource({"0.3, 0.25", "3, 0.25", "1, 0.1"})
    void edgesComeOutWithinTheGoal(double middleUm, double weight) {
        PointSpreadFunction psf = psf(middleUm, weight);
        DoseTable fine = Corrections.correct(guide(), CorrectionOptions.of(psf));
        assertTrue(p95(fine, psf) < 0.01, "p95 " + p95(fine, psf));
        assertEquals(p95(fine, psf), fine.outlineError().p95(), 0.004);
        assertTrue(
                fine.convergence().iterations() <= 12,
                "rounds " + fine.convergence().iterations());
        DoseTable coarse = Corrections.correct(
                guide(), CorrectionOptions.builder(psf).allowedEdgeError(1).build());
        assertTrue(p95(coarse, psf) > 0.015, "without division " + p95(coarse, psf));
    }

    @Test
    void dosesAtTheLimitOfFinenessDoNotRing() {
        PointSpreadFunction psf = psf(0.3, 0.25);
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 6, 0.1);
        DoseTable table = Corrections.correct(
                polygons, CorrectionOptions.builder(psf).allowedEdgeError(1e-3).build());
        assertTrue(table.convergence().converged());
        // From the end inwards the background rises, so doses fall: where neighbours trade they would rise and fall by
        // turns.
        double before = Double.MAX_VALUE;
        int parts = 0;
        for (double x = 0.01; x < 1; x += 0.02) {
            double now = Corrections.factorAt(table, x, 0.05);
            assertTrue(now <= before * 1.002, "at " + x + ": " + before + ", then " + now);
            parts += now < before ? 1 : 0;
            before = now;
        }
        assertTrue(parts > 3, "parts: " + parts);
        // Straight outline of half of five direct ranges on each side, as the goal is missed with longer ones.
        double shortest = 9;
        Pieces p = table.pieces();
        for (int u = 0; u < p.units(); u++) {
            double[] box = p.unitBoundsUm(u);
            boolean isEnd = box[0] == 0 || box[2] == 6;
            double outline = box[2] - box[0] + (isEnd ? 0.05 : 0);
            assertTrue(outline >= 2.4 * ALPHA_UM, "unit of " + (box[2] - box[0]) + " um");
            shortest = Math.min(shortest, box[2] - box[0]);
        }
        assertTrue(shortest < 4 * ALPHA_UM, "shortest " + shortest);
    }

    /** Where parts of five direct ranges suffice there are no shorter ones. */
    @Test
    void partsAreFiveDirectRangesLongWhereThatSuffices() {
        PointSpreadFunction psf = psf(1, 0.2);
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 12, 0.4);
        Corrections.box(polygons, 0, 4, 0.6, 8, 3);
        DoseTable table = Corrections.correct(polygons, CorrectionOptions.of(psf));
        Pieces p = table.pieces();
        assertTrue(p.units() > 8, "units: " + p.units());
        for (int u = 0; u < p.units(); u++) {
            double[] box = p.unitBoundsUm(u);
            assertTrue(Math.max(box[2] - box[0], box[3] - box[1]) >= 4.9 * ALPHA_UM, Arrays.toString(box));
        }
    }

    @Test
    void oneGaussianNeedsNoCorrectionOfWideFeatures() {
        PointSpreadFunction membrane = PointSpreadFunction.doubleGaussian(ALPHA_UM, 9.5, 0);
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 12, 6);
        Corrections.box(polygons, 0, 20, 0, 20.09, 3);
        Corrections.box(polygons, 0, 30, 0, 30.03, 3);
        DoseTable table = Corrections.correct(polygons, CorrectionOptions.of(membrane));
        assertTrue(table.convergence().converged());
        assertEquals(1, Corrections.factorAt(table, 6, 0.1), 1e-3);
        assertEquals(1, Corrections.factorAt(table, 20.045, 1), 1e-3);
        assertTrue(Corrections.factorAt(table, 30.015, 1) > 1.03);
        assertTrue(table.counts().units() < 20, "units: " + table.counts().units());
    }

    @Test
    void equalShapesGetEqualDosesWhereverTheyLie() {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(ALPHA_UM, 9.5, 0.6);
        Random random = new Random(7);
        Polygons polygons = new Polygons();
        int n = 6;
        for (int i = 0; i < n * n; i++) {
            double x = 90 * (i % n) + 1e-3 * random.nextInt(9_000);
            double y = 90 * (i / n) + 1e-3 * random.nextInt(9_000);
            Corrections.box(polygons, 0, x, y, x + 0.04, y + 0.06);
        }
        DoseTable table = Corrections.correct(
                polygons, CorrectionOptions.builder(psf).tolerance(1e-9).build());
        assertEquals(1, table.maxFactor() / table.minFactor(), 1e-6);
    }

    @Test
    void dosesAreContinuousInTheSizeOfAShape() {
        double[] dose = new double[16];
        for (int k = 0; k < dose.length; k++) {
            Polygons polygons = new Polygons();
            Corrections.box(polygons, 0, 0, 0, 0.04, 0.053 + 0.001 * k);
            dose[k] = Corrections.correct(
                            polygons, CorrectionOptions.of(PointSpreadFunction.doubleGaussian(ALPHA_UM, 9.5, 0.6)))
                    .factor(0);
        }
        for (int k = 1; k < dose.length - 1; k++) {
            double bend = dose[k] / Math.sqrt(dose[k - 1] * dose[k + 1]) - 1;
            assertEquals(0, bend, 2e-3, (53 + k) + " nm");
        }
    }

    /** Functions and layouts that differ by a thousandth; {@code -Devendose.continuity.pairs=200} for more of them. */
    @Test
    void smallChangesChangeTheOutcomeLittle() {
        int pairs = Integer.getInteger("evendose.continuity.pairs", 20);
        Random random = new Random(11);
        double largest = 0;
        for (int k = 0; k < pairs; k++) {
            double middleUm = 0.5 * Math.pow(8, random.nextDouble());
            double weight = 0.1 + 0.15 * random.nextDouble();
            double gap = 0.3 + random.nextDouble();
            double length = 5 + 5 * random.nextDouble();
            double[] p95 = new double[2];
            for (int i = 0; i < 2; i++) {
                double size = k % 2 == 0 ? 1 : 1 + 1e-3 * i;
                PointSpreadFunction psf = psf(middleUm * (1 + 1e-3 * i), weight * (1 - 1e-3 * i));
                Polygons polygons = new Polygons();
                Corrections.box(polygons, 0, 0, 0, 3 * length * size, 0.5);
                Corrections.box(polygons, 0, length * size, 0.5 + gap, 2 * length * size, 8);
                p95[i] = Corrections.correct(polygons, CorrectionOptions.of(psf))
                        .outlineError()
                        .p95();
            }
            largest = Math.max(largest, Math.abs(p95[0] - p95[1]));
            assertEquals(p95[0], p95[1], 2e-3, "pair " + k + ": " + middleUm + " um, " + weight);
        }
        System.out.printf("%d pairs, p95 differs by %.3f %% at most%n", pairs, 100 * largest);
    }

    @Test
    void whatIsHeldAtABoundCountsAndUncorrectedEnergiesDoNotDependOnBounds() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 0.2, 5);
        Corrections.box(polygons, 0, 3, 0, 3.2, 5);
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(ALPHA_UM, 9.5, 0.6);
        DoseTable held = Corrections.correct(
                polygons,
                CorrectionOptions.builder(psf).minFactor(1.1).maxFactor(1.2).build());
        DoseTable free = Corrections.correct(polygons, CorrectionOptions.of(psf));
        assertEquals(held.pieces().size(), held.pieces(DoseStatus.AT_MAXIMUM));
        assertFalse(held.convergence().converged());
        assertTrue(
                held.convergence().maxResidual() > 0.1,
                "residual " + held.convergence().maxResidual());
        assertTrue(held.outlineError().p95() > 0.1);
        assertEquals(free.energyUncorrected(0), held.energyUncorrected(0), 1e-4);
    }
}
