package evendose.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.List;
import java.util.OptionalDouble;
import org.apache.commons.math3.distribution.BinomialDistribution;
import org.apache.commons.math3.distribution.TDistribution;
import org.apache.commons.math3.stat.correlation.PearsonsCorrelation;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

class CalibrationFitTest {
    private static Calibration fit(List<Measurement> measurements) {
        return CalibrationFit.fit("measured.csv", measurements, FitOptions.USUAL);
    }

    private static void assertRelative(double expected, double actual, double tolerance) {
        assertEquals(expected, actual, tolerance * expected);
    }

    /** Parameter sets like those published for 20 to 100 kV (process-dependent; here they are just truths to find). */
    @ParameterizedTest
    @CsvSource({"0.012,31,0.6,375", "0.02,9.5,0.62,150", "0.03,4.5,1.2,120", "0.05,2,0.75,60"})
    void exactDataGiveTheTruthBack(double alpha, double beta, double eta, double dose) {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(alpha, beta, eta);
        Calibration found = fit(MadeUpMeasurements.exact(psf, dose)
                .clearing(beta)
                .widths(alpha, beta)
                .build());
        assertRelative(alpha, found.parameter("alpha").value(), 1e-6);
        assertRelative(beta, found.parameter("beta").value(), 1e-6);
        assertRelative(eta, found.parameter("eta").value(), 1e-6);
        assertRelative(dose, found.parameter("clearing dose").value(), 1e-6);
        assertRelative(2 * dose, found.baseDose().value(), 1e-6);
        assertTrue(found.residuals().stream().noneMatch(FitResidual::outlier));
    }

    @Test
    void ringsAloneDetermineBetaEtaAndDoseIfAlphaIsGiven() {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.62);
        Calibration found = CalibrationFit.fit(
                "measured.csv",
                MadeUpMeasurements.exact(psf, 150).clearing(9.5).build(),
                new FitOptions(
                        OptionalDouble.of(0.02),
                        OptionalDouble.empty(),
                        OptionalDouble.empty(),
                        false,
                        false,
                        FitOptions.WidthOffset.USUAL));
        assertRelative(9.5, found.parameter("beta").value(), 1e-6);
        assertRelative(0.62, found.parameter("eta").value(), 1e-6);
        assertEquals(0.02, found.parameter("alpha").value(), 1e-15);
        assertFalse(found.parameter("alpha").fitted());
    }

    @Test
    void widthsAloneDetermineAllButLessWell() {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.03, 4.5, 1.2);
        MadeUpMeasurements test = MadeUpMeasurements.exact(psf, 120);
        for (double size : new double[] {1, 2, 4}) {
            test.widths(0.03, 4.5 * size);
        }
        Calibration found = fit(test.build());
        assertRelative(0.03, found.parameter("alpha").value(), 1e-6);
        assertRelative(4.5, found.parameter("beta").value(), 1e-6);
        assertRelative(1.2, found.parameter("eta").value(), 1e-6);
    }

    @Test
    void aThirdTermAndAThresholdOfItsOwnAreFoundOnRequest() {
        PointSpreadFunction psf = PointSpreadFunction.from(
                List.of(new GaussianTerm(1, 0.02), new GaussianTerm(0.6, 9.5), new GaussianTerm(0.2, 0.6)));
        MadeUpMeasurements test =
                MadeUpMeasurements.exact(psf, 150, 0.9).clearing(9.5).widths(0.02, 9.5);
        for (double r : new double[] {0.2, 0.4, 0.8, 1.6}) {
            test.ring(r, 25).ring(0, r);
        }
        Calibration found = CalibrationFit.fit(
                "measured.csv",
                test.build(),
                new FitOptions(
                        OptionalDouble.empty(),
                        OptionalDouble.empty(),
                        OptionalDouble.empty(),
                        true,
                        true,
                        FitOptions.WidthOffset.USUAL));
        assertRelative(0.02, found.parameter("alpha").value(), 1e-6);
        assertRelative(9.5, found.parameter("beta").value(), 1e-6);
        assertRelative(0.6, found.parameter("eta").value(), 1e-6);
        assertRelative(0.6, found.parameter("gamma").value(), 1e-6);
        assertRelative(0.2, found.parameter("nu").value(), 1e-6);
        assertRelative(0.9, found.parameter("tau").value(), 1e-6);
        assertRelative(2 * 0.9 * 150, found.baseDose().value(), 1e-6);
        assertEquals(3, found.psf().terms().size());
    }

    /**
     * 200 noisy trials: the true value must lie in the stated 95 % interval in about 190 of them. The number that do is binomial;
     * it is held between its quantiles at 1e-5 and 1 - 1e-5, so that each of the four parameters fails by chance in fewer
     * than 2e-5 of all seeds, the test in fewer than 1e-4. The intervals are first-order ones, which at this noise are
     * true to about a percent.
     */
    @ParameterizedTest
    @ValueSource(booleans = {true, false})
    void statedErrorsHold(boolean errorsGiven) {
        double alpha = 0.03;
        double beta = 4.5;
        double eta = 0.8;
        double dose = 120;
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(alpha, beta, eta);
        int trials = 200;
        int[] covered = new int[4];
        double[] truth = {alpha, beta, eta, dose};
        String[] names = {"alpha", "beta", "eta", "clearing dose"};
        double[][] found4 = new double[trials][4];
        double[][] stated = new double[0][];
        for (int t = 0; t < trials; t++) {
            Calibration found = fit(MadeUpMeasurements.noisy(psf, dose, 1000 + t, 0.03, 0.003, errorsGiven)
                    .clearing(beta)
                    .widths(alpha, beta)
                    .build());
            for (int k = 0; k < truth.length; k++) {
                FittedParameter p = found.parameter(names[k]);
                found4[t][k] = Math.log(p.value());
                covered[k] += p.low() <= truth[k] && truth[k] <= p.high() ? 1 : 0;
            }
            stated = found.covariance().correlation();
        }
        // The scatter of 200 estimates shows the stated correlations, within 5 standard errors (1 - r^2) / sqrt(200)
        // and 0.05 for
        // what the correlation itself varies from trial to trial; 5 deviations fail by chance in 6e-7.
        double[][] seen = new PearsonsCorrelation(found4).getCorrelationMatrix().getData();
        for (int a = 0; a < 4; a++) {
            for (int b = 0; b < a; b++) {
                double error = (1 - stated[a][b] * stated[a][b]) / Math.sqrt(trials);
                assertEquals(stated[a][b], seen[a][b], 5 * error + 0.05, names[a] + " and " + names[b]);
            }
        }
        BinomialDistribution expected = new BinomialDistribution(trials, 0.95);
        int fewest = expected.inverseCumulativeProbability(1e-5);
        int most = expected.inverseCumulativeProbability(1 - 1e-5);
        for (int k = 0; k < truth.length; k++) {
            assertTrue(
                    covered[k] >= fewest && covered[k] <= most,
                    names[k] + " was covered in " + covered[k] + " of " + trials + " trials, expected " + fewest
                            + " to " + most);
        }
        System.out.printf(
                "calibration: covered by 95 %% intervals in 200 trials: alpha %d, beta %d, eta %d, dose %d%n",
                covered[0], covered[1], covered[2], covered[3]);
    }

    @Test
    void ringsCannotTellAlpha() {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.62);
        BadInputException e = assertThrows(
                BadInputException.class,
                () -> fit(MadeUpMeasurements.exact(psf, 150).clearing(9.5).build()));
        assertEquals(
                "measured.csv: these data do not determine alpha (open by a factor of 2 or more); for alpha measure widths of"
                        + " narrow lines at several doses, or give --alpha-um",
                e.getMessage());
    }

    @Test
    void ringsOfOneRadiusCannotTellBetaFromEta() {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.62);
        MadeUpMeasurements test = MadeUpMeasurements.exact(psf, 150);
        for (int k = 0; k < 5; k++) {
            test.ring(5, 30).ring(0, 30);
        }
        BadInputException e = assertThrows(
                BadInputException.class,
                () -> CalibrationFit.fit(
                        "measured.csv",
                        test.build(),
                        new FitOptions(
                                OptionalDouble.of(0.02),
                                OptionalDouble.empty(),
                                OptionalDouble.empty(),
                                false,
                                false,
                                FitOptions.WidthOffset.USUAL)));
        assertTrue(e.getMessage().contains("do not determine beta, eta"), e.getMessage());
    }

    @Test
    void tooFewMeasurementsAreRefused() {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.62);
        BadInputException e = assertThrows(
                BadInputException.class,
                () -> fit(MadeUpMeasurements.exact(psf, 150)
                        .ring(5, 30)
                        .ring(0, 30)
                        .build()));
        assertTrue(e.getMessage().startsWith("measured.csv: 2 measurements cannot determine 4 parameters"));
    }

    @ParameterizedTest
    @ValueSource(booleans = {true, false})
    void aWrongRowIsPointedOut(boolean errorsGiven) {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.62);
        Calibration found = fit(MadeUpMeasurements.noisy(psf, 150, 5, 0.02, 0.002, errorsGiven)
                .clearing(9.5)
                .widths(0.02, 9.5)
                .replace(3, 1.3)
                .build());
        List<FitResidual> outliers =
                found.residuals().stream().filter(FitResidual::outlier).toList();
        assertEquals(1, outliers.size());
        assertEquals(5, outliers.get(0).measurement().line());
        assertTrue(found.cautions().get(0).startsWith("line 5 (ring 6.65-28.5 um) lies"));
    }

    @Test
    void correlationsAreAMatrixOfThem() {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.62);
        Calibration found = fit(MadeUpMeasurements.noisy(psf, 150, 6, 0.02, 0.002, true)
                .clearing(9.5)
                .widths(0.02, 9.5)
                .build());
        double[][] c = found.covariance().correlation();
        assertEquals(5, c.length);
        for (int a = 0; a < 5; a++) {
            assertEquals(1, c[a][a], 1e-12);
            for (int b = 0; b < 5; b++) {
                assertEquals(c[a][b], c[b][a], 1e-12);
                assertTrue(Math.abs(c[a][b]) <= 1 + 1e-12);
            }
        }
    }

    /** Standard errors and their degrees of freedom follow again from what {@code fit.json} tells, for sums of parameters as well. */
    @Test
    void covarianceSaysWhatIntervalsSay() {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.62);
        Calibration found = fit(MadeUpMeasurements.noisy(psf, 150, 6, 0.02, 0.002, false)
                .clearing(9.5)
                .widths(0.02, 9.5)
                .build());
        ParameterCovariance c = found.covariance();
        assertEquals(List.of("alpha", "beta", "eta", "clearing dose", "width offset"), c.names());
        assertEquals(2, c.parts().size());
        for (int a = 0; a < c.names().size(); a++) {
            FittedParameter p = found.parameter(c.names().get(a));
            boolean offset = p.name().equals("width offset");
            assertRelative(p.standardError() / (offset ? 1 : p.value()), Math.sqrt(c.matrix()[a][a]), 1e-9);
            double sum = 0;
            for (ParameterCovariance.Part part : c.parts()) {
                sum += Math.pow(part.matrix()[a][a], 2) / part.freedom();
            }
            double freedom = Math.pow(c.matrix()[a][a], 2) / sum;
            double half = offset ? (p.high() - p.low()) / 2 : Math.log(p.high() / p.low()) / 2;
            double quantile = new TDistribution(freedom).inverseCumulativeProbability(0.975);
            assertRelative(half, quantile * Math.sqrt(c.matrix()[a][a]), 1e-6);
            for (int b = 0; b < c.names().size(); b++) {
                double both = Math.sqrt(c.matrix()[a][a] * c.matrix()[b][b]);
                assertEquals(found.covariance().correlation()[a][b], c.matrix()[a][b] / both, 1e-9);
            }
        }
    }

    /** All widths off by a constant. */
    private static List<Measurement> offBy(double offsetUm, List<Measurement> measured) {
        return measured.stream()
                .map(m -> m.kind() == Measurement.Kind.CLEARING
                        ? m
                        : Measurement.width(
                                (TestFigure.Lines) m.figure(),
                                m.doseUcPerCm2(),
                                m.value() + offsetUm,
                                m.standardError(),
                                m.line()))
                .toList();
    }

    /** Before the offset was a parameter, 3 nm on all widths raised alpha by 30 % and the discs were blamed. */
    @ParameterizedTest
    @ValueSource(booleans = {false, true})
    void anOffsetOfAllWidthsIsFoundAndHarmsNothing(boolean ownThreshold) {
        double beta = 29;
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.0095, beta, 0.64);
        List<Measurement> measured = MadeUpMeasurements.noisy(psf, 362, 7, 0.015, 0.0015, true)
                .clearing(beta)
                .widths(0.0095, beta)
                .build();
        List<Measurement> off = offBy(0.003, measured);
        FitOptions options = new FitOptions(
                OptionalDouble.empty(),
                OptionalDouble.empty(),
                OptionalDouble.empty(),
                false,
                ownThreshold,
                FitOptions.WidthOffset.USUAL);
        Calibration with = CalibrationFit.fit("measured.csv", off, options);
        Calibration without = CalibrationFit.fit("measured.csv", measured, options);
        assertEquals(
                3,
                with.parameter("width offset").value()
                        - without.parameter("width offset").value(),
                ownThreshold ? 1.5 : 1);
        FittedParameter base = with.baseDose();
        assertEquals(724, base.value(), 2.5 * base.standardError());
        assertEquals(without.parameter("alpha").value(), with.parameter("alpha").value(), 0.15 * 0.0095);
        assertTrue(with.residuals().stream().noneMatch(FitResidual::outlier));
        assertEquals(ownThreshold, with.cautions().stream().anyMatch(c -> c.startsWith("the base dose is known to")));
        // Held at 0 it does the old harm.
        FitOptions held = new FitOptions(
                OptionalDouble.empty(),
                OptionalDouble.empty(),
                OptionalDouble.empty(),
                false,
                ownThreshold,
                new FitOptions.WidthOffset(0, 0));
        Calibration ignored = CalibrationFit.fit("measured.csv", off, held);
        double harm = Math.abs(
                ownThreshold
                        ? 1 - ignored.baseDose().value() / without.baseDose().value()
                        : ignored.parameter("alpha").value()
                                        / without.parameter("alpha").value()
                                - 1);
        assertTrue(harm > 0.04, "harm " + harm);
        assertTrue(ignored.parameters().stream().noneMatch(p -> p.name().equals("width offset")));
    }

    @Test
    void aLargeOffsetIsTold() {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.62);
        List<Measurement> off = offBy(
                0.012,
                MadeUpMeasurements.noisy(psf, 150, 8, 0.015, 0.001, true)
                        .clearing(9.5)
                        .widths(0.02, 9.5)
                        .build());
        Calibration found = fit(off);
        assertTrue(
                found.cautions().stream().anyMatch(c -> c.startsWith("measured widths are off by 1")),
                found.cautions().toString());
    }

    /** The first dose that clears, taken for the clearing dose, gives a base dose half a step too high; as an interval it does not. */
    @Test
    void intervalsOfTheLadderAreNotHalfAStepOff() {
        double beta = 9.5;
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.02, beta, 0.62);
        double step = Math.log(1.05);
        List<Measurement> exact = MadeUpMeasurements.exact(psf, 150)
                .clearing(beta)
                .widths(0.02, beta)
                .build();
        List<Measurement> first = new ArrayList<>();
        List<Measurement> interval = new ArrayList<>();
        for (Measurement m : exact) {
            if (m.kind() == Measurement.Kind.WIDTH) {
                first.add(m);
                interval.add(m);
                continue;
            }
            double high = Math.exp(step * Math.ceil(Math.log(m.value()) / step));
            TestFigure.Ring ring = (TestFigure.Ring) m.figure();
            first.add(Measurement.clearing(ring, high, OptionalDouble.empty(), m.line()));
            interval.add(Measurement.clearing(ring, high / 1.05, high, OptionalDouble.empty(), m.line()));
        }
        FittedParameter good = fit(interval).baseDose();
        assertEquals(300, good.value(), 2 * good.standardError());
        assertEquals(300, good.value(), 0.01 * 300);
        assertTrue(fit(first).baseDose().value() > 1.01 * 300);
    }

    /** A bound that agrees changes next to nothing; one that does not is an outlier by name. */
    @Test
    void boundsCount() {
        double beta = 9.5;
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.02, beta, 0.62);
        List<Measurement> exact = MadeUpMeasurements.noisy(psf, 150, 9, 0.02, 0.002, true)
                .clearing(beta)
                .widths(0.02, beta)
                .build();
        List<Measurement> loose = new ArrayList<>(exact);
        TestFigure.Ring disc = new TestFigure.Ring(0, 40);
        loose.add(Measurement.clearing(disc, 0, 200, OptionalDouble.of(3), 90));
        assertEquals(fit(exact).baseDose().value(), fit(loose).baseDose().value(), 1e-3);
        List<Measurement> wrong = new ArrayList<>(exact);
        wrong.add(Measurement.clearing(disc, 0, 120, OptionalDouble.of(3), 90));
        assertTrue(fit(wrong).cautions().get(0).startsWith("line 90 (disc 40 um) lies"));
    }
}
