package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Polygons;
import evendose.layout.Layer;
import evendose.psf.PointSpreadFunction;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * Corrected doses against closed forms.
 *
 * <p>Density forms {@code (1 + eta) / (1 + 2 eta rho)} on edges (the subject of G. Owen, J. Vac. Sci. Technol. B 8, 1889
 * (1990)) and {@code (1 + eta) / (1 + eta rho)} for equal mean energy follow from the double Gaussian of T. H. P. Chang, J. Vac.
 * Sci. Technol. 12, 1271 (1975). Values for finite periods and for the line beside a pad were computed from the same double
 * Gaussian with mpmath (30 digits), set (0.05, 10, 0.6).
 */
class CorrectionReferenceTest {
    private static final double ETA = 0.6;
    private static final PointSpreadFunction SET_A = PointSpreadFunction.doubleGaussian(0.05, 10, ETA);

    @ParameterizedTest
    @CsvSource({"0.2", "0.5", "0.8"})
    void insideACoarseGratingTheDensityFormHolds(double density) {
        DoseTable table = Corrections.correct(Corrections.grating(1, density, 60, 120), CorrectionOptions.of(SET_A));
        assertTrue(table.convergence().converged());
        double expected = (1 + ETA) / (1 + 2 * ETA * density);
        assertEquals(expected, Corrections.factorAt(table, 0, 60), 0.005 * expected);
    }

    @ParameterizedTest
    @CsvSource({"0.2", "0.5", "0.8"})
    void equalMeanEnergyFollowsItsOwnDensityForm(double density) {
        // Coarse against alpha = 0.002 um, so that the loss of direct energy over the edges does not matter.
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.002, 10, ETA);
        CorrectionOptions options =
                CorrectionOptions.builder(psf).criterion(Criterion.MEAN).build();
        DoseTable table = Corrections.correct(Corrections.grating(2, density, 60, 120), options);
        double expected = (1 + ETA) / (1 + ETA * density);
        assertEquals(expected, Corrections.factorAt(table, 0, 60), 0.005 * expected);
    }

    @Test
    void anIsolatedLineGetsTheClosedFormDose() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, -0.1, 0, 0.1, 120);
        DoseTable table = Corrections.correct(polygons, CorrectionOptions.of(SET_A));
        assertEquals(1.578627391, Corrections.factorAt(table, 0, 60), 0.002 * 1.578627391);
    }

    @Test
    void theMiddleOfALargePadFollowsTheHalfPlaneRule() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 300, 300);
        DoseTable table = Corrections.correct(polygons, CorrectionOptions.of(SET_A));
        double expected = (1 + ETA) / (1 + 2 * ETA);
        assertEquals(expected, Corrections.factorAt(table, 150, 150), 0.005 * expected);
    }

    @ParameterizedTest
    @CsvSource({"2, 1.230769231", "10, 1.230750526", "20, 1.200846795", "40, 1.062675449", "80, 1.001757233"})
    void gratingsOfFinitePeriodGetTheirClosedFormDose(double period, double expected) {
        // Cells as wide as the widest line, so that each line has one dose across as in the closed form.
        CorrectionOptions options =
                CorrectionOptions.builder(SET_A).maxPieceUm(25).build();
        DoseTable table = Corrections.correct(Corrections.grating(period, 0.25, 120, 225), options);
        assertEquals(expected, Corrections.factorAt(table, 0, 112), 0.002 * expected);
    }

    @ParameterizedTest
    @CsvSource({"2", "10", "20", "40", "80"})
    void halfDensityNeedsNoCorrectionWhateverThePeriod(double period) {
        CorrectionOptions options =
                CorrectionOptions.builder(SET_A).maxPieceUm(45).build();
        DoseTable table = Corrections.correct(Corrections.grating(period, 0.5, 120, 225), options);
        assertEquals(1, Corrections.factorAt(table, 0, 112), 0.002);
    }

    @ParameterizedTest
    @CsvSource({"0.5, 1.026669114", "1, 1.059817794", "5, 1.299920284", "20, 1.575975805"})
    void aLineBesideAPadOfFixedDose(double gap, double expected) {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 0.2, 150);
        Corrections.box(polygons, 1, 0.2 + gap, -20, 80, 170);
        DoseTable table = Corrections.correct(
                polygons, CorrectionOptions.of(SET_A), Corrections.LINES, LayerRole.fixed(new Layer(2, 0), 1));
        assertEquals(expected, Corrections.factorAt(table, 0.1, 75), 0.002 * expected);
        assertEquals(1, Corrections.factorAt(table, 40, 75));
    }

    @Test
    void isolatedLineToPadInteriorIsTheContrastOfTheDensityForm() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 200, 200);
        // 5 ranges away from the pad, and wide against alpha but narrow against beta.
        Corrections.box(polygons, 0, 250, 0, 250.2, 200);
        DoseTable table = Corrections.correct(polygons, CorrectionOptions.of(SET_A));
        double ratio = Corrections.factorAt(table, 250.1, 100) / Corrections.factorAt(table, 100, 100);
        // 1 + 2 eta for a line of no width; the line of 0.2 um adds background of its own: 1.578627 against 1.6.
        assertEquals((1 + 2 * ETA) * 1.578627391 / 1.6, ratio, 0.005 * ratio);
    }

    @Test
    void withoutBackscatterWideShapesKeepFactorOne() {
        Polygons polygons = Corrections.grating(2, 0.5, 10, 20);
        DoseTable table = Corrections.correct(
                polygons,
                CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(0.05, 10, 0))
                        .maxPieceUm(5)
                        .build());
        for (double factor : table.factors()) {
            assertEquals(1, factor, 2e-3);
        }
    }

    @Test
    void theReferenceDensityRescalesAllFactors() {
        Polygons polygons = Corrections.grating(1, 0.5, 40, 80);
        DoseTable usual = Corrections.correct(polygons, CorrectionOptions.of(SET_A));
        DoseTable isolated = Corrections.correct(
                polygons, CorrectionOptions.builder(SET_A).referenceDensity(0).build());
        // With density 0 as reference, what had 1 + eta has 1.
        for (int u = 0; u < usual.pieces().units(); u++) {
            assertEquals(usual.factor(u) / (1 + ETA), isolated.factor(u), 2e-3 * isolated.factor(u));
        }
    }
}
