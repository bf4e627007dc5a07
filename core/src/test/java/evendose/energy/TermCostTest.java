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
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestFactory;

/**
 * Estimated costs against measured ones: {@code evaluator-times.csv} holds times of both evaluators on real and made layouts, as
 * {@link EvaluatorTimes} measured them.
 */
class TermCostTest {
    /** Evaluations that the estimate counts. */
    private static final double EVALUATIONS = 10;

    /** A choice that costs less than this is right whatever the other one costs: nobody would notice. */
    private static final double UNNOTICED_S = 0.03;

    private static final Workers WORKERS = Workers.of(2);
    private static final Map<String, Fracture.Result> CUTS = new LinkedHashMap<>();
    private static final Map<String, PieceIndex> INDICES = new LinkedHashMap<>();
    private static final List<Measured> TIMES = new ArrayList<>();

    /** NaN where the grid was too large to measure. */
    private record Measured(String layout, double rangeUm, double nearS, double farS) {
        double of(Evaluator evaluator) {
            return evaluator == Evaluator.NEAR ? nearS : farS;
        }

        double better() {
            return Double.isNaN(farS) ? nearS : Math.min(nearS, farS);
        }
    }

    @BeforeAll
    static void read() throws IOException {
        for (String layout : EvaluatorTimes.LAYOUTS) {
            Fracture.Result cut = EvaluatorTimes.cut(layout, WORKERS);
            CUTS.put(layout, cut);
            INDICES.put(layout, new PieceIndex(cut.pieces()));
        }
        try (BufferedReader in = new BufferedReader(new InputStreamReader(
                TermCostTest.class.getResourceAsStream("/evaluator-times.csv"), StandardCharsets.UTF_8))) {
            in.lines()
                    .filter(l -> !l.startsWith("#") && !l.startsWith("layout"))
                    .forEach(line -> {
                        String[] v = line.split(",");
                        TIMES.add(new Measured(
                                v[0],
                                Double.parseDouble(v[1]),
                                Double.parseDouble(v[2]) + EVALUATIONS * Double.parseDouble(v[3]),
                                Double.parseDouble(v[4]) + EVALUATIONS * Double.parseDouble(v[5])));
                    });
        }
    }

    @AfterAll
    static void close() {
        WORKERS.close();
    }

    private static TermCost cost(String layout, double rangeUm) {
        Fracture.Result cut = CUTS.get(layout);
        return TermCost.of(
                cut.pieces(),
                cut.samples(),
                INDICES.get(layout),
                cut.pieces().boundsUm(),
                new GaussianTerm(0.5, rangeUm),
                false);
    }

    @Test
    void everyLayoutAndRangeWasMeasured() {
        assertEquals(EvaluatorTimes.LAYOUTS.size() * EvaluatorTimes.RANGES_UM.length, TIMES.size());
    }

    /** The chosen evaluator takes at most 1.25 times as long as the better one. */
    @TestFactory
    List<DynamicTest> choosesWellByMeasuredTimes() {
        return tests(m -> {
            TermCost cost = cost(m.layout, m.rangeUm);
            double chosen = m.of(cost.cheaper());
            // A grid that could not be measured is never the choice: NaN fails here.
            assertTrue(
                    chosen <= 1.25 * m.better() || chosen < UNNOTICED_S,
                    () -> cost.cheaper() + " takes " + chosen + " s, the better one " + m.better() + " s; estimates "
                            + cost);
        });
    }

    /** Where the estimate is complete it is within a factor of 2 of what was measured. */
    @TestFactory
    List<DynamicTest> estimatesAreNearMeasuredTimes() {
        return tests(m -> {
            TermCost cost = cost(m.layout, m.rangeUm);
            double estimate = 1e-9 * (cost.cheaper() == Evaluator.NEAR ? cost.nearNs() : cost.farNs());
            double measured = m.of(cost.cheaper());
            if (measured > UNNOTICED_S) {
                assertEquals(0, Math.log(estimate / measured), Math.log(2), () -> estimate + " for " + measured);
            }
        });
    }

    private interface Check {
        void of(Measured m);
    }

    private static List<DynamicTest> tests(Check check) {
        return TIMES.stream()
                .map(m -> DynamicTest.dynamicTest(m.layout + ", " + m.rangeUm + " um", () -> check.of(m)))
                .toList();
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
                if (choice.evaluator() == Evaluator.NEAR) {
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
