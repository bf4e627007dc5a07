package evendose.verification;

import evendose.energy.ExactEnergy;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.List;

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

    private final ExactEnergy energy;
    private final List<GaussianTerm> terms;

    ClosedFormEnergy(ExactEnergy energy, PointSpreadFunction psf) {
        this.energy = energy;
        this.terms = psf.terms();
    }

    @Override
    public double at(double xUm, double yUm) {
        return energy.at(xUm, yUm);
    }

    @Override
    public PointEnergy onLine(double xUm, double yUm, double ux, double uy, double fromUm, double toUm) {
        double half = 0.5 * (toUm - fromUm);
        double middle = 0.5 * (toUm + fromUm);
        int firstWide = 0;
        while (firstWide < terms.size()
                && (terms.get(firstWide).rangeUm() < WIDE * terms.get(0).rangeUm()
                        || 2 * half > LONGEST * terms.get(firstWide).rangeUm())) {
            firstWide++;
        }
        if (firstWide == terms.size() || firstWide == 0) {
            return this;
        }
        int n = 7 + (int) Math.ceil(11 * half / terms.get(firstWide).rangeUm());
        double[] node = new double[n];
        double[] weight = new double[n];
        double[] value = new double[n];
        for (int k = 0; k < n; k++) {
            double angle = Math.PI * (k + 0.5) / n;
            node[k] = Math.cos(angle);
            weight[k] = ((k & 1) == 0 ? 1 : -1) * Math.sin(angle);
            double t = middle + half * node[k];
            for (int term = firstWide; term < terms.size(); term++) {
                value[k] += energy.termAt(term, xUm + t * ux, yUm + t * uy);
            }
        }
        int narrow = firstWide;
        return (x, y) -> {
            double sum = 0;
            for (int term = 0; term < narrow; term++) {
                sum += energy.termAt(term, x, y);
            }
            double t = ((x - xUm) * ux + (y - yUm) * uy - middle) / half;
            return sum + interpolate(node, weight, value, t);
        };
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
