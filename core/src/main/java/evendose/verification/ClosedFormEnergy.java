package evendose.verification;

import evendose.energy.ExactEnergy;
import evendose.parallel.Workers;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.DoubleStream;

/**
 * Energy from closed forms. For points of one line or box, or near many places, terms much wider than the direct one are taken at a few Chebyshev points
 * and interpolated between them: they are so smooth that this loses less than 1e-9 (held by {@code ClosedFormEnergyTest}), and
 * thousands of pieces are integrated a few times instead of at each point.
 */
final class ClosedFormEnergy implements PointEnergy {
    /** Terms of at least this many direct ranges are interpolated. */
    private static final double WIDE = 8;

    /** Lines longer than this many ranges of a term are not worth it. */
    private static final double LONGEST = 6;

    /** Terms up to this many times as wide as the narrowest share its patches. */
    private static final double ALIKE = 2;

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
        ChebyshevNodes along = new ChebyshevNodes(fromUm, toUm, rangesUm[firstWide]);
        double[] value = new double[along.count];
        for (int k = 0; k < value.length; k++) {
            double t = along.at(k);
            value[k] = terms.at(firstWide, rangesUm.length, xUm + t * ux, yUm + t * uy);
        }
        return (x, y) -> terms.at(0, firstWide, x, y) + along.interpolate(value, (x - xUm) * ux + (y - yUm) * uy);
    }

    @Override
    public PointEnergy about(double[] xUm, double[] yUm, int each, Workers workers) {
        int from = firstWide(0);
        List<WidePatches> groups = new ArrayList<>();
        while (from < rangesUm.length && from > 0) {
            int end = from;
            while (end < rangesUm.length && rangesUm[end] <= ALIKE * rangesUm[from]) {
                end++;
            }
            groups.add(WidePatches.of(terms, from, end, rangesUm[from], xUm, yUm, each, workers));
            from = end;
        }
        return groups.stream().allMatch(WidePatches::isEmpty)
                ? this
                : new ClosedFormEnergy(rangesUm, new PatchedTerms(terms, groups));
    }

    /** Wide terms from patches, where there are some. */
    private record PatchedTerms(Terms terms, List<WidePatches> groups) implements Terms {
        @Override
        public double at(int first, int end, double xUm, double yUm) {
            int next = first;
            double sum = 0;
            for (WidePatches group : groups) {
                if (next <= group.first() && group.end() <= end) {
                    double there = group.at(xUm, yUm);
                    if (!Double.isNaN(there)) {
                        sum += there + (next < group.first() ? terms.at(next, group.first(), xUm, yUm) : 0);
                        next = group.end();
                    }
                }
            }
            return next < end ? sum + terms.at(next, end, xUm, yUm) : sum;
        }
    }

    @Override
    public PointEnergy inBox(double x0Um, double y0Um, double x1Um, double y1Um, int points) {
        int firstWide = firstWide(0.5 * Math.max(x1Um - x0Um, y1Um - y0Um));
        if (firstWide == rangesUm.length || firstWide == 0) {
            return this;
        }
        SmoothPatch patch = new SmoothPatch(x0Um, y0Um, x1Um, y1Um, rangesUm[firstWide]);
        if (patch.nodes() >= points) {
            return this;
        }
        patch.take((x, y) -> terms.at(firstWide, rangesUm.length, x, y));
        return (x, y) -> terms.at(0, firstWide, x, y) + patch.at(x, y);
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
}
