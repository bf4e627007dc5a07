package evendose.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class DoseTestDesignTest {
    private static final DoseTestPattern.Guess GUESS = new DoseTestPattern.Guess(0.01, 31, 0.6, 375, 5, 13);

    private static DoseTestDesign design(double budgetUc, double targetPercent) {
        return new DoseTestDesign(GUESS, new DoseTestDesign.Limits(budgetUc, targetPercent));
    }

    private static double charge(List<DoseTestDesign.Candidate> some) {
        return some.stream().mapToDouble(DoseTestDesign.Candidate::chargeUc).sum();
    }

    /** The determinant of the whole information, computed anew for each of all exchanges, shows none that would gain. */
    @ParameterizedTest
    @ValueSource(doubles = {0.3, 1})
    void noExchangeWithinTheBudgetTellsMore(double budget) {
        DoseTestDesign design = design(budget, 0.2);
        List<DoseTestDesign.Candidate> chosen = design.choose();
        assertFalse(design.targetReached());
        List<DoseTestDesign.Candidate> all = design.candidates();
        List<Integer> indices =
                new ArrayList<>(chosen.stream().map(all::indexOf).toList());
        double reached = design.logDeterminant(indices);
        int tried = 0;
        for (int k = 0; k < indices.size(); k++) {
            int old = indices.get(k);
            Set<String> taken = new HashSet<>();
            chosen.stream().filter(c -> c != all.get(old)).forEach(c -> taken.add(c.group()));
            for (int c = 0; c < all.size(); c++) {
                double charge =
                        charge(chosen) - all.get(old).chargeUc() + all.get(c).chargeUc();
                if (!taken.contains(all.get(c).group()) && charge <= 0.99 * budget) {
                    indices.set(k, c);
                    assertTrue(design.logDeterminant(indices) < reached + 1e-5);
                    tried++;
                }
            }
            indices.set(k, old);
        }
        assertTrue(tried > 50, tried + " exchanges");
    }

    @Test
    void budgetsAreKeptAndMoreChargeTellsMore() {
        double before = 1;
        for (double budget : new double[] {0.3, 1, 3, 9}) {
            DoseTestDesign design = design(budget, 0.2);
            List<DoseTestDesign.Candidate> chosen = design.choose();
            assertTrue(charge(chosen) <= budget);
            assertEquals(
                    chosen.size(),
                    chosen.stream().map(c -> c.group()).distinct().count());
            double error = design.expectedErrors().get("eta");
            assertTrue(error < before, error + " at " + budget + " uC");
            before = error;
        }
    }

    @Test
    void wantingLessTakesFewerReadings() {
        int before = Integer.MAX_VALUE;
        for (double target : new double[] {2, 3, 4}) {
            DoseTestDesign design = design(5.4, target);
            List<DoseTestDesign.Candidate> chosen = design.choose();
            assertTrue(design.targetReached());
            assertTrue(chosen.size() < before, chosen.size() + " readings for " + target + " %");
            before = chosen.size();
        }
    }

    @Test
    void everyReadingIsNeeded() {
        DoseTestDesign design = design(5.4, 4);
        List<Integer> indices =
                design.choose().stream().map(design.candidates()::indexOf).toList();
        assertTrue(design.reached(indices));
        for (int k = 0; k < indices.size(); k++) {
            List<Integer> rest = new ArrayList<>(indices);
            rest.remove(k);
            assertFalse(design.reached(rest), "without reading " + k);
        }
    }

    @Test
    void valuesOutOfRangeAreRefused() {
        assertThrows(IllegalArgumentException.class, () -> new DoseTestDesign.Limits(0, 3));
        assertThrows(IllegalArgumentException.class, () -> new DoseTestDesign.Limits(1, 0.1));
        assertThrows(IllegalArgumentException.class, () -> DoseTestPattern.design(GUESS, 1e-6, 3));
    }
}
