package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.util.List;
import java.util.function.UnaryOperator;
import org.junit.jupiter.api.Test;

class SensitivityTest {
    private static final List<GaussianTerm> TERMS = List.of(
            new GaussianTerm(0.3, 0.02),
            new GaussianTerm(0.3, 0.03),
            new GaussianTerm(0.1, 0.8),
            new GaussianTerm(0.3, 9));

    private static void varies(String parameter, double factor, double[] weights, double[] ranges) {
        PointSpreadFunction expected = PointSpreadFunction.from(List.of(
                new GaussianTerm(weights[0], ranges[0]),
                new GaussianTerm(weights[1], ranges[1]),
                new GaussianTerm(weights[2], ranges[2]),
                new GaussianTerm(weights[3], ranges[3])));
        PointSpreadFunction found = Sensitivity.vary(PointSpreadFunction.from(TERMS), parameter, factor);
        for (int k = 0; k < 4; k++) {
            assertEquals(expected.terms().get(k).weight(), found.terms().get(k).weight(), 1e-12);
            assertEquals(expected.terms().get(k).rangeUm(), found.terms().get(k).rangeUm(), 1e-12);
        }
    }

    /** Two direct terms and two others; weights are made to sum to 1 again. */
    @Test
    void eachParameterHasItsTerms() {
        double[] weights = {0.3, 0.3, 0.1, 0.3};
        varies("alpha", 1.5, weights, new double[] {0.03, 0.045, 0.8, 9});
        varies("beta", 0.5, weights, new double[] {0.02, 0.03, 0.4, 4.5});
        varies("eta", 2, new double[] {0.3, 0.3, 0.2, 0.6}, new double[] {0.02, 0.03, 0.8, 9});
    }

    private static Sensitivity of(PointSpreadFunction psf, double percent) throws IOException {
        Exposure exposure = new TestExposure().rectangle(0, 0, 1, 1, 1).build(psf);
        // Crossings at 0 and 0.2 um with the nominal energy, slopes of 5 a um; 2 nm further out on both sides with any
        // other.
        PointEnergy nominal = (x, y) -> 1 - 5 * Math.abs(x - 0.1);
        PointEnergy wider = (x, y) -> 1.01 - 5 * Math.abs(x - 0.1);
        try (Workers one = Workers.of(1)) {
            return Sensitivity.of(
                    exposure,
                    List.of(new WidthGauge("g", 0, 0, 1, 0, 0.2, Double.POSITIVE_INFINITY, 0, 0)),
                    percent,
                    nominal,
                    (UnaryOperator<PointSpreadFunction> change) ->
                            change.apply(psf).equals(psf) ? nominal : wider,
                    one,
                    Progress.NONE);
        }
    }

    @Test
    void effectsOfBothSignsByHand() throws IOException {
        Sensitivity found = of(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6), 10);
        assertEquals(8, found.effects().size());
        assertEquals(10, found.percent());
        String[] names = {"alpha", "beta", "eta", "base dose"};
        for (int k = 0; k < 8; k++) {
            Sensitivity.Effect effect = found.effects().get(k);
            assertEquals(names[k / 2], effect.parameter());
            assertEquals(k % 2 == 0 ? -10 : 10, effect.percent());
            // A dose d times as high moves each crossing to 1 - 0.5 / d.
            double dose = 1 + effect.percent() / 100;
            double expected = k < 6 ? 4 : 1e3 * 2 * (0.5 - 0.5 / dose) / 5;
            assertEquals(expected, effect.changeNm()[0], 1e-4);
            assertEquals(expected, effect.changes().mean(), 1e-4);
        }
        assertEquals("the true eta is 10 % smaller", found.effects().get(4).words());
        assertEquals("the true eta is 10 % larger", found.effects().get(5).words());
    }

    /** Without backscattering there is nothing else to be off. */
    @Test
    void oneTermHasOneParameter() throws IOException {
        assertEquals(
                4,
                of(PointSpreadFunction.from(List.of(new GaussianTerm(1, 0.02))), 10)
                        .effects()
                        .size());
    }

    @Test
    void absurdChangesAreRefused() {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);
        for (double percent : new double[] {0, -1, 100, Double.NaN}) {
            assertThrows(IllegalArgumentException.class, () -> of(psf, percent));
        }
    }

    @Test
    void effectsAreEqualByWhatTheyHold() {
        Spread spread = new Spread(1, 2, 2, 2, 2);
        Sensitivity.Effect effect = new Sensitivity.Effect("eta", 10, new double[] {2}, spread);
        Sensitivity.Effect same = new Sensitivity.Effect("eta", 10, new double[] {2}, spread);
        assertEquals(effect, same);
        assertEquals(effect.hashCode(), same.hashCode());
        Sensitivity.Effect other = new Sensitivity.Effect("eta", 10, new double[] {3}, spread);
        assertNotEquals(effect, other);
        assertNotEquals(effect.hashCode(), other.hashCode());
        assertNotEquals(effect, (Object) "eta");
    }
}
