package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.util.List;
import java.util.function.DoubleUnaryOperator;
import org.apache.commons.numbers.gamma.Erf;
import org.junit.jupiter.api.Test;

/**
 * Widths and edges from contours against closed forms: the energy of lines without ends is a sum of error functions (T. H. P.
 * Chang, J. Vac. Sci. Technol. 12, 1271 (1975), for the double Gaussian), whose crossing of 1/2 is found here by bisection.
 * Lines in the tests are 12 backscatter ranges long, so ends matter less than 1e-15.
 */
class WidthReferenceTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.05, 10, 0.6);
    private static final double HALF_LENGTH = 60;
    private static final double TOLERANCE_NM = 0.01;

    /** Energy at {@code x} of an endless line from {@code a} to {@code b}. */
    private static double line(double a, double b, double x) {
        double sum = 0;
        for (GaussianTerm t : PSF.terms()) {
            sum += 0.5 * t.weight() * (Erf.value((b - x) / t.rangeUm()) - Erf.value((a - x) / t.rangeUm()));
        }
        return sum;
    }

    /** The place between {@code inside} and {@code outside} where the energy falls through 1/2. */
    private static double crossing(DoubleUnaryOperator energy, double inside, double outside) {
        double in = inside;
        double out = outside;
        for (int k = 0; k < 100; k++) {
            double middle = 0.5 * (in + out);
            if (energy.applyAsDouble(middle) > 0.5) {
                in = middle;
            } else {
                out = middle;
            }
        }
        return 0.5 * (in + out);
    }

    private static WidthGauge gauge(double x0, double x1) {
        return new WidthGauge("g", x0, 0, 1, 0, x1 - x0, Double.POSITIVE_INFINITY, 0, 0);
    }

    @Test
    void isolatedLine() throws IOException {
        for (double factor : new double[] {1.1, 1.578627391, 2.5}) {
            Exposure exposure = new TestExposure()
                    .rectangle(-0.1, -HALF_LENGTH, 0.1, HALF_LENGTH, factor)
                    .build(PSF);
            double expected = 2 * crossing(x -> factor * line(-0.1, 0.1, x), 0, 1);
            double width = new WidthMeasurement(exposure).widthUm(exposure.exact(true), gauge(-0.1, 0.1), 1);
            assertEquals(1e3 * expected, 1e3 * width, TOLERANCE_NM);
        }
    }

    /** The factor 1.578627391 is that of testdata/reference for this line: it must come out as drawn. */
    @Test
    void theReferenceDoseOfALoneLineGivesItsDrawnWidth() throws IOException {
        Exposure exposure = new TestExposure()
                .rectangle(-0.1, -HALF_LENGTH, 0.1, HALF_LENGTH, 1.578627391)
                .build(PSF);
        double width = new WidthMeasurement(exposure).widthUm(exposure.exact(true), gauge(-0.1, 0.1), 1);
        assertEquals(200, 1e3 * width, 1e-5);
    }

    @Test
    void middleLineOfAGrating() throws IOException {
        TestExposure lines = new TestExposure();
        for (int k = -40; k <= 40; k++) {
            lines.rectangle(2.0 * k - 0.25, -HALF_LENGTH, 2.0 * k + 0.25, HALF_LENGTH, 1.1);
        }
        Exposure exposure = lines.build(PSF);
        DoubleUnaryOperator energy = x -> {
            double sum = 0;
            for (int k = -40; k <= 40; k++) {
                sum += 1.1 * line(2.0 * k - 0.25, 2.0 * k + 0.25, x);
            }
            return sum;
        };
        double expected = 2 * crossing(energy, 0, 1);
        double width = new WidthMeasurement(exposure).widthUm(exposure.exact(true), gauge(-0.25, 0.25), 1);
        assertEquals(1e3 * expected, 1e3 * width, TOLERANCE_NM);
        assertTrue(Math.abs(expected - 0.5) > 1e-4, "the test must see an edge that moved");
    }

    @Test
    void edgeOfAWideLine() throws IOException {
        Exposure exposure = new TestExposure()
                .rectangle(-120, -HALF_LENGTH, 0, HALF_LENGTH, 1.2)
                .build(PSF);
        double expected = crossing(x -> 1.2 * line(-120, 0, x), -1, 1);
        double found =
                ContourSearch.of(PSF).displacementUm(exposure.exact(true), 0.5, 0, 0, 1, 0, Double.POSITIVE_INFINITY);
        assertEquals(1e3 * expected, 1e3 * found, TOLERANCE_NM);
    }

    @Test
    void doseWindowEndsWhereTheWidthIsTenPercentOff() throws IOException {
        Exposure exposure = new TestExposure()
                .rectangle(-0.1, -HALF_LENGTH, 0.1, HALF_LENGTH, 1.578627391)
                .build(PSF);
        PointEnergy energy = exposure.exact(true);
        WidthMeasurement measurement = new WidthMeasurement(exposure);
        LineWidth w = measurement
                .measure(energy, energy, List.of(gauge(-0.1, 0.1)), Workers.of(1))
                .get(0);
        // At x = +-0.09 and +-0.11 um the line's energy times the dose is 1/2.
        double down = 100 * (1 - 0.5 / (1.578627391 * line(-0.1, 0.1, 0.09)));
        double up = 100 * (0.5 / (1.578627391 * line(-0.1, 0.1, 0.11)) - 1);
        assertEquals(down, w.doseDownPercent(), 1e-3);
        assertEquals(up, w.doseUpPercent(), 1e-3);
    }

    @Test
    void sensitivityToEtaFollowsTheClosedForm() throws IOException {
        Exposure exposure = new TestExposure()
                .rectangle(-0.1, -HALF_LENGTH, 0.1, HALF_LENGTH, 1.578627391)
                .build(PSF);
        Sensitivity s = sensitivity(exposure, Workers.of(1));
        double eta = 0.66;
        double expected = 2
                * crossing(
                        x -> 1.578627391
                                / (1 + eta)
                                / 2
                                * (Erf.value((0.1 - x) / 0.05)
                                        + Erf.value((0.1 + x) / 0.05)
                                        + eta * (Erf.value((0.1 - x) / 10) + Erf.value((0.1 + x) / 10))),
                        0,
                        1);
        Sensitivity.Effect effect = s.effects().stream()
                .filter(e -> e.parameter().equals("eta") && e.percent() > 0)
                .findFirst()
                .orElseThrow();
        assertEquals(1e3 * (expected - 0.2), effect.changeNm()[0], TOLERANCE_NM);
    }

    /** Terms that stand for one: the same function written as four terms has the same sensitivity to all three parameters. */
    @Test
    void sensitivityDoesNotDependOnHowTheFunctionIsWritten() throws IOException {
        // At dose factors that leave the edges off their place, the direct range matters too.
        PointSpreadFunction split = PointSpreadFunction.from(List.of(
                new GaussianTerm(0.5, 0.05),
                new GaussianTerm(0.5, 0.05 * (1 + 1e-9)),
                new GaussianTerm(0.3, 10),
                new GaussianTerm(0.3, 10 * (1 + 1e-9))));
        assertEquals(2, split.directTerms());
        Exposure whole = new TestExposure()
                .rectangle(-0.1, -HALF_LENGTH, 0.1, HALF_LENGTH, 1.3)
                .build(PointSpreadFunction.doubleGaussian(0.05, 10, 0.6));
        Exposure parts = new TestExposure()
                .rectangle(-0.1, -HALF_LENGTH, 0.1, HALF_LENGTH, 1.3)
                .build(split);
        try (Workers one = Workers.of(1)) {
            Sensitivity expected = sensitivity(whole, one);
            Sensitivity found = sensitivity(parts, one);
            assertEquals(8, expected.effects().size());
            for (int k = 0; k < 8; k++) {
                double change = expected.effects().get(k).changeNm()[0];
                assertTrue(Math.abs(change) > 0.01, "each parameter matters");
                assertEquals(change, found.effects().get(k).changeNm()[0], 1e-4);
            }
        }
    }

    private static Sensitivity sensitivity(Exposure exposure, Workers workers) {
        return Sensitivity.of(
                exposure,
                List.of(gauge(-0.1, 0.1)),
                10,
                exposure.exact(true),
                change -> exposure.exact(true, change),
                workers,
                Progress.NONE);
    }
}
