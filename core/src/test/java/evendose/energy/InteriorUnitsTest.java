package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import org.apache.commons.numbers.gamma.Erf;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * The half-plane rule where several terms are direct: all of them together count half of the unit's own dose, once, whatever evaluator
 * each of them has. Energies here are products of error functions.
 */
class InteriorUnitsTest {
    private static final double[] WEIGHT = {0.3, 0.2, 0.15, 0.35};
    private static final double[] RANGE_UM = {0.1, 0.2, 1, 6};
    private static final PointSpreadFunction PSF = PointSpreadFunction.from(List.of(
            new GaussianTerm(WEIGHT[0], RANGE_UM[0]),
            new GaussianTerm(WEIGHT[1], RANGE_UM[1]),
            new GaussianTerm(WEIGHT[2], RANGE_UM[2]),
            new GaussianTerm(WEIGHT[3], RANGE_UM[3])));

    private static final double[] DOSE = {1.3, 0.9, 1.1};
    private static final Workers WORKERS = Workers.of(1);

    /** Three pads side by side: the middle one is judged inside, the others at an edge. */
    private static final Pieces PADS = new TestPieces()
            .rectangle(-3, -1, -1, 1)
            .rectangle(-1, -1, 1, 1)
            .rectangle(1, -1, 3, 1)
            .build();

    private static final Samples SAMPLES = new Samples(
            new double[] {-3, 0.05, 3},
            new double[] {0.3, 0.03, -0.2},
            new float[] {1, 1, 1},
            new int[] {0, 1, 2, 3},
            new boolean[] {false, true, false});

    private static double energy(int term, double x, double y) {
        double sum = 0;
        for (int u = 0; u < 3; u++) {
            double left = -3 + 2 * u;
            sum += DOSE[u] * band(left - x, left + 2 - x, RANGE_UM[term]) * band(-1 - y, 1 - y, RANGE_UM[term]);
        }
        return WEIGHT[term] * sum;
    }

    private static double band(double from, double to, double range) {
        return 0.5 * (Erf.value(to / range) - Erf.value(from / range));
    }

    @Test
    void twoTermsAreDirect() {
        assertEquals(2, PSF.directTerms());
        assertEquals(0.5, PSF.direct().weight(), 1e-15);
    }

    @ParameterizedTest
    @CsvSource({
        "NEAR, NEAR, NEAR, NEAR",
        "NEAR, NEAR, NEAR, FAR",
        "NEAR, NEAR, FAR, FAR",
        "NEAR, FAR, FAR, FAR",
        "FAR, FAR, NEAR, FAR",
        "FAR, FAR, FAR, FAR"
    })
    void directTermsCountHalfAndOnce(Evaluator a, Evaluator b, Evaluator c, Evaluator d) {
        EnginePlan plan = EnginePlan.with(PADS, SAMPLES, PSF, TermGroup.each(a, b, c, d));
        check(EnergyModel.build(plan, WORKERS, Progress.NONE));
    }

    /** On one grid together, and as the estimate of costs divides them. */
    @Test
    void groupsToo() {
        check(EnergyModel.build(
                EnginePlan.with(
                        PADS,
                        SAMPLES,
                        PSF,
                        List.of(new TermGroup(Evaluator.NEAR, 0, 2), new TermGroup(Evaluator.FAR, 2, 4))),
                WORKERS,
                Progress.NONE));
        check(EnergyModel.build(
                EnginePlan.with(
                        PADS,
                        SAMPLES,
                        PSF,
                        List.of(new TermGroup(Evaluator.FAR, 0, 2), new TermGroup(Evaluator.FAR, 2, 4))),
                WORKERS,
                Progress.NONE));
        check(EnergyModel.build(PADS, SAMPLES, PSF, WORKERS, Progress.NONE));
    }

    /** A unit in two parts far apart, judged between them where only another one is near: its own dose counts all the same. */
    @Test
    void aUnitThatIsFarFromItsOwnSampleCounts() {
        Pieces pieces = new TestPieces()
                .unit()
                .trapezoid(-1, 1, -40, -30, -40, -30)
                .trapezoid(-1, 1, 30, 40, 30, 40)
                .rectangle(-0.5, -0.5, 0.5, 0.5)
                .build();
        Samples samples = new Samples(
                new double[] {0, 0.5}, new double[] {0, 0}, new float[] {1, 1}, new int[] {0, 1, 2}, new boolean[] {
                    true, false
                });
        double[] dose = {1.4, 0.8};
        double[] criterion = new double[2];
        EnergyModel.build(
                        EnginePlan.with(
                                pieces,
                                samples,
                                PSF,
                                TermGroup.each(Evaluator.NEAR, Evaluator.NEAR, Evaluator.NEAR, Evaluator.NEAR)),
                        WORKERS,
                        Progress.NONE)
                .apply(dose, criterion);
        double expected = 0.25 * 1.4;
        for (int k = 2; k < 4; k++) {
            double middle = Math.pow(band(-0.5, 0.5, RANGE_UM[k]), 2);
            double sides = 2 * band(30, 40, RANGE_UM[k]) * band(-1, 1, RANGE_UM[k]);
            expected += WEIGHT[k] * (0.8 * middle + 1.4 * sides);
        }
        assertEquals(expected, criterion[0], 1e-7);
    }

    private static void check(EnergyModel model) {
        double[] criterion = new double[3];
        model.apply(DOSE, criterion);
        double[] expected = new double[3];
        for (int u = 0; u < 3; u++) {
            double x = SAMPLES.xUm(u);
            double y = SAMPLES.yUm(u);
            expected[u] = energy(2, x, y) + energy(3, x, y);
            expected[u] += u == 1 ? 0.5 * (WEIGHT[0] + WEIGHT[1]) * DOSE[u] : energy(0, x, y) + energy(1, x, y);
            assertEquals(expected[u], criterion[u], 1e-4, "unit " + u);
        }
    }
}
