package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Fracture;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestFactory;

/**
 * Estimated costs against measured ones: {@code evaluator-times.csv} holds times of both evaluators on real and made layouts, as
 * {@link EvaluatorTimes} measured them. The layouts here are not those that the prices were fitted to.
 */
class TermCostTest {
    /** Evaluations that the estimate counts. */
    private static final double EVALUATIONS = 10;

    /** A choice that costs less than this is right whatever others cost: nobody would notice. */
    private static final double UNNOTICED_S = 0.03;

    /** Ranges of point spread functions, um: double Gaussians, some terms, and a ladder. */
    private static final double[][] FUNCTIONS = {
        {0.01, 30},
        {0.03, 10},
        {0.03, 3},
        {0.01, 1, 30},
        {0.01, 0.3, 3, 30},
        {0.03, 0.1, 1, 3, 10},
        {0.01, 3, 10, 30},
        {0.01, 0.03, 0.1, 0.3, 1, 3, 10, 30},
    };

    private static final Workers WORKERS = Workers.of(2);
    private static final Map<String, Fracture.Result> CUTS = new LinkedHashMap<>();
    private static final Map<String, PieceIndex> INDICES = new LinkedHashMap<>();

    /** Seconds by layout, evaluator, first and last range; what could not be measured is missing. */
    private static final Map<String, Double> TIMES = new LinkedHashMap<>();

    @BeforeAll
    static void read() throws IOException {
        for (String layout : EvaluatorTimes.HELD_OUT) {
            Fracture.Result cut = EvaluatorTimes.cut(layout, WORKERS);
            CUTS.put(layout, cut);
            INDICES.put(layout, new PieceIndex(cut.pieces()));
        }
        try (BufferedReader in = new BufferedReader(new InputStreamReader(
                TermCostTest.class.getResourceAsStream("/evaluator-times.csv"), StandardCharsets.UTF_8))) {
            in.lines()
                    .filter(l -> !l.startsWith("#") && !l.startsWith("layout"))
                    .map(l -> l.split(","))
                    .forEach(v -> {
                        put(v, Evaluator.NEAR, Double.parseDouble(v[3]), Double.parseDouble(v[4]));
                        put(v, Evaluator.FAR, Double.parseDouble(v[5]), Double.parseDouble(v[6]));
                    });
        }
    }

    private static void put(String[] row, Evaluator evaluator, double build, double evaluation) {
        double seconds = build + EVALUATIONS * evaluation;
        if (!Double.isNaN(seconds)) {
            TIMES.put(key(row[0], evaluator, Double.parseDouble(row[1]), Double.parseDouble(row[2])), seconds);
        }
    }

    private static String key(String layout, Evaluator evaluator, double firstUm, double lastUm) {
        return layout + " " + evaluator + " " + firstUm + " " + lastUm;
    }

    private static PointSpreadFunction psf(double... ranges) {
        return PointSpreadFunction.from(
                Arrays.stream(ranges).mapToObj(r -> new GaussianTerm(1, r)).toList());
    }

    private static TermCost cost(String layout, PointSpreadFunction psf) {
        Fracture.Result cut = CUTS.get(layout);
        return TermCost.ofCorrection(cut.pieces(), cut.samples(), INDICES.get(layout), psf);
    }

    /** What a group was measured to take, s: infinite where it was too much to measure. */
    private static double measured(String layout, TermGroup group, PointSpreadFunction psf) {
        double first = psf.terms().get(group.first()).rangeUm();
        double last = psf.terms().get(group.end() - 1).rangeUm();
        return TIMES.getOrDefault(key(layout, group.evaluator(), first, last), Double.POSITIVE_INFINITY);
    }

    /** The least that the terms from {@code first} on can take by measured times. */
    private static double best(String layout, int first, PointSpreadFunction psf) {
        if (first == psf.parts()) {
            return 0;
        }
        double best =
                measured(layout, new TermGroup(Evaluator.NEAR, first, first + 1), psf) + best(layout, first + 1, psf);
        boolean direct = first < psf.directTerms();
        for (int end = first + 1; end <= (direct ? psf.directTerms() : psf.parts()); end++) {
            best = Math.min(
                    best, measured(layout, new TermGroup(Evaluator.FAR, first, end), psf) + best(layout, end, psf));
        }
        return best;
    }

    @Test
    void everyLayoutAndRangeWasMeasured() {
        assertTrue(EvaluatorTimes.HELD_OUT.stream().noneMatch(EvaluatorTimes.FITTED::contains));
        for (String layout : EvaluatorTimes.HELD_OUT) {
            for (double range : EvaluatorTimes.RANGES_UM) {
                assertTrue(TIMES.containsKey(key(layout, Evaluator.NEAR, range, range)), layout + " " + range);
            }
        }
    }

    /** What is chosen takes at most 1.25 times as long as the best division into near terms and grids. */
    @TestFactory
    List<DynamicTest> choosesWellByMeasuredTimes() {
        return tests((layout, psf) -> {
            List<TermGroup> chosen = cost(layout, psf).cheapest().groups();
            double takes =
                    chosen.stream().mapToDouble(g -> measured(layout, g, psf)).sum();
            double best = best(layout, 0, psf);
            System.out.printf("%s, %d terms: %.2f times the best, %s%n", layout, psf.parts(), takes / best, chosen);
            assertTrue(
                    takes <= 1.25 * best || takes < best + UNNOTICED_S,
                    () -> chosen + " takes " + takes + " s, the best " + best + " s");
        });
    }

    /** Estimates of what is chosen are within a factor of 2 of what was measured. */
    @TestFactory
    List<DynamicTest> estimatesAreNearMeasuredTimes() {
        return tests((layout, psf) -> {
            TermCost cost = cost(layout, psf);
            for (TermGroup group : cost.cheapest().groups()) {
                double measured = measured(layout, group, psf);
                double estimate = 1e-9
                        * (group.evaluator() == Evaluator.NEAR
                                        ? cost.near(group.first(), Double.POSITIVE_INFINITY)
                                        : cost.far(group))
                                .ns();
                if (measured > UNNOTICED_S) {
                    assertEquals(0, Math.log(estimate / measured), Math.log(2), () -> estimate + " for " + measured);
                }
            }
        });
    }

    private interface Check {
        void of(String layout, PointSpreadFunction psf);
    }

    private static List<DynamicTest> tests(Check check) {
        List<DynamicTest> tests = new ArrayList<>();
        for (String layout : EvaluatorTimes.HELD_OUT) {
            for (double[] ranges : FUNCTIONS) {
                tests.add(DynamicTest.dynamicTest(
                        layout + ", " + Arrays.toString(ranges) + " um", () -> check.of(layout, psf(ranges))));
            }
        }
        return tests;
    }

    /** Memory, too, is known before it is taken: within a factor of 2 for models of more than a megabyte. */
    @Test
    void memoryIsKnownBeforehand() {
        PointSpreadFunction psf = PointSpreadFunction.from(List.of(
                new GaussianTerm(0.5, 0.012),
                new GaussianTerm(0.1, 0.3),
                new GaussianTerm(0.1, 2),
                new GaussianTerm(0.3, 31)));
        for (Map.Entry<String, Fracture.Result> entry : CUTS.entrySet()) {
            EnginePlan plan =
                    EnginePlan.of(entry.getValue().pieces(), entry.getValue().samples(), psf);
            EnergyModel model = EnergyModel.build(plan, WORKERS, Progress.NONE);
            long matrix = 0;
            long grids = 0;
            for (TermChoice choice : model.choices()) {
                if (choice.terms().evaluator() == Evaluator.NEAR) {
                    matrix = choice.bytes();
                } else {
                    grids += choice.bytes();
                }
            }
            double ratio = plan.bytes() / (matrix + grids);
            assertTrue(
                    ratio > 0.8 && ratio < 2.5 || matrix + grids < 1e6,
                    entry.getKey() + ": " + plan.bytes() + " for " + matrix + " and " + grids);
        }
    }
}
