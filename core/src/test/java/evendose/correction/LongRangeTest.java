package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.energy.EnergyField;
import evendose.energy.EnergyModel;
import evendose.energy.EnginePlan;
import evendose.files.BadInputException;
import evendose.geometry.Polygons;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.HandMadePieces;
import evendose.pieces.Pieces;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import org.apache.commons.numbers.gamma.Erf;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Fogging and the loading of the development against error functions and densities. */
class LongRangeTest {
    private static final double ALPHA = 0.02;
    private static final double BETA = 2;
    private static final double ETA = 0.6;
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(ALPHA, BETA, ETA);

    /** Millimetres in the trade; here far enough from beta that a grating may stand for a density. */
    private static final double FAR_UM = 10;

    private static final double THETA = 0.1;
    private static final Fogging FOGGING = new Fogging(100 * THETA, FAR_UM / 1000);

    @TempDir
    private Path folder;

    private static LongRange only(Fogging fogging) {
        return new LongRange(Optional.of(fogging), Optional.empty());
    }

    private static LongRange only(DevelopmentLoading loading) {
        return new LongRange(Optional.empty(), Optional.of(loading));
    }

    private static CorrectionOptions.Builder options(LongRange effects) {
        return CorrectionOptions.builder(PSF).longRange(effects).tolerance(1e-5);
    }

    /** The engine's share of a long term at points about pieces, of factor 1. */
    private static EnergyField engine(Pieces pieces, PointSpreadFunction psf, Workers workers) {
        double[] one = new double[pieces.units()];
        Arrays.fill(one, 1);
        return EnergyModel.build(EnginePlan.forPoints(pieces, psf, 1e5, 1, 0), workers, Progress.NONE)
                .field(one);
    }

    private static double pad(double x, double y, double[] b, double range) {
        return 0.25
                * (Erf.value((b[2] - x) / range) - Erf.value((b[0] - x) / range))
                * (Erf.value((b[3] - y) / range) - Erf.value((b[1] - y) / range));
    }

    /** Percent of the direct energy, on top: a plane has 1 + theta w_direct, and what is direct stays what it is. */
    @Test
    void foggingIsARatioToTheDirectEnergyAsEtaIs() {
        PointSpreadFunction all = only(FOGGING).with(PSF);
        assertEquals(3, all.parts());
        assertEquals(THETA / (1 + ETA), all.terms().get(2).weight(), 1e-15);
        assertEquals(FAR_UM, all.terms().get(2).rangeUm(), 1e-12);
        double sum = all.terms().stream().mapToDouble(GaussianTerm::weight).sum();
        assertEquals(1 + THETA / (1 + ETA), sum, 1e-15);
        assertEquals(THETA, all.terms().get(2).weight() / all.direct().weight(), 1e-15);
        assertEquals(PSF.direct(), all.direct());
        assertEquals(PSF.main(), all.main());
        // Even where fogging is stronger than all else.
        assertEquals(PSF.main(), only(new Fogging(300, 10)).with(PSF).main());
        assertEquals(10_000, only(new Fogging(5, 10)).with(PSF).longestUm(), 1e-9);
        IllegalArgumentException e = assertThrows(
                IllegalArgumentException.class,
                () -> options(only(new Fogging(5, 0.001))).build());
        assertTrue(e.getMessage().contains("must be longer than the ranges"), e.getMessage());
        assertThrows(IllegalArgumentException.class, () -> new Fogging(0, 10));
        assertThrows(IllegalArgumentException.class, () -> new Fogging(5, Double.NaN));
    }

    /** What does not look far is unchanged: units, the usual energy, cells. */
    @Test
    void foggingChangesNeitherCellsNorTheEnergyWanted() {
        CorrectionOptions with = options(only(FOGGING)).build();
        CorrectionOptions without = options(LongRange.NONE).build();
        assertEquals(without.maxPieceUm(), with.maxPieceUm());
        assertEquals(0.5, with.target());
        assertEquals(without.fracture(), with.fracture());
        assertEquals(with, with.toBuilder().build());
        assertTrue(!with.equals(without));
    }

    /** The engine's fogging at and about the edge of half a plane and of a pad, and in and at the end of a fine grating. */
    @Test
    void theEnginesFoggingIsTheErrorFunctions() {
        double range = 5_000;
        LongRange effects = only(new Fogging(8, range / 1000));
        double weight = 0.08 / (1 + ETA);
        double[] half = {0, -30_000, 30_000, 30_000};
        double[] pad = {0, 0, 4_000, 2_500};
        try (Workers workers = Workers.of(2)) {
            for (double[] box : List.of(half, pad)) {
                Pieces p = HandMadePieces.rectangles(box);
                EnergyField all = engine(p, effects.with(PSF), workers);
                EnergyField less = engine(p, PSF, workers);
                for (double x : new double[] {-6_000, -500, -1, 1, 300, 2_000, 3_990}) {
                    for (double y : new double[] {10, 1_200, 2_400}) {
                        double fogging = all.at(x, y) - less.at(x, y);
                        assertEquals(weight * pad(x, y, box, range), fogging, 1e-5, x + ", " + y);
                    }
                }
            }
            double[][] lines = new double[300][];
            for (int k = 0; k < lines.length; k++) {
                lines[k] = new double[] {100 * k, -30_000, 100 * k + 40, 30_000};
            }
            Pieces grating = HandMadePieces.rectangles(lines);
            EnergyField all = engine(grating, effects.with(PSF), workers);
            EnergyField less = engine(grating, PSF, workers);
            assertEquals(0.4 * weight, all.at(15_070, 0) - less.at(15_070, 0), 1e-5);
            assertEquals(0.2 * weight, all.at(-30, 0) - less.at(-30, 0), 1e-5);
        }
    }

    /** d = (1 + eta) / (1 + 2 (eta + theta) rho) deep in a grating, (1 + eta) for a lone line, which no fogging reaches. */
    @Test
    void foggingLowersTheDosesOfGratings() {
        for (double rho : new double[] {0.3, 0.6}) {
            Polygons grating = Corrections.grating(0.8, rho, 55, 110);
            DoseTable table =
                    Corrections.correct(grating, options(only(FOGGING)).build());
            double expected = (1 + ETA) / (1 + 2 * (ETA + THETA) * rho);
            assertEquals(1, Corrections.factorAt(table, 0, 55) / expected, 2e-3, "density " + rho);
        }
        Polygons line = new Polygons();
        Corrections.box(line, 0, 0, 0, 0.2, 1);
        double lone = Corrections.factorAt(
                Corrections.correct(
                        line,
                        options(only(new Fogging(10, 10)))
                                .criterion(Criterion.MEAN)
                                .build()),
                0.1,
                0.5);
        double alone = Corrections.factorAt(
                Corrections.correct(
                        line, options(LongRange.NONE).criterion(Criterion.MEAN).build()),
                0.1,
                0.5);
        assertEquals(alone, lone, 1e-6 * alone);
    }

    /** The density about units is that of error functions; a target in proportion to it. */
    @Test
    void wantedEnergiesFollowTheDensity() {
        double range = 40;
        DevelopmentLoading loading = DevelopmentLoading.linear(20, range, 0.5);
        double[] box = {0, 0, 60, 100};
        Polygons pad = new Polygons();
        Corrections.box(pad, 0, box[0], box[1], box[2], box[3]);
        DoseTable table = Corrections.correct(
                pad, options(only(loading)).maxPieceUm(3).tolerance(1e-3).build());
        Pieces p = table.pieces();
        double largest = 0;
        for (int u = 0; u < p.units(); u++) {
            double[] b = p.unitBoundsUm(u);
            double rho = pad((b[0] + b[2]) / 2, (b[1] + b[3]) / 2, box, range);
            // Edges are judged on the edge, up to half a cell from the middle.
            largest = Math.max(largest, Math.abs(table.targetOfUnit(u) - 0.5 * (1 + 0.2 * (rho - 0.5))));
        }
        assertEquals(0, largest, 0.5 * 0.2 * 1.5 / range / Math.sqrt(Math.PI) * 1.5);
        assertEquals(table.targetOfUnit(0) / 0.5, table.wantedOverUsual().orElseThrow()[0], 0.02);
        try (Workers workers = Workers.of(2)) {
            LocalTarget local = LocalTarget.of(Optional.of(loading), p, 1000, workers, Progress.NONE);
            double[] x = {-20, 0, 0.5, 30, 59, 60, 100};
            double[] y = {50, 0, 50, 50, 99, 3, 140};
            double[] wanted = local.at(x, y);
            for (int k = 0; k < x.length; k++) {
                double rho = pad(x[k], y[k], box, range);
                assertEquals(1 + 0.2 * (rho - 0.5), wanted[k], 1e-4, x[k] + ", " + y[k]);
            }
        }
    }

    /** Half a plane wants the usual energy at its edge; d = f(rho) (1 + eta) / (1 + 2 eta rho) in a grating. */
    @Test
    void loadingScalesTheDosesOfGratings() {
        DevelopmentLoading loading = DevelopmentLoading.linear(20, FAR_UM, 0.5);
        for (double rho : new double[] {0.3, 0.5, 0.6}) {
            Polygons grating = Corrections.grating(0.8, rho, 55, 110);
            DoseTable table =
                    Corrections.correct(grating, options(only(loading)).build());
            double expected = (1 + 0.2 * (rho - 0.5)) * (1 + ETA) / (1 + 2 * ETA * rho);
            // Measured against what is wanted there, not against the usual.
            assertTrue(table.outlineError().p95() < 0.01, table.outlineError().toString());
            assertEquals(1, Corrections.factorAt(table, 0, 55) / expected, 2e-3, "density " + rho);
        }
    }

    @Test
    void oneDoseAShapeMeetsTheMeanOfItsTargets() {
        Polygons lines = new Polygons();
        Corrections.box(lines, 0, 0, 0, 40, 40);
        Corrections.box(lines, 0, 60, 0, 60.5, 40);
        CorrectionOptions options = options(only(DevelopmentLoading.linear(30, 20, 0.5)))
                .oneDosePerShape(true)
                .build();
        DoseTable table = Corrections.correct(lines, options);
        assertTrue(table.convergence().converged());
        assertEquals(0, table.pieces(DoseStatus.UNCONVERGED));
    }

    @Test
    void linearBetweenRowsAndConstantBeyond() {
        DevelopmentLoading law = DevelopmentLoading.of(100, new double[] {0.2, 0.5, 0.6}, 0.9, 1, 1.2);
        assertEquals(0.9, law.factor(0), 0);
        assertEquals(0.9, law.factor(0.2), 0);
        assertEquals(0.95, law.factor(0.35), 1e-15);
        assertEquals(1, law.factor(0.5), 1e-15);
        assertEquals(1.1, law.factor(0.55), 1e-12);
        assertEquals(1.2, law.factor(0.9), 0);
        DevelopmentLoading linear = DevelopmentLoading.linear(-10, 100, 0.3);
        assertEquals(1, linear.factor(0.3), 1e-15);
        assertEquals(-0.1, linear.factor(1) - linear.factor(0), 1e-15);
        assertThrows(IllegalArgumentException.class, () -> DevelopmentLoading.linear(250, 100, 0.5));
        assertThrows(IllegalArgumentException.class, () -> DevelopmentLoading.linear(10, 0, 0.5));
        assertThrows(IllegalArgumentException.class, () -> DevelopmentLoading.linear(10, 100, 1.5));
        assertThrows(IllegalArgumentException.class, () -> DevelopmentLoading.of(1, new double[] {0.5, 0.5}, 1, 1));
    }

    @Test
    void badRowsAreRefusedWithFileAndLine() throws IOException {
        Path good = Files.writeString(folder.resolve("good.csv"), "density,target_percent\n0.1,98\n0.9,104\n");
        DevelopmentLoading read = DevelopmentLoading.read(good, 200);
        assertEquals(DevelopmentLoading.of(200, new double[] {0.1, 0.9}, 0.98, 1.04), read);
        for (String[] bad : new String[][] {
            {"0.1,98\n50,104\n", "3", "percent are to be divided by 100"},
            {"0.5,98\n0.4,104\n", "3", "densities must rise"},
            {"0.5,-3\n", "2", ""},
            {"0.5,x\n", "2", ""},
            {"0.5,100\n", "", "at least two densities"},
        }) {
            Path file = Files.writeString(folder.resolve("bad.csv"), "density,target_percent\n" + bad[0]);
            BadInputException e =
                    assertThrows(BadInputException.class, () -> DevelopmentLoading.read(file, 200), bad[0]);
            assertTrue(e.getMessage().contains("bad.csv"), e.getMessage());
            assertTrue(e.getMessage().contains(bad[1]) && e.getMessage().contains(bad[2]), e.getMessage());
        }
    }

    @Test
    void lawsCompareByTheirRowsAndTellThem() {
        DevelopmentLoading law = DevelopmentLoading.of(100, new double[] {0.2, 0.5, 0.6}, 0.9, 1, 1.2);
        DevelopmentLoading same = DevelopmentLoading.of(100, law.densities(), law.factors());
        assertArrayEquals(new double[] {0.2, 0.5, 0.6}, same.densities());
        assertArrayEquals(new double[] {0.9, 1, 1.2}, same.factors());
        assertEquals(law, same);
        assertEquals(law.hashCode(), same.hashCode());
        for (DevelopmentLoading other : List.of(
                DevelopmentLoading.of(101, law.densities(), law.factors()),
                DevelopmentLoading.of(100, new double[] {0.2, 0.5, 0.7}, law.factors()),
                DevelopmentLoading.of(100, law.densities(), 0.9, 1, 1.3))) {
            assertNotEquals(law, other);
            assertNotEquals(law.hashCode(), other.hashCode());
        }
        assertNotEquals(law, new Object());
        assertEquals(
                "energy wanted 90 % of the usual at density 0.2 to 120 % at 0.6 (3 rows), density over a range of 100 um",
                law.words());
        assertEquals(
                "energy wanted 95 % of the usual at density 0 to 105 % at 1, density over a range of 100 um",
                DevelopmentLoading.linear(10, 100, 0.5).words());
        assertEquals("DevelopmentLoading[100.0 um, [0.2, 0.5, 0.6] [0.9, 1.0, 1.2]]", law.toString());
        assertEquals(
                "5 % of the direct energy, range 10 mm, of what is exposed here alone", new Fogging(5, 10).words());
        // The ends of what is allowed.
        assertEquals(1, DevelopmentLoading.linear(10, 100, 0).factor(0));
        assertEquals(1, DevelopmentLoading.linear(10, 100, 1).factor(1));
        assertThrows(IllegalArgumentException.class, () -> DevelopmentLoading.linear(10, 100, -0.1));
        assertThrows(IllegalArgumentException.class, () -> DevelopmentLoading.of(1, new double[] {-0.1, 1}, 1, 1));
        assertThrows(IllegalArgumentException.class, () -> DevelopmentLoading.of(1, new double[] {0, 1.1}, 1, 1));
        assertThrows(IllegalArgumentException.class, () -> DevelopmentLoading.of(1, new double[] {0, 1}, 1, 0));
        // What counts at a place: the longest of all.
        assertEquals(BETA, LongRange.NONE.longestUm(PSF));
        assertEquals(100, only(law).longestUm(PSF));
        assertEquals(10_000, only(new Fogging(5, 10)).longestUm(PSF), 1e-9);
    }

    @Test
    void densitiesFrom0To1AreRead() throws IOException {
        Path ends = Files.writeString(folder.resolve("ends.csv"), "density,target_percent\n0,98\n1,104\n");
        assertEquals(DevelopmentLoading.of(7, new double[] {0, 1}, 0.98, 1.04), DevelopmentLoading.read(ends, 7));
        for (String[] bad : new String[][] {
            {"-0.1", "density must lie in 0 to 1, got -0.1"},
            {"100", "density must lie in 0 to 1, got 100.0; percent are to be divided by 100"},
            {"101", "density must lie in 0 to 1, got 101.0"}
        }) {
            Path file =
                    Files.writeString(folder.resolve("bad.csv"), "density,target_percent\n" + bad[0] + ",98\n1,104\n");
            String message = assertThrows(BadInputException.class, () -> DevelopmentLoading.read(file, 7))
                    .getMessage();
            assertTrue(message.endsWith(bad[1]), message);
        }
    }

    /** Of one unit without a sample nothing is wanted but the usual. */
    @Test
    void targetsOfShapesAreMeans() {
        Polygons lines = new Polygons();
        Corrections.box(lines, 0, 0, 0, 40, 40);
        DoseTable table = Corrections.correct(
                lines,
                options(only(DevelopmentLoading.linear(30, 20, 0.5)))
                        .oneDosePerShape(true)
                        .build());
        double usual = table.target(0);
        double target = table.targetOfUnit(0);
        for (int u = 1; u < table.pieces().units(); u++) {
            assertEquals(target, table.targetOfUnit(u), 1e-12);
        }
        // Along its outline the density of the square about a place is 1/2 in the middle of a side, 1/4 at a corner.
        assertTrue(target < usual * (1 + 0.3 * (0.5 - 0.5)) && target > usual * (1 + 0.3 * (0.2 - 0.5)));
    }
}
