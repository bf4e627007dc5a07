package evendose.verification;

import evendose.energy.ExactEnergy;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.stream.DoubleStream;

/**
 * Energy from closed forms. For points of one line, terms much wider than the direct one are taken at a few Chebyshev points and
 * interpolated between them: they are so smooth that this loses less than 1e-9 (held by {@code ClosedFormEnergyTest}), and
 * thousands of pieces are integrated a few times instead of at each step of a search.
 */
final class ClosedFormEnergy implements PointEnergy {
    /** Terms of at least this many direct ranges are interpolated. */
    private static final double WIDE = 8;

    /** Lines longer than this many ranges of a term are not worth it. */
    private static final double LONGEST = 6;

    private static final double NODE_ERROR = 1e-10;

    private final double[] rangesUm;
    private final Terms terms;

    /** Sums of some terms at a point, um. */
    @FunctionalInterface
    interface Terms {
        double at(int first, int end, double xUm, double yUm);
    }

    /**
     * Sums.
     *
     * @param rangesUm of each term, um, rising; a table comes last with the range that is as smooth
     */
    ClosedFormEnergy(double[] rangesUm, Terms terms) {
        this.rangesUm = rangesUm;
        this.terms = terms;
    }

    static ClosedFormEnergy of(ExactEnergy energy, PointSpreadFunction psf) {
        DoubleStream gaussians = psf.terms().stream().mapToDouble(GaussianTerm::rangeUm);
        DoubleStream table = psf.table().stream().mapToDouble(t -> t.table().smoothnessUm());
        return new ClosedFormEnergy(DoubleStream.concat(gaussians, table).toArray(), energy::termsAt);
    }

    @Override
    public double at(double xUm, double yUm) {
        return terms.at(0, rangesUm.length, xUm, yUm);
    }

    @Override
    public PointEnergy onLine(double xUm, double yUm, double ux, double uy, double fromUm, double toUm) {
        double half = 0.5 * (toUm - fromUm);
        double middle = 0.5 * (toUm + fromUm);
        int firstWide = 0;
        while (firstWide < rangesUm.length
                && (rangesUm[firstWide] < WIDE * rangesUm[0] || 2 * half > LONGEST * rangesUm[firstWide])) {
            firstWide++;
        }
        if (firstWide == rangesUm.length || firstWide == 0) {
            return this;
        }
        int n = nodes(half / rangesUm[firstWide]);
        double[] node = new double[n];
        double[] weight = new double[n];
        double[] value = new double[n];
        for (int k = 0; k < n; k++) {
            double angle = Math.PI * (k + 0.5) / n;
            node[k] = Math.cos(angle);
            weight[k] = ((k & 1) == 0 ? 1 : -1) * Math.sin(angle);
            double t = middle + half * node[k];
            value[k] = terms.at(firstWide, rangesUm.length, xUm + t * ux, yUm + t * uy);
        }
        int narrow = firstWide;
        return (x, y) -> {
            double t = ((x - xUm) * ux + (y - yUm) * uy - middle) / half;
            return terms.at(0, narrow, x, y) + interpolate(node, weight, value, t);
        };
    }

    /**
     * Nodes that keep the error of a Gaussian over a line of {@code ratio} ranges to each side below 1e-10: the n-th derivative of
     * exp(-t^2) is at most sqrt(2^n n!) (Cramer's inequality, with a constant of 1.09 left out), which leaves
     * sqrt(2^n / n!) ratio^n / 2^(n - 1).
     */
    private static int nodes(double ratio) {
        double error = 2 * Math.pow(Math.sqrt(2) * ratio / 2, 3) / Math.sqrt(6);
        int n = 3;
        while (error > NODE_ERROR) {
            n++;
            error *= Math.sqrt(2.0 / n) * ratio / 2;
        }
        return n;
    }

    /** The second barycentric formula (J.-P. Berrut, L. N. Trefethen, SIAM Rev. 46, 501 (2004)). */
    private static double interpolate(double[] node, double[] weight, double[] value, double t) {
        double above = 0;
        double below = 0;
        for (int k = 0; k < node.length; k++) {
            double off = t - node[k];
            if (off == 0) {
                return value[k];
            }
            double share = weight[k] / off;
            above += share * value[k];
            below += share;
        }
        return above / below;
    }
}
