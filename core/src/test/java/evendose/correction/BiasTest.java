package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.layout.Layer;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.PieceRules;
import evendose.psf.PointSpreadFunction;
import java.util.Optional;
import org.apache.commons.math3.analysis.UnivariateFunction;
import org.apache.commons.math3.analysis.solvers.BrentSolver;
import org.apache.commons.math3.special.Erf;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/**
 * Doses of shapes that are exposed larger or smaller than drawn, against sums of error functions: a double Gaussian over a strip, or over
 * half a plane, that ends {@code b} outside of the drawn edge.
 */
class BiasTest {
    private static final double ALPHA = 0.05;
    private static final double ETA = 0.6;

    /** Energy at {@code x} of a long strip from -b to width + b with factor 1. */
    private static double strip(double beta, double width, double b, double x) {
        double sum = 0;
        double[] range = {ALPHA, beta};
        double[] weight = {1 / (1 + ETA), ETA / (1 + ETA)};
        for (int k = 0; k < 2; k++) {
            sum += 0.5 * weight[k] * (Erf.erf((width + b - x) / range[k]) - Erf.erf((-b - x) / range[k]));
        }
        return sum;
    }

    private static DoseTable corrected(Polygons polygons, double beta, double b, LayerRole... roles) {
        return Corrections.correct(
                polygons,
                CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(ALPHA, beta, ETA))
                        .maxPieceUm(10)
                        .allowedEdgeError(1e-3)
                        .biasUm(b)
                        .build(),
                roles);
    }

    @ParameterizedTest
    @ValueSource(doubles = {-0.06, -0.02, 0.001, 0.03})
    void aWideEdgeGetsTheDoseThatPutsItWhereItIsDrawn(double b) {
        double beta = 0.6;
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 8, 40);
        DoseTable table = corrected(polygons, beta, b);
        double seen = 0.5 * (1 + Erf.erf(b / ALPHA)) / (1 + ETA) + 0.5 * (1 + Erf.erf(b / beta)) * ETA / (1 + ETA);
        assertEquals(0.5 / seen, Corrections.factorAt(table, 4, 20), 0.002 * 0.5 / seen);
        double[] box = table.pieces().boundsUm();
        assertEquals(-b, box[0], 1e-9);
        assertEquals(40 + b, box[3], 1e-9);
    }

    @ParameterizedTest
    @CsvSource({"0.2, -0.05", "0.2, 0.05", "0.1, -0.02", "0.1, 0.02", "0.5, -0.06"})
    void aLineDevelopsAtItsDrawnWidth(double width, double b) {
        double beta = 10;
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, width, 120);
        DoseTable table = corrected(polygons, beta, b);
        double dose = Corrections.factorAt(table, width / 2, 60);
        double expected = 0.5 / strip(beta, width, b, 0);
        assertEquals(expected, dose, 0.002 * expected);
        UnivariateFunction over = x -> dose * strip(beta, width, b, x) - 0.5;
        double edge = new BrentSolver(1e-12, 1e-9).solve(200, over, width / 2, width / 2 + 0.3);
        // A twentieth of a nm; the exposed edge lies 20 to 60 nm off.
        assertEquals(width, edge, 5e-5);
    }

    /** Inside a pad too large for one dose the same share of the direct term is asked for as at its edge. */
    @Test
    void theInsideOfAPadHasTheDoseOfItsEdge() {
        double b = -0.04;
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 60, 60);
        DoseTable table = corrected(polygons, 4, b);
        double seen = 0.5 * (1 + Erf.erf(b / ALPHA)) / (1 + ETA) + ETA / (1 + ETA);
        assertEquals(0.5 / seen, Corrections.factorAt(table, 30, 30), 0.002 * 0.5 / seen);
    }

    @Test
    void layersOfFixedDoseStayAsTheyAreDrawn() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 0.2, 10);
        Corrections.box(polygons, 1, 1, 0, 3, 10);
        DoseTable table = corrected(polygons, 10, -0.02, Corrections.LINES, LayerRole.fixed(new Layer(2, 0), 1));
        double[] box = table.pieces().boundsUm();
        assertEquals(0.02, box[0], 1e-9);
        assertEquals(3, box[2], 1e-9);
    }

    @Test
    void whatABiasClosesOrLosesIsRefusedWithItsPlace() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 1, 10);
        Corrections.box(polygons, 0, 1.05, 0, 2, 10);
        Corrections.box(polygons, 0, 5, 0, 5.04, 10);
        String closed = assertThrows(BadInputException.class, () -> corrected(polygons, 10, 0.026))
                .getMessage();
        assertTrue(closed.contains("of 26 nm closes a gap about (1.025, 5.0"), closed);
        String gone = assertThrows(BadInputException.class, () -> corrected(polygons, 10, -0.021))
                .getMessage();
        assertTrue(gone.contains("of -21 nm makes a part of a shape vanish about (5.020, 5.000) um"), gone);
        String off = assertThrows(BadInputException.class, () -> corrected(polygons, 10, 0.0013))
                .getMessage();
        assertTrue(off.contains("no multiple of the grid"), off);
    }

    @Test
    void aBiasGoesWithTheEdgeCriterionOnly() {
        CorrectionOptions.Builder builder = CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(0.05, 10, 0.6))
                .criterion(Criterion.MEAN)
                .biasUm(0.01);
        assertThrows(IllegalArgumentException.class, builder::build);
    }

    /** A loading is taken from what develops, which under a bias is not what is exposed. */
    @Test
    void aBiasDoesNotGoWithALoadingOfTheDevelopment() {
        DevelopmentLoading loading = DevelopmentLoading.linear(3, 200, 0.5);
        CorrectionOptions.Builder builder = CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(0.05, 10, 0.6))
                .longRange(new LongRange(Optional.empty(), Optional.of(loading)));
        builder.build();
        builder.biasUm(0.01);
        assertThrows(IllegalArgumentException.class, builder::build);
    }

    /** Fogging adds to the background; a drawn edge of a pad much smaller than its range sees nothing of it, so doses stay. */
    @Test
    void aBiasGoesWithFogging() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 0.2, 120);
        CorrectionOptions.Builder builder = CorrectionOptions.builder(
                        PointSpreadFunction.doubleGaussian(ALPHA, 10, ETA))
                .maxPieceUm(10)
                .biasUm(-0.02);
        DoseTable alone = Corrections.correct(polygons, builder.build());
        DoseTable fogged = Corrections.correct(
                polygons,
                builder.longRange(new LongRange(Optional.of(new Fogging(4, 10)), Optional.empty()))
                        .build());
        assertEquals(
                Corrections.factorAt(alone, 0.1, 60),
                Corrections.factorAt(fogged, 0.1, 60),
                1e-4 * Corrections.factorAt(alone, 0.1, 60));
    }

    /** A slanted bar, whose exposed corners do not lie on the grid: judged on what is drawn, its dose is that of the upright one. */
    @Test
    void slantedEdgesAreJudgedOnTheDrawnOutline() {
        double b = -0.03;
        Polygons polygons = new Polygons();
        // 3-4-5: sides along (0.8, 0.6), 400 nm wide, exactly on the grid.
        polygons.addPolygon(0, new long[] {0, 0, 32000, 24000, 31760, 24320, -240, 320}, 4);
        DoseTable table = corrected(polygons, 10, b);
        double expected = 0.5 / strip(10, 0.4, b, 0);
        assertEquals(expected, Corrections.factorAt(table, 15.88, 12.16), 0.005 * expected);
        assertTrue(table.outlineError().p95() < 0.02, table.outlineError().toString());
        assertEquals(PieceRules.USUAL, table.options().rules());
    }

    /** Brought onto the nearest drawn side within reach: of a square of 2 um with its lower left corner at (10, 20). */
    @Test
    void samplesAreBroughtOntoTheDrawnOutline() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 5_000, 10_000, 6_000, 11_000);
        try (Workers one = Workers.of(1)) {
            DrawnBeside beside = new DrawnBeside(
                    Merge.of(polygons, 1, one, Progress.NONE), 0.002, (layer, x, y) -> layer == 0 ? 0.03 : 0, 0.1);
            assertEquals(0.03, beside.insideUm(0, 0, 0));
            assertEquals(0, beside.insideUm(1, 0, 0));
            double[][] cases = {
                {9.97, 20.5, 10, 20.5},
                {11.3, 22.06, 11.3, 22},
                {12.04, 21, 12, 21},
                {11, 19.95, 11, 20},
                {9.8, 20.5, 9.8, 20.5}
            };
            for (double[] c : cases) {
                double[] xy = {c[0], c[1]};
                beside.settle(0, xy);
                assertArrayEquals(new double[] {c[2], c[3]}, xy, 1e-9);
            }
        }
    }

    @Test
    void refusalsTellAreaAndNumberOfPlaces() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 1, 10);
        Corrections.box(polygons, 0, 1.05, 0, 2, 10);
        String closed = assertThrows(BadInputException.class, () -> corrected(polygons, 10, 0.026))
                .getMessage();
        assertTrue(closed.contains(" um, 0.500 um^2; take a smaller one"), closed);
        Corrections.box(polygons, 0, 20, 0, 20.04, 10);
        Corrections.box(polygons, 0, 30, 0, 30.04, 10);
        String gone = assertThrows(BadInputException.class, () -> corrected(polygons, 10, -0.021))
                .getMessage();
        assertTrue(gone.contains(" 0.400 um^2, and does so at 2 places; take a smaller one"), gone);
        String off = assertThrows(BadInputException.class, () -> corrected(polygons, 10, 0.0013))
                .getMessage();
        assertTrue(off.contains("of 1.3 nm is no multiple of the grid that corners of pieces lie on, 1 nm;"), off);
    }

    @Test
    void targetsAndGivenDosesMustBePositive() {
        Layer layer = new Layer(4, 5);
        assertTrue(assertThrows(IllegalArgumentException.class, () -> LayerRole.corrected(layer, 0))
                .getMessage()
                .startsWith("target of layer 4/5"));
        assertTrue(assertThrows(IllegalArgumentException.class, () -> LayerRole.fixed(layer, -1))
                .getMessage()
                .startsWith("fixed dose factor of layer 4/5"));
    }
}
