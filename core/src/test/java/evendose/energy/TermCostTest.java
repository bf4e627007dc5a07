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

    /** What was measured: of near terms the walk that the widest takes for all, and the integrals of each; and grids. */
    private static final String WALK = "walk";

    private static final String INTEGRALS = "integrals";
    private static final String GRID = "grid";

    /** Seconds by layout, what, first and last range; what could not be measured is missing. */
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
                        put(v, WALK, Double.parseDouble(v[3]) + EVALUATIONS * Double.parseDouble(v[5]));
                        put(v, INTEGRALS, Double.parseDouble(v[4]));
                        put(v, GRID, Double.parseDouble(v[6]) + EVALUATIONS * Double.parseDouble(v[7]));
                    });
        }
    }

    private static void put(String[] row, String what, double seconds) {
        if (!Double.isNaN(seconds)) {
            TIMES.put(key(row[0], what, Double.parseDouble(row[1]), Double.parseDouble(row[2])), seconds);
        }
    }

    private static String key(String layout, String what, double firstUm, double lastUm) {
        return layout + " " + what + " " + firstUm + " " + lastUm;
    }

    private static PointSpreadFunction psf(double... ranges) {
        return PointSpreadFunction.from(
                Arrays.stream(ranges).mapToObj(r -> new GaussianTerm(1, r)).toList());
    }

    private static TermCost cost(String layout, PointSpreadFunction psf) {
        Fracture.Result cut = CUTS.get(layout);
        UnitCopies copies = UnitCopies.of(cut.pieces(), cut.samples(), WORKERS);
        return TermCost.ofCorrection(cut.pieces(), cut.samples(), copies, INDICES.get(layout), psf);
    }

    /** What was measured of the terms from the first to the last one, s: infinite where it was too much to measure. */
    private static double measured(String layout, String what, PointSpreadFunction psf, int first, int last) {
        double firstUm = psf.terms().get(first).rangeUm();
        double lastUm = psf.terms().get(last).rangeUm();
        return TIMES.getOrDefault(key(layout, what, firstUm, lastUm), Double.POSITIVE_INFINITY);
    }

    /** A group's part of what all take, but for the walk of near ones. */
    private static double measured(String layout, TermGroup group, PointSpreadFunction psf) {
        return group.evaluator() == Evaluator.NEAR
                ? measured(layout, INTEGRALS, psf, group.first(), group.first())
                : measured(layout, GRID, psf, group.first(), group.end() - 1);
    }

    private static double measuredWalk(String layout, PointSpreadFunction psf, int lastNear) {
        return lastNear < 0 ? 0 : measured(layout, WALK, psf, lastNear, lastNear);
    }

    /** The least that the terms from {@code first} on can take by measured times, with the walk for the last near one. */
    private static double best(String layout, PointSpreadFunction psf, int first, int lastNear) {
        if (first == psf.parts()) {
            return measuredWalk(layout, psf, lastNear);
        }
        double best = measured(layout, new TermGroup(Evaluator.NEAR, first, first + 1), psf)
                + best(layout, psf, first + 1, first);
        boolean direct = first < psf.directTerms();
        for (int end = first + 1; end <= (direct ? psf.directTerms() : psf.parts()); end++) {
            best = Math.min(
                    best,
                    measured(layout, new TermGroup(Evaluator.FAR, first, end), psf) + best(layout, psf, end, lastNear));
        }
        return best;
    }

    @Test
    void everyLayoutAndRangeWasMeasured() {
        assertTrue(EvaluatorTimes.HELD_OUT.stream().noneMatch(EvaluatorTimes.FITTED::contains));
        for (String layout : EvaluatorTimes.HELD_OUT) {
            for (double range : EvaluatorTimes.RANGES_UM) {
                assertTrue(TIMES.containsKey(key(layout, WALK, range, range)), layout + " " + range);
            }
        }
    }

    /** What is chosen takes at most 1.25 times as long as the best division into near terms and grids. */
    @TestFactory
    List<DynamicTest> choosesWellByMeasuredTimes() {
        return tests((layout, psf) -> {
            List<TermGroup> chosen = cost(layout, psf).cheapest(psf.parts()).groups();
            int lastNear = chosen.stream()
                    .filter(g -> g.evaluator() == Evaluator.NEAR)
                    .mapToInt(TermGroup::first)
                    .max()
                    .orElse(-1);
            double takes = measuredWalk(layout, psf, lastNear)
                    + chosen.stream().mapToDouble(g -> measured(layout, g, psf)).sum();
            double best = best(layout, psf, 0, -1);
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
            for (TermGroup group : cost.cheapest(psf.parts()).groups()) {
                double measured = measured(layout, group, psf);
                TermCost.Cost estimate = cost.far(group);
                if (group.evaluator() == Evaluator.NEAR) {
                    measured += measuredWalk(layout, psf, group.first());
                    estimate =
                            cost.near(group.first(), Double.POSITIVE_INFINITY).alone();
                }
                if (measured > UNNOTICED_S) {
                    double seconds = 1e-9 * estimate.ns();
                    double factor = seconds / measured;
                    assertEquals(0, Math.log(factor), Math.log(2), group + ": " + seconds + " for " + measured);
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
                    EnginePlan.of(entry.getValue().pieces(), entry.getValue().samples(), psf, WORKERS);
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
