package evendose.pieces;

import org.apache.commons.math3.analysis.integration.gauss.GaussIntegrator;
import org.apache.commons.math3.analysis.integration.gauss.GaussIntegratorFactory;

/**
 * A Gauss-Legendre rule on the interval from 0 to 1, as arrays for the kernels: with n points it integrates polynomials of degree 2 n - 1
 * exactly.
 */
public final class GaussRule {
    private final double[] nodes;
    private final double[] weights;

    private GaussRule(int order) {
        GaussIntegrator rule = new GaussIntegratorFactory().legendre(order, 0, 1);
        nodes = new double[order];
        weights = new double[order];
        for (int i = 0; i < order; i++) {
            nodes[i] = rule.getPoint(i);
            weights[i] = rule.getWeight(i);
        }
    }

    /**
     * {@return rules of these numbers of points, a new array}
     *
     * @param orders numbers of points, each at least 1
     */
    public static GaussRule[] ofOrders(int... orders) {
        GaussRule[] rules = new GaussRule[orders.length];
        for (int r = 0; r < orders.length; r++) {
            rules[r] = new GaussRule(orders[r]);
        }
        return rules;
    }

    /** {@return where the integrand is taken, rising, 0 to 1; live, not to be changed} */
    public double[] nodes() {
        return nodes;
    }

    /** {@return what each point counts; their sum is 1; live, not to be changed} */
    public double[] weights() {
        return weights;
    }
}
