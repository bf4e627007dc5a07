package evendose.verification;

import java.util.Arrays;

/** Chebyshev points of the first kind in a stretch. */
final class ChebyshevNodes {
    /** What a Gaussian loses between nodes. */
    private static final double NODE_ERROR = 1e-10;

    private final double middle;
    private final double half;
    final int count;
    private final double[] node;
    private final double[] weight;

    ChebyshevNodes(double from, double to, double rangeUm) {
        middle = 0.5 * (from + to);
        half = 0.5 * (to - from);
        count = count(half / rangeUm);
        node = new double[count];
        weight = new double[count];
        for (int k = 0; k < count; k++) {
            double angle = Math.PI * (k + 0.5) / count;
            node[k] = Math.cos(angle);
            weight[k] = ((k & 1) == 0 ? 1 : -1) * Math.sin(angle);
        }
    }

    /**
     * Nodes that keep the error of a Gaussian over a line of {@code ratio} ranges to each side below 1e-10: the n-th derivative of
     * exp(-t^2) is at most sqrt(2^n n!) (Cramer's inequality, with a constant of 1.09 left out), which leaves
     * sqrt(2^n / n!) ratio^n / 2^(n - 1).
     */
    private static int count(double ratio) {
        double error = 2 * Math.pow(Math.sqrt(2) * ratio / 2, 3) / Math.sqrt(6);
        int n = 3;
        while (error > NODE_ERROR) {
            n++;
            error *= Math.sqrt(2.0 / n) * ratio / 2;
        }
        return n;
    }

    double at(int k) {
        return middle + half * node[k];
    }

    /** Value at a place between the nodes, from the values at nodes. */
    double interpolate(double[] value, double at) {
        double[] share = shares(at);
        double sum = 0;
        for (int k = 0; k < count; k++) {
            sum += share[k] * value[k];
        }
        return sum;
    }

    /**
     * What each node's value counts for at a place, by the second barycentric formula (J.-P. Berrut, L. N. Trefethen, SIAM Rev. 46, 501
     * (2004)).
     */
    double[] shares(double at) {
        double t = half == 0 ? 0 : (at - middle) / half;
        double[] share = new double[count];
        double sum = 0;
        for (int k = 0; k < count; k++) {
            double off = t - node[k];
            if (off == 0) {
                Arrays.fill(share, 0);
                share[k] = 1;
                return share;
            }
            share[k] = weight[k] / off;
            sum += share[k];
        }
        for (int k = 0; k < count; k++) {
            share[k] /= sum;
        }
        return share;
    }
}
