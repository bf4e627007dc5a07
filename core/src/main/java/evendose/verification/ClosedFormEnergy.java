package evendose.verification;

import evendose.energy.ExactEnergy;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.stream.DoubleStream;

/**
 * Energy from closed forms. For points of one line or box, terms much wider than the direct one are taken at a few Chebyshev points
 * and interpolated between them: they are so smooth that this loses less than 1e-9 (held by {@code ClosedFormEnergyTest}), and
 * thousands of pieces are integrated a few times instead of at each point.
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
        int firstWide = firstWide(0.5 * (toUm - fromUm));
        if (firstWide == rangesUm.length || firstWide == 0) {
            return this;
        }
        Nodes along = new Nodes(fromUm, toUm, rangesUm[firstWide]);
        double[] value = new double[along.count];
        for (int k = 0; k < value.length; k++) {
            double t = along.at(k);
            value[k] = terms.at(firstWide, rangesUm.length, xUm + t * ux, yUm + t * uy);
        }
        return (x, y) -> terms.at(0, firstWide, x, y) + along.interpolate(value, (x - xUm) * ux + (y - yUm) * uy);
    }

    @Override
    public PointEnergy inBox(double x0Um, double y0Um, double x1Um, double y1Um, int points) {
        int firstWide = firstWide(0.5 * Math.max(x1Um - x0Um, y1Um - y0Um));
        if (firstWide == rangesUm.length || firstWide == 0) {
            return this;
        }
        Nodes across = new Nodes(x0Um, x1Um, rangesUm[firstWide]);
        Nodes up = new Nodes(y0Um, y1Um, rangesUm[firstWide]);
        if (across.count * up.count >= points) {
            return this;
        }
        double[][] value = new double[up.count][across.count];
        for (int r = 0; r < up.count; r++) {
            for (int c = 0; c < across.count; c++) {
                value[r][c] = terms.at(firstWide, rangesUm.length, across.at(c), up.at(r));
            }
        }
        return (x, y) -> {
            double[] line = new double[up.count];
            for (int r = 0; r < line.length; r++) {
                line[r] = across.interpolate(value[r], x);
            }
            return terms.at(0, firstWide, x, y) + up.interpolate(line, y);
        };
    }

    /** The first term that is wide enough to be interpolated over {@code half} to each side. */
    private int firstWide(double half) {
        int first = 0;
        while (first < rangesUm.length
                && (rangesUm[first] < WIDE * rangesUm[0] || 2 * half > LONGEST * rangesUm[first])) {
            first++;
        }
        return first;
    }

    /** Chebyshev points of the first kind in a stretch. */
    private static final class Nodes {
        private final double middle;
        private final double half;
        private final int count;
        private final double[] node;
        private final double[] weight;

        Nodes(double from, double to, double rangeUm) {
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

        /** The second barycentric formula (J.-P. Berrut, L. N. Trefethen, SIAM Rev. 46, 501 (2004)). */
        double interpolate(double[] value, double at) {
            double t = half == 0 ? 0 : (at - middle) / half;
            double above = 0;
            double below = 0;
            for (int k = 0; k < count; k++) {
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
}
