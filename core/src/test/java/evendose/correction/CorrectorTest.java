package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Polygons;
import evendose.layout.Layer;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

class CorrectorTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.03, 8, 0.7);

    @Test
    void movingTheLayoutMovesNothingElse() {
        double[] here =
                Corrections.correct(scatter(0, 0), CorrectionOptions.of(PSF)).factors();
        double[] there = Corrections.correct(scatter(123.457, -77.771), CorrectionOptions.of(PSF))
                .factors();
        assertArrayEquals(here, there, 2e-3);
    }

    @Test
    void shapesDrawnInPartsGetTheDosesOfTheWhole() {
        Polygons whole = new Polygons();
        Corrections.box(whole, 0, 0, 0, 30, 20);
        Corrections.box(whole, 0, 32, 0, 33, 20);
        Polygons parts = new Polygons();
        for (int i = 0; i < 10; i++) {
            for (int j = 0; j < 4; j++) {
                Corrections.box(parts, 0, 3 * i, 5 * j, 3 * i + 3, 5 * j + 5);
            }
        }
        Corrections.box(parts, 0, 32, 0, 33, 12);
        Corrections.box(parts, 0, 32, 8, 33, 20);
        assertArrayEquals(
                Corrections.correct(whole, CorrectionOptions.of(PSF)).factors(),
                Corrections.correct(parts, CorrectionOptions.of(PSF)).factors());
    }

    @Test
    void theNumberOfThreadsDoesNotMatter() {
        Polygons polygons = scatter(0, 0);
        double[][] factors = new double[2][];
        for (int threads = 1; threads <= 2; threads++) {
            try (Workers workers = Workers.of(threads)) {
                factors[threads - 1] = TestPatterns.correct(
                                polygons,
                                Corrections.DBU_UM,
                                List.of(Corrections.LINES),
                                CorrectionOptions.of(PSF),
                                workers,
                                Progress.NONE)
                        .factors();
            }
        }
        assertArrayEquals(factors[0], factors[1]);
    }

    @Test
    void boundsAreKeptAndFlagged() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 100, 100);
        Corrections.box(polygons, 0, 150, 0, 150.2, 100);
        DoseTable table = Corrections.correct(
                polygons,
                CorrectionOptions.builder(PSF).minFactor(0.9).maxFactor(1.2).build());
        assertFalse(table.convergence().converged(), "what is held at a bound counts");
        assertEquals(0.9, table.minFactor());
        assertEquals(1.2, table.maxFactor());
        assertTrue(table.pieces(DoseStatus.AT_MINIMUM) > 0);
        assertTrue(table.pieces(DoseStatus.AT_MAXIMUM) > 0);
        assertEquals(
                table.pieces().size(),
                Arrays.stream(DoseStatus.values()).mapToLong(table::pieces).sum());
    }

    /** "Optimal" promises the least rms error of the criterion, at any number of levels. */
    @Test
    void optimalLevelsHaveTheLeastRmsError() {
        DoseTable table = Corrections.correct(
                scatter(0, 0), CorrectionOptions.builder(PSF).levelStudy(true).build());
        List<LevelTrial> study = table.levelStudy();
        assertTrue(study.size() >= 10);
        for (int k = 0; k < study.size(); k += 2) {
            assertEquals(LevelRule.Spacing.OPTIMAL, study.get(k).rule().spacing());
            assertTrue(study.get(k).rms() <= study.get(k + 1).rms() + 1e-12, study.get(k) + " " + study.get(k + 1));
        }
    }

    /** A bound given by an option, the background alone, and a shape below the beam are told apart, and are never "unconverged". */
    @Test
    void statusesNameTheirCause() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 100, 100);
        // Far from all else: too small for a beam of 30 nm at any factor up to 20.
        Corrections.box(polygons, 0, 300, 0, 300.002, 0.002);
        // A frame of fixed dose so high that what it surrounds has too much already.
        Corrections.box(polygons, 1, 500, 0, 540, 20);
        Corrections.box(polygons, 1, 500, 20.5, 540, 40);
        Corrections.box(polygons, 0, 500, 20.2, 540, 20.3);
        List<LayerRole> roles = List.of(Corrections.LINES, LayerRole.fixed(new Layer(2, 0), 8));
        DoseTable table;
        try (Workers workers = Workers.of(1)) {
            table = TestPatterns.correct(
                    polygons, Corrections.DBU_UM, roles, CorrectionOptions.of(PSF), workers, Progress.NONE);
        }
        assertEquals(1, table.pieces(DoseStatus.BELOW_BEAM));
        assertTrue(table.pieces(DoseStatus.BACKGROUND) > 0);
        assertEquals(0, table.pieces(DoseStatus.AT_MINIMUM) + table.pieces(DoseStatus.AT_MAXIMUM));
        assertEquals(0, table.pieces(DoseStatus.UNCONVERGED));
        assertTrue(table.convergence().heldMaxResidual() > 0.1);
        assertTrue(table.convergence().maxResidual() < 1e-2);
        // All held: the error told is theirs, and nothing has converged.
        DoseTable held = Corrections.correct(
                scatter(0, 0), CorrectionOptions.builder(PSF).maxFactor(0.3).build());
        assertEquals(held.pieces().size(), held.pieces(DoseStatus.AT_MAXIMUM));
        assertFalse(held.convergence().converged());
        assertTrue(held.convergence().maxResidual() > 0.1);
        // With levels, too.
        Polygons padAndLine = new Polygons();
        Corrections.box(padAndLine, 0, 0, 0, 100, 100);
        Corrections.box(padAndLine, 0, 150, 0, 150.2, 100);
        DoseTable levels = Corrections.correct(
                padAndLine,
                CorrectionOptions.builder(PSF)
                        .minFactor(0.9)
                        .levels(LevelRule.optimal(2))
                        .build());
        assertEquals(0, levels.pieces(DoseStatus.UNCONVERGED));
        assertTrue(levels.pieces(DoseStatus.AT_MINIMUM) > 0 && levels.pieces(DoseStatus.COARSE_LEVEL) > 0);
    }

    @Test
    void runningOutOfIterationsIsAResult() {
        DoseTable table = Corrections.correct(
                scatter(0, 0), CorrectionOptions.builder(PSF).maxIterations(1).build());
        assertFalse(table.convergence().converged());
        assertEquals(1, table.convergence().iterations());
        assertTrue(table.pieces(DoseStatus.UNCONVERGED) > 0);
    }

    @Test
    void oneDosePerShapeGivesOneDosePerShape() {
        DoseTable table = Corrections.correct(
                scatter(0, 0),
                CorrectionOptions.builder(PSF).oneDosePerShape(true).build());
        assertTrue(table.convergence().converged());
        for (int s = 0; s < table.pieces().shapes(); s++) {
            for (int u = table.pieces().shapeFirst(s); u < table.pieces().shapeFirst(s + 1); u++) {
                assertEquals(table.factor(table.pieces().shapeFirst(s)), table.factor(u));
            }
        }
    }

    @Test
    void levelsHoldWithOneDosePerShapeAndGivenDosesStayAsTheyAre() {
        Polygons polygons = new Polygons();
        for (int k = 0; k < 6; k++) {
            Corrections.box(polygons, 0, 3 * k, 0, 3 * k + 0.2 * (k + 1), 20);
        }
        Corrections.box(polygons, 1, 100, 0, 120, 20);
        DoseTable table = Corrections.correct(
                polygons,
                CorrectionOptions.builder(PSF)
                        .levels(LevelRule.geometric(4))
                        .oneDosePerShape(true)
                        .build(),
                Corrections.LINES,
                LayerRole.fixed(new Layer(2, 0), 0.777));
        assertEquals(4, table.levels().size());
        assertEquals(0.777, Corrections.factorAt(table, 110, 10), "a fixed dose is a level of its own");
        for (int s = 0; s < table.pieces().shapes(); s++) {
            for (int u = table.pieces().shapeFirst(s); u < table.pieces().shapeFirst(s + 1); u++) {
                assertEquals(table.factor(table.pieces().shapeFirst(s)), table.factor(u));
                assertEquals(table.levels().factor(table.level(u)), table.factor(u));
            }
        }
    }

    @Test
    void aStudyTriesNumbersOfLevelsAndLeavesDosesFree() {
        CorrectionOptions study =
                CorrectionOptions.builder(PSF).levelStudy(true).build();
        DoseTable table = Corrections.correct(scatter(0, 0), study);
        assertArrayEquals(
                Corrections.correct(scatter(0, 0), CorrectionOptions.of(PSF)).factors(), table.factors());
        assertTrue(table.levelCost().isEmpty());
        double last = Double.MAX_VALUE;
        int optimal = 0;
        for (LevelTrial t : table.levelStudy()) {
            if (t.rule().spacing() == LevelRule.Spacing.OPTIMAL) {
                assertTrue(t.snappedRms() <= last * 1.5, "more levels cost less, as near as makes no difference");
                last = t.snappedRms();
                optimal++;
            }
        }
        assertTrue(optimal >= 5);
        assertTrue(last < 0.01);
    }

    @Test
    void levelsAreImposedAndTheirErrorReported() {
        DoseTable table = Corrections.correct(
                scatter(0, 0),
                CorrectionOptions.builder(PSF).levels(LevelRule.optimal(4)).build());
        assertEquals(4, Arrays.stream(table.factors()).distinct().count());
        for (int u = 0; u < table.pieces().units(); u++) {
            assertEquals(table.levels().factor(table.level(u)), table.factor(u));
        }
        LevelTrial cost = table.levelCost().orElseThrow();
        assertTrue(cost.max() > table.options().tolerance(), "four doses cannot serve this layout to 0.1 %");
        assertTrue(cost.rms() <= cost.snappedRms(), "choosing again never makes it worse");
        DoseTable many = Corrections.correct(
                scatter(0, 0),
                CorrectionOptions.builder(PSF).levels(LevelRule.optimal(8)).build());
        assertTrue(many.levelCost().orElseThrow().rms() < cost.rms());
    }

    @Test
    void aTargetScalesTheEnergyOfItsLayerOnly() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 20, 20);
        Corrections.box(polygons, 1, 100, 0, 120, 20);
        DoseTable table = Corrections.correct(
                polygons, CorrectionOptions.of(PSF), Corrections.LINES, LayerRole.corrected(new Layer(2, 0), 0.4));
        assertEquals(0.4 * Corrections.factorAt(table, 10, 10), Corrections.factorAt(table, 110, 10), 2e-3);
    }

    @Test
    void aMidRangeTermGivesLargeShapesEdgeStrips() {
        PointSpreadFunction heavy = PointSpreadFunction.from(
                List.of(new GaussianTerm(0.5, 0.01), new GaussianTerm(0.2, 0.4), new GaussianTerm(0.3, 30)));
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 20, 20);
        DoseTable table = Corrections.correct(polygons, CorrectionOptions.of(heavy));
        assertTrue(table.convergence().converged());
        double edge = Corrections.factorAt(table, 0.2, 10);
        double inside = Corrections.factorAt(table, 10, 10);
        assertTrue(edge > 1.1 * inside, "edge " + edge + " inside " + inside);
    }

    /** Rectangles of many sizes, some overlapping, and a few slanted shapes. */
    private static Polygons scatter(double dx, double dy) {
        SplittableRandom random = new SplittableRandom(7);
        Polygons polygons = new Polygons();
        for (int k = 0; k < 200; k++) {
            double x = dx + random.nextDouble(60);
            double y = dy + random.nextDouble(60);
            double w = 0.2 + random.nextDouble(4);
            double h = 0.2 + random.nextDouble(4);
            long x0 = Math.round(x / Corrections.DBU_UM);
            long y0 = Math.round(y / Corrections.DBU_UM);
            long wide = Math.round(w / Corrections.DBU_UM);
            long high = Math.round(h / Corrections.DBU_UM);
            if (k % 10 == 0) {
                polygons.addPolygon(
                        0, new long[] {x0, y0, x0 + wide, y0, x0 + 2 * wide, y0 + high, x0 + wide, y0 + high}, 4);
            } else {
                polygons.addRectangle(0, x0, y0, x0 + wide, y0 + high);
            }
        }
        return polygons;
    }
}
