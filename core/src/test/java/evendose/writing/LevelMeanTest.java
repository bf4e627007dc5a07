package evendose.writing;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/** Levels that gather many doses: the dwell time of each is the mean by area, so that all dwell times together make the time of the beam. */
class LevelMeanTest {
    private static final double BASE = 120;
    private static final double CURRENT_NA = 2;
    private static final double STEP_NM = 5;

    @Test
    void dwellTimesTogetherMakeTheTimeOfTheBeam() {
        SplittableRandom random = new SplittableRandom(6);
        TestDoses doses = new TestDoses();
        List<double[]> pieces = new ArrayList<>();
        for (int k = 0; k < 600; k++) {
            double width = 0.05 + random.nextInt(40) * 0.1;
            double factor = 0.8 + k / 600.0;
            doses.rectangle(k, 5 * k, 0, 5 * k + width, 1, factor, 0);
            pieces.add(new double[] {width, factor});
        }
        WritePlan plan = WritePlanner.plan(
                doses.build(), WriterSettings.builder(BASE).build(), new double[] {CURRENT_NA}, new double[] {STEP_NM});
        assertTrue(plan.levels().size() < 300, "levels " + plan.levels().size());
        double dwelling = 0;
        double charge = 0;
        for (PlannedLevel level : plan.levels()) {
            double points = level.areaUm2() * 1e6 / (STEP_NM * STEP_NM);
            dwelling += points * level.dwellNs() * 1e-9;
            charge += level.areaUm2() * level.doseUcPerCm2() * 1e-8;
            double area = 0;
            double dosed = 0;
            long count = 0;
            for (double[] piece : pieces) {
                if (piece[1] >= level.minFactor() - 1e-9 && piece[1] <= level.maxFactor() + 1e-9) {
                    area += piece[0];
                    dosed += piece[0] * piece[1];
                    count++;
                }
            }
            assertEquals(count, level.pieces());
            assertEquals(area, level.areaUm2(), 1e-9);
            assertEquals(dosed / area, level.meanFactor(), 1e-9);
            // t = D p^2 / I: 1 uC/cm^2 on 1 nm^2 at 1 nA takes 0.01 ns.
            double dwellNs = 0.01 * BASE * dosed / area * STEP_NM * STEP_NM / CURRENT_NA;
            assertEquals(dwellNs, level.dwellNs(), 1e-9 * dwellNs);
            assertEquals(
                    1e3 / (0.01 * BASE * level.minFactor() * STEP_NM * STEP_NM / CURRENT_NA),
                    level.highestFrequencyMhz(),
                    1e-9 * level.highestFrequencyMhz());
            // 1 uC holds 1 / 1.602176634e-13 electrons; a point is 25 nm^2 = 25e-14 cm^2.
            assertEquals(BASE * dosed / area * 25e-14 / 1.602176634e-13, level.electronsPerPoint(), 1e-6);
        }
        double expected =
                pieces.stream().mapToDouble(p -> p[0] * p[1] * BASE * 1e-8).sum();
        assertEquals(expected, charge, 1e-12 * expected);
        assertEquals(expected, plan.chargeUc(), 1e-12 * expected);
        assertEquals(expected / CURRENT_NA * 1e3, dwelling, 1e-9 * dwelling);
        assertEquals(plan.choice().beamOnS(), dwelling, 1e-9 * dwelling);
    }
}
