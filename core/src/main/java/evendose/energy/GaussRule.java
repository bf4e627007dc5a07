package evendose.energy;

import org.apache.commons.math3.analysis.integration.gauss.GaussIntegrator;
import org.apache.commons.math3.analysis.integration.gauss.GaussIntegratorFactory;

/** A Gauss-Legendre rule on the interval from 0 to 1, as arrays for the kernels. */
final class GaussRule {
    final double[] node;
    final double[] weight;

    GaussRule(int order) {
        GaussIntegrator rule = new GaussIntegratorFactory().legendre(order, 0, 1);
        node = new double[order];
        weight = new double[order];
        for (int i = 0; i < order; i++) {
            node[i] = rule.getPoint(i);
            weight[i] = rule.getWeight(i);
        }
    }

    static GaussRule[] ofOrders(int... orders) {
        GaussRule[] rules = new GaussRule[orders.length];
        for (int r = 0; r < orders.length; r++) {
            rules[r] = new GaussRule(orders[r]);
        }
        return rules;
    }
}
