package evendose.psf;

import java.util.ArrayList;
import java.util.List;
import org.ejml.data.DMatrixRMaj;
import org.ejml.dense.row.factory.LinearSolverFactory_DDRM;
import org.ejml.interfaces.linsol.LinearSolverDense;

/**
 * Non-negative least squares of a profile on Gaussians of fixed ranges. Errors of rings follow from the fit, not from the
 * data, round by round: where data are noisy, errors in proportion to them would pull the fit down.
 */
final class GaussianLadder {
    /** Ranges to a decade. */
    static final int PER_DECADE = 6;

    /** Share of a ring's energy that counts as its error beside the statistical one. */
    static final double FLOOR = 0.01;

    /**
     * Share of the whole energy that counts as an error of any ring: profiles end more sharply than any Gaussian, and the energy
     * there is not worth bending the rest for.
     */
    private static final double ABSOLUTE_FLOOR = 3e-5;

    /** Rounds in which errors are taken from the fit of the round before. */
    private static final int ROUNDS = 4;

    /** Terms of less weight are left out. */
    private static final double LEAST_WEIGHT = 3e-4;

    private GaussianLadder() {}

    /** The fit on the ladder of ranges 10^(k/6) um that spans the profile. */
    static PointSpreadFunction fit(RadialProfile profile) {
        int first = (int) Math.floor(PER_DECADE * Math.log10(profile.radiusHoldingUm(1e-3)));
        return fit(profile, Math.pow(10, (double) first / PER_DECADE));
    }

    /** The fit on the ladder of ranges s 10^(k/6), k from 0, to the end of the profile. */
    static PointSpreadFunction fit(RadialProfile profile, double leastRangeUm) {
        double most = profile.radiusHoldingUm(1 - 1e-6);
        List<Double> ranges = new ArrayList<>();
        ranges.add(leastRangeUm);
        while (ranges.get(ranges.size() - 1) < most) {
            ranges.add(leastRangeUm * Math.pow(10, (double) ranges.size() / PER_DECADE));
        }
        return fit(profile, ranges);
    }

    /** The fit on the ranges of another one. */
    static PointSpreadFunction fit(RadialProfile profile, PointSpreadFunction like) {
        return fit(profile, like.terms().stream().map(GaussianTerm::rangeUm).toList());
    }

    private static PointSpreadFunction fit(RadialProfile profile, List<Double> ranges) {
        double total = profile.total();
        int m = profile.size();
        int n = ranges.size();
        double[][] share = new double[n][m];
        for (int k = 0; k < n; k++) {
            for (int i = 0; i < m; i++) {
                double inner = profile.edgeUm(i) / ranges.get(k);
                double outer = profile.edgeUm(i + 1) / ranges.get(k);
                share[k][i] = Math.exp(-inner * inner) - Math.exp(-outer * outer);
            }
        }
        double[] expected = new double[m];
        for (int i = 0; i < m; i++) {
            expected[i] = profile.energy(i) / total;
        }
        double[] weights = new double[n];
        for (int round = 0; round < ROUNDS; round++) {
            double[][] a = new double[n][m];
            double[] b = new double[m];
            for (int i = 0; i < m; i++) {
                double e = expected[i];
                double error = Math.sqrt(profile.variancePerEnergy(i) / total * e
                        + FLOOR * FLOOR * e * e
                        + ABSOLUTE_FLOOR * ABSOLUTE_FLOOR);
                b[i] = profile.energy(i) / total / error;
                for (int k = 0; k < n; k++) {
                    a[k][i] = share[k][i] / error;
                }
            }
            weights = solve(a, b);
            for (int i = 0; i < m; i++) {
                expected[i] = 0;
                for (int k = 0; k < n; k++) {
                    expected[i] += weights[k] * share[k][i];
                }
            }
        }
        List<GaussianTerm> terms = new ArrayList<>();
        for (int k = 0; k < n; k++) {
            if (weights[k] > LEAST_WEIGHT) {
                terms.add(new GaussianTerm(weights[k], ranges.get(k)));
            }
        }
        if (terms.isEmpty()) {
            throw new IllegalArgumentException("the profile has no energy to fit");
        }
        return PointSpreadFunction.from(terms);
    }

    /**
     * The x of no negative entry that minimises |A x - b|, by the active-set method of C. L. Lawson, R. J. Hanson, Solving
     * Least Squares Problems (1974), chapter 23.
     *
     * @param a columns of A
     */
    static double[] solve(double[][] a, double[] b) {
        int n = a.length;
        double[] x = new double[n];
        boolean[] free = new boolean[n];
        double scale = 0;
        for (double[] column : a) {
            scale = Math.max(scale, Math.abs(dot(column, b)));
        }
        for (int round = 0; round < 10 * n; round++) {
            double[] residual = b.clone();
            for (int k = 0; k < n; k++) {
                if (x[k] != 0) {
                    for (int i = 0; i < b.length; i++) {
                        residual[i] -= x[k] * a[k][i];
                    }
                }
            }
            int best = -1;
            double gain = 1e-10 * scale;
            for (int k = 0; k < n; k++) {
                double g = dot(a[k], residual);
                if (!free[k] && g > gain) {
                    gain = g;
                    best = k;
                }
            }
            if (best < 0) {
                break;
            }
            free[best] = true;
            while (true) {
                double[] z = unconstrained(a, b, free);
                double step = 1;
                for (int k = 0; k < n; k++) {
                    if (free[k] && z[k] <= 0) {
                        step = Math.min(step, x[k] / (x[k] - z[k]));
                    }
                }
                for (int k = 0; k < n; k++) {
                    x[k] += step * (z[k] - x[k]);
                }
                if (step == 1) {
                    break;
                }
                for (int k = 0; k < n; k++) {
                    if (free[k] && x[k] <= 1e-14) {
                        free[k] = false;
                        x[k] = 0;
                    }
                }
            }
        }
        return x;
    }

    private static double[] unconstrained(double[][] a, double[] b, boolean[] free) {
        int n = 0;
        for (boolean f : free) {
            n += f ? 1 : 0;
        }
        DMatrixRMaj matrix = new DMatrixRMaj(b.length, n);
        int column = 0;
        for (int k = 0; k < a.length; k++) {
            if (free[k]) {
                for (int i = 0; i < b.length; i++) {
                    matrix.set(i, column, a[k][i]);
                }
                column++;
            }
        }
        DMatrixRMaj y = new DMatrixRMaj(n, 1);
        LinearSolverDense<DMatrixRMaj> solver = LinearSolverFactory_DDRM.leastSquaresQrPivot(true, false);
        if (!solver.setA(matrix)) {
            throw new IllegalArgumentException("the profile does not determine the weights");
        }
        solver.solve(new DMatrixRMaj(b.length, 1, true, b.clone()), y);
        double[] z = new double[a.length];
        column = 0;
        for (int k = 0; k < a.length; k++) {
            if (free[k]) {
                z[k] = y.get(column++);
            }
        }
        return z;
    }

    private static double dot(double[] p, double[] q) {
        double sum = 0;
        for (int i = 0; i < p.length; i++) {
            sum += p[i] * q[i];
        }
        return sum;
    }
}
