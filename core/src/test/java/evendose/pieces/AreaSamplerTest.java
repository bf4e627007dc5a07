package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.SplittableRandom;
import org.apache.commons.numbers.gamma.Erf;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Area means against closed forms. */
class AreaSamplerTest {
    private static final double DIRECT_UM = 0.02;

    private static SampleBuffer sample(boolean standing, double... piece) {
        AreaSampler sampler = new AreaSampler(
                new FractureOptions(10, DIRECT_UM, 5, FractureOptions.Judging.AREA, PieceRules.exact()));
        double[][] c = new double[6][1];
        for (int k = 0; k < 6; k++) {
            c[k][0] = piece[k];
        }
        sampler.sample(c, new boolean[] {standing}, 0, 1);
        return sampler.samples;
    }

    /**
     * The mean energy over a square of w ranges: the square of {@code erf(w) - (1 - exp(-w^2))/(w sqrt(pi))}, from far below the direct
     * range to far above it. The largest error found is 4.2e-4.
     */
    @ParameterizedTest
    @ValueSource(doubles = {0.04, 0.06, 0.49, 0.51, 1.49, 1.51, 2.69, 2.71, 4, 5.9, 6.1, 12, 39, 41, 99, 101, 1000})
    void theMeanEnergyOfASquareIsRight(double ranges) {
        double w = ranges * DIRECT_UM;
        double one = Erf.value(ranges) + Math.expm1(-ranges * ranges) / (ranges * Math.sqrt(Math.PI));
        SampleBuffer samples = sample(false, 1, 1 + w, 2, 2 + w, 2, 2 + w);
        double sum = 0;
        double area = 0;
        for (int k = 0; k < samples.size; k++) {
            sum += samples.weight[k] * strip(samples.x[k] - 2, w) * strip(samples.y[k] - 1, w);
            area += samples.weight[k];
        }
        assertEquals(w * w, area, 1e-12 * w * w);
        assertEquals(1, sum / area / (one * one), 5e-4, ranges + " ranges");
    }

    private static double strip(double at, double length) {
        return 0.5 * (Erf.value(at / DIRECT_UM) + Erf.value((length - at) / DIRECT_UM));
    }

    /** Area and centroid of slanted pieces of both kinds, by the shoelace formula. */
    @Test
    void areaAndCentroidOfSlantedPieces() {
        SplittableRandom random = new SplittableRandom(4);
        for (int n = 0; n < 200; n++) {
            double low = random.nextDouble(-1, 1);
            double high = low + Math.pow(10, random.nextDouble(-3, 1));
            double a = random.nextDouble(-1, 1);
            double b = a + Math.pow(10, random.nextDouble(-3, 1));
            double c = random.nextDouble(-1, 1);
            double d = c + Math.pow(10, random.nextDouble(-3, 1));
            boolean standing = random.nextBoolean();
            double[] u = {a, b, d, c};
            double[] v = {low, low, high, high};
            double area = 0;
            double mu = 0;
            double mv = 0;
            for (int k = 0; k < 4; k++) {
                int l = (k + 1) % 4;
                double cross = u[k] * v[l] - u[l] * v[k];
                area += cross / 2;
                mu += cross * (u[k] + u[l]) / 6;
                mv += cross * (v[k] + v[l]) / 6;
            }
            SampleBuffer samples = sample(standing, low, high, a, b, c, d);
            double sum = 0;
            double mx = 0;
            double my = 0;
            for (int k = 0; k < samples.size; k++) {
                sum += samples.weight[k];
                mx += samples.weight[k] * samples.x[k];
                my += samples.weight[k] * samples.y[k];
            }
            if (high - low > 0.05 * DIRECT_UM) {
                // Two points across the height take its square, which the centroid asks for; one does not.
                assertEquals(area, sum, 1e-12 * (1 + area));
                assertEquals(standing ? mv : mu, mx, 1e-12 * (1 + area));
                assertEquals(standing ? mu : mv, my, 1e-12 * (1 + area));
            } else {
                assertEquals(area, sum, 1e-12 * (1 + area));
            }
        }
    }
}
