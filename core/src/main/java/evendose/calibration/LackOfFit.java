package evendose.calibration;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.SplittableRandom;
import java.util.TreeMap;
import java.util.stream.IntStream;

/**
 * Two signs that the model is not the one behind the data, found from standardised residuals z.
 *
 * <p>Neighbours: rings in the order of their inner radii, discs in that of their radii, one figure's lines in that of their doses. If the
 * model holds, residuals of neighbours differ as much as any two; the statistic is the sum of products of neighbours over the sum of squares.
 *
 * <p>A third term: how much the sum of squares falls, to first order, with a third term of the best of many ranges between alpha and beta, its
 * energy positive.
 *
 * <p>How often a sound test shows as much is counted on 2000 sets of normal errors that went through the same linearised fit, so that both
 * chances hold for the figures at hand whatever their number ({@code CalibrationCampaignTest} counts false alarms).
 */
final class LackOfFit {
    private static final int TRIALS = 2000;
    private static final long SEED = 4711;
    private static final int RANGES = 16;

    /** Ranges tried keep this factor from alpha and beta, where a third term is one of the two. */
    private static final double APART = 1.7;

    private final Solution solution;
    private final int[] used;
    private final double[][] basis;
    private final List<List<Integer>> series = new ArrayList<>();
    private final double[] gammaUm;
    private final double[][] direction;
    private final double[] size;

    /** Residuals of made-up sound tests, the same for both signs; null until one is asked for. */
    private double[][] sound;

    /**
     * Neighbours whose residuals go together.
     *
     * @param chance share of sound tests that show as much
     * @param indices the run of one sign that lies off most, measurements in the order of the series
     * @param meanResidual mean of their standardised residuals
     */
    record Neighbours(double chance, List<Integer> indices, double meanResidual) {}

    /**
     * A third term that would help.
     *
     * @param chance share of tests without a third term that show as much
     * @param gammaUm its range, um
     * @param nu its energy over the direct one, to first order
     * @param strongest the measurement that asks for it most
     */
    record ThirdTerm(double chance, double gammaUm, double nu, int strongest) {}

    /**
     * @param without measurements that count as wrong and do not speak for or against the model
     */
    LackOfFit(Solution solution, Set<Integer> without) {
        this.solution = solution;
        List<Measurement> all = solution.measurements();
        this.used = IntStream.range(0, all.size())
                .filter(i -> !without.contains(i) && !all.get(i).bound())
                .toArray();
        double[][] u = solution.basis();
        this.basis = u;
        TreeMap<String, List<Integer>> byFigure = new TreeMap<>();
        for (int i : used) {
            byFigure.computeIfAbsent(seriesOf(all.get(i)), k -> new ArrayList<>())
                    .add(i);
        }
        byFigure.values().forEach(list -> {
            list.sort(Comparator.comparingDouble(i -> place(all.get(i))));
            series.add(list);
        });
        boolean third = solution.options().thirdTerm();
        double[] parameters = solution.expanded();
        double from = parameters[0] + Math.log(APART);
        double to = parameters[1] - Math.log(APART);
        this.gammaUm = third || to <= from ? new double[0] : new double[RANGES];
        this.direction = new double[gammaUm.length][];
        this.size = new double[gammaUm.length];
        for (int g = 0; g < gammaUm.length; g++) {
            gammaUm[g] = Math.exp(from + (to - from) * g / (RANGES - 1));
            direction[g] = residualPart(weighted(solution.model().slopesOfThirdTerm(solution.x(), gammaUm[g])));
            size[g] = dot(direction[g], direction[g]);
        }
    }

    private static String seriesOf(Measurement m) {
        return m.figure() instanceof TestFigure.Ring ring ? ring.innerRadiusUm() == 0 ? "disc" : "ring" : m.label();
    }

    private static double place(Measurement m) {
        return m.figure() instanceof TestFigure.Ring ring
                ? ring.innerRadiusUm() == 0 ? ring.outerRadiusUm() : ring.innerRadiusUm()
                : m.doseUcPerCm2();
    }

    /** Slopes of predictions in standard deviations, in the rows of the basis. */
    private double[] weighted(double[] slopes) {
        double[] w = new double[basis.length];
        for (int i : used) {
            w[i] = slopes[i] * Math.sqrt(solution.model().likelihood(i).information(solution.predicted(i)));
        }
        return w;
    }

    /** What of a change of the standardised data the parameters cannot follow. */
    private double[] residualPart(double[] change) {
        double[] rest = change.clone();
        for (int k = 0; k < basis[0].length; k++) {
            double share = 0;
            for (int i = 0; i < rest.length; i++) {
                share += basis[i][k] * change[i];
            }
            for (int i = 0; i < rest.length; i++) {
                rest[i] -= basis[i][k] * share;
            }
        }
        return rest;
    }

    private double[] standardised() {
        double[] z = new double[basis.length];
        for (int i : used) {
            z[i] = solution.standardised(i);
        }
        return z;
    }

    Optional<Neighbours> neighbours() {
        if (series.stream().noneMatch(s -> s.size() > 2)) {
            return Optional.empty();
        }
        double[] z = standardised();
        double seen = together(z);
        double chance = count(trial -> together(trial) >= seen);
        List<Integer> run = worstRun(z);
        double mean = run.stream().mapToDouble(i -> z[i]).average().orElse(0);
        return Optional.of(new Neighbours(chance, run, mean));
    }

    /** Sum of products of neighbours over the sum of squares. */
    private double together(double[] z) {
        double products = 0;
        double squares = 0;
        for (List<Integer> s : series) {
            for (int k = 0; k < s.size(); k++) {
                squares += z[s.get(k)] * z[s.get(k)];
                products += k > 0 ? z[s.get(k)] * z[s.get(k - 1)] : 0;
            }
        }
        return products / squares;
    }

    /** The run of one sign whose sum is the most standard deviations from 0. */
    private List<Integer> worstRun(double[] z) {
        List<Integer> worst = List.of();
        double most = -1;
        for (List<Integer> s : series) {
            for (int from = 0; from < s.size(); from++) {
                double sum = 0;
                for (int to = from; to < s.size() && z[s.get(to)] * z[s.get(from)] > 0; to++) {
                    sum += z[s.get(to)];
                    double size = Math.abs(sum) / Math.sqrt(to - from + 1.0);
                    if (size > most) {
                        most = size;
                        worst = s.subList(from, to + 1);
                    }
                }
            }
        }
        return worst;
    }

    Optional<ThirdTerm> thirdTerm() {
        if (gammaUm.length == 0) {
            return Optional.empty();
        }
        double[] z = standardised();
        int best = 0;
        for (int g = 1; g < gammaUm.length; g++) {
            best = gain(z, g) > gain(z, best) ? g : best;
        }
        double seen = gain(z, best);
        if (!(seen > 0)) {
            return Optional.empty();
        }
        double chance = count(trial -> {
            for (int g = 0; g < gammaUm.length; g++) {
                if (gain(trial, g) >= seen) {
                    return true;
                }
            }
            return false;
        });
        double[] u = direction[best];
        int strongest = Arrays.stream(used)
                .boxed()
                .max(Comparator.comparingDouble(i -> u[i] * z[i]))
                .orElseThrow();
        return Optional.of(new ThirdTerm(chance, gammaUm[best], dot(u, z) / dot(u, u), strongest));
    }

    /** By how much a third term of positive energy lowers the sum of squares. */
    private double gain(double[] z, int g) {
        double along = Math.max(0, dot(direction[g], z));
        return size[g] < 1e-12 ? 0 : along * along / size[g];
    }

    private static double dot(double[] a, double[] b) {
        double sum = 0;
        for (int i = 0; i < a.length; i++) {
            sum += a[i] * b[i];
        }
        return sum;
    }

    private interface Sign {
        boolean shows(double[] z);
    }

    /** Share of made-up sound tests that show a sign. */
    private double count(Sign sign) {
        if (sound == null) {
            sound = soundTests();
        }
        return Arrays.stream(sound).filter(sign::shows).count() / (double) TRIALS;
    }

    private double[][] soundTests() {
        SplittableRandom random = new SplittableRandom(SEED);
        double[][] tests = new double[TRIALS][];
        for (int t = 0; t < TRIALS; t++) {
            double[] errors = new double[basis.length];
            for (int i = 0; i < errors.length; i++) {
                errors[i] =
                        Math.sqrt(-2 * Math.log(1 - random.nextDouble())) * Math.cos(2 * Math.PI * random.nextDouble());
            }
            double[] rest = residualPart(errors);
            // What is set aside in the data is set aside here.
            double[] z = new double[rest.length];
            for (int i : used) {
                z[i] = rest[i];
            }
            rescale(z);
            tests[t] = z;
        }
        return tests;
    }

    /** Where the scatter is found from the data, made-up residuals get the size that this gives them. */
    private void rescale(double[] z) {
        for (Measurement.Kind kind : Measurement.Kind.values()) {
            double squares = 0;
            for (int i : used) {
                squares += scaled(i, kind) ? z[i] * z[i] : 0;
            }
            double factor = squares > 0 ? Math.sqrt(solution.freedom(kind) / squares) : 1;
            for (int i : used) {
                z[i] *= scaled(i, kind) ? factor : 1;
            }
        }
    }

    private boolean scaled(int i, Measurement.Kind kind) {
        return solution.scaled(i) && solution.measurements().get(i).kind() == kind;
    }
}
