package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DoseTable;
import evendose.correction.LayerRole;
import evendose.energy.ExactEnergy;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.Arrays;
import java.util.List;
import java.util.OptionalDouble;
import org.junit.jupiter.api.Test;

class PredictedWidthsTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.03, 9.5, 0.6);
    private static final Layer LINES = new Layer(1, 0);

    /** A grating, and a line at 45 degrees beside it. */
    private static DoseTable doses() {
        double[] corners = new double[4 * 40];
        for (int k = 0; k < 40; k++) {
            corners[4 * k] = 0.5 * k;
            corners[4 * k + 2] = 0.5 * k + 0.2;
            corners[4 * k + 3] = 20;
        }
        Layout layout = Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LINES, corners)
                .polygon(LINES, 40, 0, 60, 20, 59.7, 20.3, 39.7, 0.3)
                .build();
        return Corrector.correct(
                layout,
                List.of(LayerRole.corrected(LINES)),
                CorrectionOptions.builder(PSF).threads(2).build());
    }

    /** The place between an inner and an outer one where the energy is half that of a plane, by bisection. */
    private static double crossing(
            ExactEnergy energy, double threshold, double x, double y, double ux, double uy, double far) {
        double in = 0;
        double out = far;
        assertTrue(energy.at(x, y) > threshold && energy.at(x + far * ux, y + far * uy) < threshold);
        while (out - in > 1e-9) {
            double middle = 0.5 * (in + out);
            if (energy.at(x + middle * ux, y + middle * uy) > threshold) {
                in = middle;
            } else {
                out = middle;
            }
        }
        return in;
    }

    @Test
    void agreeWithBisectionInClosedForms() {
        DoseTable table = doses();
        double root = Math.sqrt(0.5);
        List<LineWidth> widths = PredictedWidths.at(
                table,
                List.of(
                        GaugePlace.at(0.1, 10),
                        new GaugePlace("middle", 10.05, 9, OptionalDouble.of(0)),
                        GaugePlace.at(49.85, 10.15)));
        assertEquals("W1", widths.get(0).gauge().name());
        assertEquals("middle", widths.get(1).gauge().name());
        // The usual reference density of edges is 0.5: a grating of that density clears with factor 1.
        double threshold = 0.5 * (1 + 2 * 0.6 * 0.5) / (1 + 0.6);
        double[] ones = new double[table.pieces().units()];
        Arrays.fill(ones, 1);
        ExactEnergy after = ExactEnergy.ofUnits(table.pieces(), table.factors(), PSF);
        ExactEnergy cover =
                ExactEnergy.ofUnits(table.pieces(), ones, PointSpreadFunction.from(List.of(new GaussianTerm(1, 9.5))));
        ExactEnergy before = ExactEnergy.ofUnits(table.pieces(), ones, PSF);
        double[][] middles = {{0.1, 10, 1, 0, 0.2}, {10.1, 9, 1, 0, 0.2}, {49.85, 10.15, root, -root, 0.3 / root}};
        for (int k = 0; k < 3; k++) {
            double[] m = middles[k];
            LineWidth w = widths.get(k);
            assertEquals(m[4], w.gauge().drawnUm(), 1e-9);
            double far = m[4];
            double corrected = crossing(after, threshold, m[0], m[1], m[2], m[3], far)
                    + crossing(after, threshold, m[0], m[1], -m[2], -m[3], far);
            assertEquals(corrected, w.correctedUm(), 2e-5);
            double uncorrected = before.at(m[0], m[1]) > threshold
                    ? crossing(before, threshold, m[0], m[1], m[2], m[3], far)
                            + crossing(before, threshold, m[0], m[1], -m[2], -m[3], far)
                    : Double.NaN;
            assertEquals(uncorrected, w.uncorrectedUm(), 2e-5);
            assertTrue(Math.abs(w.correctedErrorNm()) < 1);
            assertEquals(cover.at(w.gauge().xUm(), w.gauge().yUm()), w.gauge().density(), 1e-4);
        }
        assertTrue(Math.abs(widths.get(2).uncorrectedErrorNm()) > 5);
    }

    @Test
    void aPlaceOffAllLinesIsNamed() {
        DoseTable table = doses();
        String message = assertThrows(
                        IllegalArgumentException.class,
                        () -> PredictedWidths.at(
                                table,
                                List.of(
                                        GaugePlace.at(0.1, 10),
                                        new GaugePlace("gap", 0.3, 10, OptionalDouble.empty()))))
                .getMessage();
        assertTrue(message.startsWith("gauge gap: the point (0.3, 10.0) um is not inside a shape"), message);
        assertThrows(IllegalArgumentException.class, () -> GaugePlace.at(Double.NaN, 0));
    }
}
