package evendose.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.Comparator;
import java.util.List;
import java.util.Random;
import java.util.Set;
import java.util.function.ToDoubleFunction;
import java.util.stream.IntStream;
import org.apache.commons.math3.linear.Array2DRowRealMatrix;
import org.apache.commons.math3.linear.ArrayRealVector;
import org.apache.commons.math3.linear.DecompositionSolver;
import org.apache.commons.math3.linear.QRDecomposition;
import org.apache.commons.math3.linear.RealMatrix;
import org.apache.commons.math3.linear.RealVector;
import org.apache.commons.math3.random.Well19937c;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Signs of a wrong model against least squares and random errors of Commons Math, for one dose test with and without given errors. */
class LackOfFitTest {
    private static final double ALPHA_UM = 0.03;
    private static final double BETA_UM = 4.5;
    private static final int TRIALS = 2000;

    /** So many standard errors of both counts together: by chance in fewer than 1 in 10,000. */
    private static final double SURE = 4;

    private static Solution solution(double nu, boolean errorsGiven) {
        PointSpreadFunction psf = PointSpreadFunction.from(List.of(
                new GaussianTerm(1 / (1.8 + nu), ALPHA_UM),
                new GaussianTerm(0.8 / (1.8 + nu), BETA_UM),
                new GaussianTerm(nu / (1.8 + nu), 0.5)));
        List<Measurement> made = new ArrayList<>(MadeUpMeasurements.noisy(psf, 120, 5, 0.02, 0.002, errorsGiven)
                .clearing(BETA_UM)
                .widths(ALPHA_UM, BETA_UM)
                .build());
        // In no order of size or dose.
        Collections.shuffle(made, new Random(3));
        double[] start = new double[CalibrationModel.names(FitOptions.USUAL).size()];
        start[0] = Math.log(ALPHA_UM);
        start[1] = Math.log(BETA_UM);
        start[2] = Math.log(0.8);
        return Solution.of(made, FitOptions.USUAL, List.of(start));
    }

    /** What parameters cannot follow of a change, by least squares. */
    private static final class Rest {
        private final RealMatrix basis;
        private final DecompositionSolver solver;

        Rest(Solution s) {
            basis = new Array2DRowRealMatrix(s.basis());
            solver = new QRDecomposition(basis).getSolver();
        }

        double[] of(double[] change) {
            RealVector v = new ArrayRealVector(change);
            return v.subtract(basis.operate(solver.solve(v))).toArray();
        }
    }

    private static double[] standardised(Solution s, Set<Integer> without) {
        double[] z = new double[s.basis().length];
        for (int i = 0; i < s.measurements().size(); i++) {
            z[i] = without.contains(i) ? 0 : s.standardised(i);
        }
        return z;
    }

    /** Share of made-up residuals, through the same fit, of which a statistic is at least as large as it was seen. */
    private static double chance(Solution s, Set<Integer> without, ToDoubleFunction<double[]> statistic, double seen) {
        Well19937c random = new Well19937c(12);
        Rest rest = new Rest(s);
        int shown = 0;
        for (int t = 0; t < TRIALS; t++) {
            double[] errors = new double[s.basis().length];
            Arrays.setAll(errors, i -> random.nextGaussian());
            double[] z = rest.of(errors);
            for (Measurement.Kind kind : Measurement.Kind.values()) {
                int[] own = IntStream.range(0, s.measurements().size())
                        .filter(i -> !without.contains(i) && s.scaled(i))
                        .filter(i -> s.measurements().get(i).kind() == kind)
                        .toArray();
                double squares =
                        Arrays.stream(own).mapToDouble(i -> z[i] * z[i]).sum();
                Arrays.stream(own).forEach(i -> z[i] *= Math.sqrt(s.freedom(kind) / squares));
            }
            for (int i = 0; i < z.length; i++) {
                z[i] = i >= s.measurements().size() || without.contains(i) ? 0 : z[i];
            }
            shown += statistic.applyAsDouble(z) >= seen ? 1 : 0;
        }
        return shown / (double) TRIALS;
    }

    private static void assertChance(double expected, double found) {
        double error = Math.sqrt(Math.max(expected, 5e-4) * (1 - expected) * (1.0 / TRIALS + 1.0 / 2000));
        assertEquals(expected, found, SURE * error);
    }

    /** Rings, discs and the lines of each figure, as {@link MadeUpMeasurements} makes them one after the other, by size and by dose. */
    private static List<List<Integer>> series(Solution s, Set<Integer> without) {
        List<Measurement> all = s.measurements();
        List<String> names = all.stream()
                .map(m -> m.figure() instanceof TestFigure.Ring r
                        ? r.innerRadiusUm() > 0 ? "ring" : "disc"
                        : m.figure().toString())
                .toList();
        return names.stream()
                .distinct()
                .map(name -> IntStream.range(0, all.size())
                        .filter(i -> names.get(i).equals(name) && !without.contains(i))
                        .boxed()
                        .sorted(Comparator.comparingDouble(i -> all.get(i).figure() instanceof TestFigure.Ring r
                                ? r.innerRadiusUm() + 1e-6 * r.outerRadiusUm()
                                : all.get(i).doseUcPerCm2()))
                        .toList())
                .toList();
    }

    private static double together(List<List<Integer>> series, double[] z) {
        double products = 0;
        for (List<Integer> of : series) {
            for (int k = 1; k < of.size(); k++) {
                products += z[of.get(k)] * z[of.get(k - 1)];
            }
        }
        return products / new ArrayRealVector(z).dotProduct(new ArrayRealVector(z));
    }

    @ParameterizedTest
    @ValueSource(booleans = {true, false})
    void neighboursAreComparedWithSoundTests(boolean errorsGiven) {
        Solution s = solution(0.15, errorsGiven);
        for (Set<Integer> without : List.of(Set.<Integer>of(), Set.of(3, 14))) {
            LackOfFit.Neighbours found = new LackOfFit(s, without).neighbours().orElseThrow();
            List<List<Integer>> series = series(s, without);
            double[] z = standardised(s, without);
            assertChance(chance(s, without, trial -> together(series, trial), together(series, z)), found.chance());
            double most = 0;
            List<Integer> run = List.of();
            for (List<Integer> of : series) {
                for (int a = 0; a < of.size(); a++) {
                    for (int b = a + 1; b <= of.size(); b++) {
                        List<Integer> part = of.subList(a, b);
                        double sum = part.stream().mapToDouble(i -> z[i]).sum();
                        boolean same = part.stream().allMatch(i -> z[i] * sum > 0);
                        if (same && Math.abs(sum) / Math.sqrt(b - a) > most) {
                            most = Math.abs(sum) / Math.sqrt(b - a);
                            run = part;
                        }
                    }
                }
            }
            assertEquals(run, found.indices());
            assertTrue(!run.isEmpty());
            assertEquals(run.stream().mapToDouble(i -> z[i]).average().orElseThrow(), found.meanResidual(), 1e-12);
        }
    }

    /** The best of 16 ranges between 1.7 alpha and beta / 1.7, in even ratios, each fitted beside the parameters. */
    @ParameterizedTest
    @ValueSource(booleans = {true, false})
    void aThirdTermIsTheBestOfManyRanges(boolean errorsGiven) {
        for (double nu : new double[] {0.1, 0.3}) {
            Solution s = solution(nu, errorsGiven);
            for (Set<Integer> without : List.of(Set.<Integer>of(), Set.of(2, 12))) {
                LackOfFit.ThirdTerm found =
                        new LackOfFit(s, without).thirdTerm().orElseThrow();
                double[] gammas = new double[16];
                double[][] rest = new double[16][];
                double from = 1.7 * Math.exp(s.expanded()[0]);
                double to = Math.exp(s.expanded()[1]) / 1.7;
                for (int g = 0; g < 16; g++) {
                    gammas[g] = from * Math.pow(to / from, g / 15.0);
                    double[] slopes = s.model().slopesOfThirdTerm(s.x(), gammas[g]);
                    double[] weighted = new double[s.basis().length];
                    for (int i = 0; i < slopes.length; i++) {
                        double information = s.model().likelihood(i).information(s.predicted(i));
                        weighted[i] = without.contains(i) ? 0 : slopes[i] * Math.sqrt(information);
                    }
                    rest[g] = new Rest(s).of(weighted);
                }
                double[] z = standardised(s, without);
                double best = gain(rest, z);
                int g = 0;
                while (gain(new double[][] {rest[g]}, z) < best) {
                    g++;
                }
                double[] u = rest[g];
                assertEquals(gammas[g], found.gammaUm(), 1e-9);
                assertEquals(dot(u, z) / dot(u, u), found.nu(), 1e-9);
                int strongest = IntStream.range(0, s.measurements().size())
                        .boxed()
                        .max(Comparator.comparingDouble(i -> u[i] * z[i]))
                        .orElseThrow();
                assertEquals(strongest, found.strongest());
                assertChance(chance(s, without, trial -> gain(rest, trial), best), found.chance());
            }
        }
    }

    private static double dot(double[] a, double[] b) {
        return new ArrayRealVector(a).dotProduct(new ArrayRealVector(b));
    }

    /** The largest fall of the sum of squares with one of the terms, of positive energy. */
    private static double gain(double[][] rest, double[] z) {
        return Arrays.stream(rest)
                .mapToDouble(u -> dot(u, z) > 0 ? dot(u, z) * dot(u, z) / dot(u, u) : 0)
                .max()
                .orElseThrow();
    }
}
