package evendose.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.OptionalDouble;
import org.apache.commons.math3.analysis.integration.IterativeLegendreGaussIntegrator;
import org.apache.commons.math3.distribution.NormalDistribution;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Against the normal distribution of Apache Commons Math, integrated numerically. */
class LikelihoodTest {
    private static final TestFigure.Ring RING = new TestFigure.Ring(5, 10);

    private static double probability(double low, double high, double mu, double sigma) {
        NormalDistribution normal = new NormalDistribution(mu, sigma);
        return new IterativeLegendreGaussIntegrator(32, 1e-13, 1e-300).integrate(100_000, normal::density, low, high);
    }

    /** Half the square of the residual is what the logarithm of the likelihood lacks to that in the middle of the interval. */
    @ParameterizedTest
    @CsvSource({"0.05,0.02,0.01", "0.05,0.02,-0.08", "0.1,0.02,0.15", "0.05,0.03,0.2", "0.05,0.1,0.03", "0.05,0.02,1e-5"
    })
    void intervals(double width, double sigma, double offset) {
        double low = 6;
        double high = low + width;
        Likelihood l = new Likelihood(low, high, sigma);
        double mu = 0.5 * (low + high) + offset;
        double lack = Math.log(probability(low, high, 0.5 * (low + high), sigma))
                - Math.log(probability(low, high, mu, sigma));
        assertEquals(Math.sqrt(2 * Math.max(0, lack)), Math.abs(l.residual(mu)), 1e-5 + 1e-9 * Math.abs(lack));
        assertTrue(l.residual(mu) * offset < 0, "below the prediction is negative");
        double h = 1e-5;
        double slope = (l.residual(mu + h) - l.residual(mu - h)) / (2 * h);
        assertEquals(slope, l.slope(mu), 1e-5 * Math.abs(slope));
    }

    @ParameterizedTest
    @CsvSource({"0.01", "-0.03", "0.05", "-0.2"})
    void bounds(double offset) {
        double bound = 6;
        double sigma = 0.02;
        double mu = bound + offset;
        Likelihood upper = new Likelihood(Double.NEGATIVE_INFINITY, bound, sigma);
        Likelihood lower = new Likelihood(bound, Double.POSITIVE_INFINITY, sigma);
        double below = probability(mu - 12 * sigma, bound, mu, sigma);
        double above = probability(bound, mu + 12 * sigma, mu, sigma);
        assertEquals(-Math.sqrt(Math.max(0, -2 * Math.log(below))), upper.residual(mu), 1e-6);
        assertEquals(Math.sqrt(Math.max(0, -2 * Math.log(above))), lower.residual(mu), 1e-6);
        double h = 1e-6;
        assertEquals((upper.residual(mu + h) - upper.residual(mu - h)) / (2 * h), upper.slope(mu), 1e-4);
        assertEquals((lower.residual(mu + h) - lower.residual(mu - h)) / (2 * h), lower.slope(mu), 1e-4);
    }

    @Test
    void farPredictionsStayFinite() {
        for (double mu : new double[] {-50, 0, 60, 500}) {
            for (Likelihood l : new Likelihood[] {
                new Likelihood(6, 6.05, 0.02),
                new Likelihood(6, 6, 0.02),
                new Likelihood(6, Double.POSITIVE_INFINITY, 0.02),
                new Likelihood(Double.NEGATIVE_INFINITY, 6, 0.02)
            }) {
                assertTrue(Double.isFinite(l.residual(mu)) && Double.isFinite(l.slope(mu)), l + " at " + mu);
                assertTrue(l.information(mu) >= 0, l + " at " + mu);
            }
        }
    }

    /**
     * Fisher's information of a ladder, the mean of the squared slope of the logarithm of the likelihood over all doses and all places of the
     * ladder, is that of the middle with the variance of a uniform distribution added: within 2 % up to steps of two deviations, 8 % up to four.
     */
    @ParameterizedTest
    @CsvSource({"1,0.01", "2,0.02", "4,0.08"})
    void anIntervalTellsAsMuchAsItsMiddle(double step, double tolerance) {
        double information = 0;
        int places = 8;
        for (int p = 0; p < places; p++) {
            for (int k = -7; k <= 7; k++) {
                double low = (k + p / (double) places) * step;
                double mass = probability(low, low + step, 0, 1);
                if (mass > 1e-12) {
                    double h = 1e-4;
                    double slope = (Math.log(probability(low, low + step, h, 1))
                                    - Math.log(probability(low, low + step, -h, 1)))
                            / (2 * h);
                    information += mass * slope * slope / places;
                }
            }
        }
        assertEquals(information, Likelihood.information(1, step), tolerance * information);
    }

    @Test
    void scatterHasALeastSizeInAnInterval() {
        Measurement m = Measurement.clearing(RING, 100, 110, OptionalDouble.of(0.01), 1);
        assertEquals(Math.log(1.1) / 6, Likelihood.of(m, 1).sigma(), 1e-12);
        assertEquals(
                0.03,
                Likelihood.of(Measurement.clearing(RING, 100, OptionalDouble.empty(), 1), 1)
                        .sigma(),
                1e-12);
    }

    private static double logInside(double inside, double sigma) {
        return Math.log(new NormalDistribution(0, sigma).cumulativeProbability(inside));
    }

    /** What a bound tells where it lies is the curvature of the logarithm of its likelihood: a second difference quotient. */
    @ParameterizedTest
    @CsvSource({"0.01", "-0.03", "0.04", "-0.1", "0"})
    void aBoundTellsTheCurvatureOfItsLikelihood(double offset) {
        double bound = 6;
        double sigma = 0.02;
        double mu = bound + offset;
        double h = 2e-4 * sigma * 50;
        for (boolean upper : new boolean[] {true, false}) {
            Likelihood l = upper
                    ? new Likelihood(Double.NEGATIVE_INFINITY, bound, sigma)
                    : new Likelihood(bound, Double.POSITIVE_INFINITY, sigma);
            double inside = upper ? bound - mu : mu - bound;
            double curvature =
                    -(logInside(inside + h, sigma) - 2 * logInside(inside, sigma) + logInside(inside - h, sigma))
                            / (h * h);
            assertEquals(curvature, l.information(mu), 2e-4 * curvature);
            assertEquals(l.residual(mu), l.standardised(mu));
            assertEquals(0, l.intervalVariance());
        }
    }

    @Test
    void intervalsAndValuesAreStandardisedByAllThatIsKnown() {
        Likelihood interval = new Likelihood(6, 6.06, 0.02);
        double variance = 0.02 * 0.02 + 0.06 * 0.06 / 12;
        assertEquals(1 / variance, interval.information(5), 1e-9);
        assertEquals((6.03 - 5.9) / Math.sqrt(variance), interval.standardised(5.9), 1e-12);
        assertEquals(0.06 * 0.06 / 12, interval.intervalVariance(), 1e-15);
        Likelihood value = new Likelihood(6, 6, 0.02);
        assertEquals(5, value.standardised(5.9), 1e-9);
        assertEquals(5, value.residual(5.9), 1e-9);
        assertEquals(-50, value.slope(5.9), 1e-9);
        Measurement width =
                Measurement.width(new TestFigure.Lines(0.2, 0.5, 5, 20), 100, 0.21, OptionalDouble.empty(), 1);
        assertEquals(new Likelihood(0.21, 0.21, 2 * CalibrationModel.WIDTH_ERROR_UM), Likelihood.of(width, 2));
        Measurement bound = Measurement.clearing(RING, 0, 50, OptionalDouble.of(2), 1);
        assertEquals(new Likelihood(Double.NEGATIVE_INFINITY, Math.log(50), 0.04), Likelihood.of(bound, 7));
        assertEquals(2500, value.information(5.9), 1e-6);
        assertEquals(0, value.intervalVariance());
    }

    /** Near the middle the residual is a straight line with the slope that it has beside it. */
    @Test
    void nothingJumpsWhereTheMiddleBegins() {
        Likelihood l = new Likelihood(6, 6.05, 0.02);
        double at = 6.025 + 1e-3 * 0.02;
        assertEquals(l.slope(at * (1 - 1e-12)), l.slope(at * (1 + 1e-12)), 1e-5 * Math.abs(l.slope(at)));
        assertEquals(l.slope(6.025) * 1e-3 * 0.02, l.residual(at), 1e-5 * Math.abs(l.residual(at)));
        // At the ends of the interval too, where another formula takes over.
        double end = 6.05;
        assertEquals(l.slope(end - 1e-9), l.slope(end + 1e-9), 1e-5 * Math.abs(l.slope(end)));
    }
}
