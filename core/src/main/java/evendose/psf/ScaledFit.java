package evendose.psf;

import java.util.List;
import java.util.function.UnaryOperator;
import org.apache.commons.math3.analysis.MultivariateVectorFunction;
import org.apache.commons.math3.exception.TooManyEvaluationsException;
import org.apache.commons.math3.exception.TooManyIterationsException;
import org.apache.commons.math3.fitting.leastsquares.LeastSquaresBuilder;
import org.apache.commons.math3.fitting.leastsquares.LeastSquaresOptimizer.Optimum;
import org.apache.commons.math3.fitting.leastsquares.LevenbergMarquardtOptimizer;

/** Least squares over the logarithms of positive numbers, by Levenberg and Marquardt's method from several starts. */
final class ScaledFit {
    private static final double STEP = 1e-5;

    private ScaledFit() {}

    /**
     * The best of the minima found. A start from which the method does not settle is left out: the misfit of sums of Gaussians has
     * flat valleys, and one start of several that runs along such a one says nothing against the others.
     *
     * @param starts positive numbers to start from
     * @param residuals from positive numbers to residuals, always equally many
     * @throws IllegalArgumentException if no start leads to a minimum
     */
    static Optimum best(List<double[]> starts, UnaryOperator<double[]> residuals) {
        MultivariateVectorFunction values = p -> residuals.apply(exps(p));
        Optimum best = null;
        for (double[] start : starts) {
            try {
                Optimum found = new LevenbergMarquardtOptimizer()
                        .optimize(new LeastSquaresBuilder()
                                .start(logs(start))
                                .target(new double[values.value(logs(start)).length])
                                .model(values, p -> jacobian(values, p))
                                .maxEvaluations(2000)
                                .maxIterations(1000)
                                .build());
                best = best == null || found.getCost() < best.getCost() ? found : best;
            } catch (TooManyEvaluationsException | TooManyIterationsException | IllegalArgumentException e) {
                // Ran along a valley or out of the form's bounds; told below if every start does.
                continue;
            }
        }
        if (best == null) {
            throw new IllegalArgumentException("the profile does not determine the numbers of this form");
        }
        return best;
    }

    private static double[][] jacobian(MultivariateVectorFunction values, double[] p) {
        double[][] rows = new double[values.value(p).length][p.length];
        for (int k = 0; k < p.length; k++) {
            double[] moved = p.clone();
            moved[k] = p[k] + STEP;
            double[] up = values.value(moved);
            moved[k] = p[k] - STEP;
            double[] down = values.value(moved);
            for (int j = 0; j < rows.length; j++) {
                rows[j][k] = (up[j] - down[j]) / (2 * STEP);
            }
        }
        return rows;
    }

    private static double[] logs(double[] p) {
        return java.util.Arrays.stream(p).map(Math::log).toArray();
    }

    static double[] exps(double[] p) {
        return java.util.Arrays.stream(p).map(Math::exp).toArray();
    }
}
