package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.energy.ExactEnergy;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import org.apache.commons.numbers.gamma.Erf;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** The few points that judge a unit against a fine sum over its outline, for one Gaussian whose energy is a product of error functions. */
class JudgingTest {
    private static final double ALPHA_UM = 0.02;

    @ParameterizedTest
    @CsvSource({"40, 60", "100, 100", "119, 121", "120, 500", "60, 3000", "1000, 2000"})
    void theMeanOverARectanglesSidesIsRight(long widthNm, long heightNm) {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 0, 0, widthNm, heightNm);
        Samples samples;
        try (Workers workers = Workers.of(1)) {
            samples = Fracture.of(
                            Merge.of(polygons, 1, workers, Progress.NONE),
                            0.001,
                            new FractureOptions(10, ALPHA_UM, 5, FractureOptions.Judging.EDGES, PieceRules.exact()),
                            workers,
                            Progress.NONE)
                    .samples();
        }
        double w = 0.001 * widthNm;
        double h = 0.001 * heightNm;
        double found = 0;
        for (int j = 0; j < samples.size(); j++) {
            found += samples.weight(j) * strip(samples.xUm(j), w) * strip(samples.yUm(j), h);
        }
        double sum = 0;
        double weights = 0;
        for (double[] side : new double[][] {{w, h}, {h, w}}) {
            int n = 20_000;
            for (int k = 0; k < n; k++) {
                double t = side[0] * (k + 0.5) / n;
                double weight = fade(t) * fade(side[0] - t) * side[0] / n;
                sum += weight * strip(t, side[0]) * strip(0, side[1]);
                weights += weight;
            }
        }
        assertEquals(1, found / (sum / weights), 1e-4);
    }

    /**
     * A drawn curve: the energy at its corners is another than between them, and some of its sides lie farther out than others. Three points stand
     * for all of it.
     */
    @ParameterizedTest
    @CsvSource({"110, 32", "150, 24", "300, 64", "600, 96"})
    void theMeanOverADrawnCurveIsRight(long radiusNm, int sides) {
        long[] xy = new long[2 * sides];
        long[] x = new long[sides];
        long[] y = new long[sides];
        for (int k = 0; k < sides; k++) {
            x[k] = Math.round(radiusNm * Math.cos(2 * Math.PI * (k + 0.5) / sides));
            y[k] = Math.round(radiusNm * Math.sin(2 * Math.PI * (k + 0.5) / sides));
        }
        Polygons polygons = new Polygons();
        for (int k = 0; k < sides; k++) {
            xy[2 * k] = x[k];
            xy[2 * k + 1] = y[k];
        }
        polygons.addPolygon(0, xy, sides);
        Fracture.Result cut;
        try (Workers workers = Workers.of(1)) {
            cut = Fracture.of(
                    Merge.of(polygons, 1, workers, Progress.NONE),
                    0.001,
                    new FractureOptions(10, ALPHA_UM, 5, FractureOptions.Judging.EDGES, PieceRules.exact()),
                    workers,
                    Progress.NONE);
        }
        ExactEnergy energy = ExactEnergy.ofUnits(
                cut.pieces(), new double[] {1}, PointSpreadFunction.from(List.of(new GaussianTerm(1, ALPHA_UM))));
        Samples samples = cut.samples();
        double found = 0;
        for (int j = 0; j < samples.size(); j++) {
            found += samples.weight(j) * energy.at(samples.xUm(j), samples.yUm(j));
        }
        double sum = 0;
        double length = 0;
        for (int k = 0; k < sides; k++) {
            int next = (k + 1) % sides;
            double side = Math.hypot(x[next] - x[k], y[next] - y[k]);
            for (int i = 0; i < 50; i++) {
                double t = (i + 0.5) / 50;
                sum += side
                        / 50
                        * energy.at(0.001 * (x[k] + t * (x[next] - x[k])), 0.001 * (y[k] + t * (y[next] - y[k])));
            }
            length += side;
        }
        assertEquals(1, found / (sum / length), 2e-3);
    }

    private static double strip(double at, double length) {
        return 0.5 * (Erf.value(at / ALPHA_UM) + Erf.value((length - at) / ALPHA_UM));
    }

    private static double fade(double distanceUm) {
        double x = Math.pow(distanceUm / ALPHA_UM, 8);
        return x / (x + Math.pow(1.75, 8));
    }
}
