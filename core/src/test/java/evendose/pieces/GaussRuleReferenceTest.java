package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;

/** Rules against closed forms. */
class GaussRuleReferenceTest {
    /** A rule of n points integrates x^k over 0 to 1 to 1/(k + 1) for k up to 2 n - 1, and is 1/(2 n + 1) (n!)^4 / ((2 n)!)^2 short of the next. */
    @Test
    void powersAreIntegratedExactly() {
        int[] orders = {1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20};
        GaussRule[] rules = GaussRule.ofOrders(orders);
        for (int r = 0; r < orders.length; r++) {
            int n = orders[r];
            assertEquals(n, rules[r].nodes().length);
            assertEquals(n, rules[r].weights().length);
            for (int k = 0; k < 2 * n; k++) {
                assertEquals(1.0 / (k + 1), moment(rules[r], k), 1e-14, n + " points, x^" + k);
            }
            double shortOf = 1.0 / (2 * n + 1);
            for (int k = 1; k <= n; k++) {
                double f = (double) k * k / ((2 * k - 1) * (2 * k));
                shortOf *= f * f;
            }
            assertEquals(shortOf, 1.0 / (2 * n + 1) - moment(rules[r], 2 * n), 1e-9 * shortOf + 1e-15, n + " points");
        }
    }

    private static double moment(GaussRule rule, int power) {
        double sum = 0;
        for (int i = 0; i < rule.nodes().length; i++) {
            sum += rule.weights()[i] * Math.pow(rule.nodes()[i], power);
        }
        return sum;
    }

    /** M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions (1964), table 25.4, on -1 to 1: from their closed forms. */
    @Test
    void tabulatedRules() {
        GaussRule[] rules = GaussRule.ofOrders(2, 3, 4);
        assertEquals(0.5 - 0.5 * 0.577350269189626, rules[0].nodes()[0], 1e-15);
        assertEquals(0.5 + 0.5 * 0.774596669241483, rules[1].nodes()[2], 1e-15);
        assertEquals(0.5 * 0.888888888888889, rules[1].weights()[1], 1e-15);
        assertEquals(0.5 - 0.5 * 0.861136311594053, rules[2].nodes()[0], 1e-15);
        assertEquals(0.5 - 0.5 * 0.339981043584856, rules[2].nodes()[1], 1e-15);
        assertEquals(0.5 * 0.347854845137454, rules[2].weights()[3], 1e-15);
        assertEquals(0.5 * 0.652145154862546, rules[2].weights()[2], 1e-15);
    }
}
