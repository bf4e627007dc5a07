package evendose.calibration;

import org.apache.commons.math3.exception.ConvergenceException;
import org.apache.commons.math3.exception.MaxCountExceededException;
import org.apache.commons.math3.fitting.leastsquares.LeastSquaresBuilder;
import org.apache.commons.math3.fitting.leastsquares.LeastSquaresFactory;
import org.apache.commons.math3.fitting.leastsquares.LevenbergMarquardtOptimizer;

/**
 * The smallest sum of squared residuals from a start, by the library's Levenberg-Marquardt; ends quietly also where the cost comes down to nothing
 * or too many steps were made, at the best point seen.
 */
final class LeastSquares {
    private static final int MOST_STEPS = 300;

    /** Relative gain of the cost and relative step below which further ones gain nothing that counts. */
    private static final double LITTLE = 1e-9;

    private LeastSquares() {}

    /** The point reached from {@code start} and its cost, the sum of squared residuals. */
    record Minimum(double[] x, double cost) {}

    /** The residuals of a model, and where they were smallest. */
    private static final class Seen {
        private final CalibrationModel model;
        private Minimum best;

        Seen(CalibrationModel model, double[] start) {
            this.model = model;
            this.best = new Minimum(start.clone(), squares(model.residuals(start)));
        }

        double[] residuals(double[] x) {
            double[] residuals = model.residuals(x);
            double cost = squares(residuals);
            if (cost < best.cost()) {
                best = new Minimum(x.clone(), cost);
            }
            return residuals;
        }
    }

    static Minimum search(CalibrationModel model, double[] start) {
        Seen seen = new Seen(model, start);
        double[] nothing = new double[model.residuals(start).length];
        try {
            new LevenbergMarquardtOptimizer()
                    .withCostRelativeTolerance(LITTLE)
                    .withParameterRelativeTolerance(LITTLE)
                    .optimize(new LeastSquaresBuilder()
                            .lazyEvaluation(true)
                            .model(LeastSquaresFactory.model(seen::residuals, model::jacobian))
                            .start(start)
                            .target(nothing)
                            .maxEvaluations(MOST_STEPS)
                            .maxIterations(MOST_STEPS)
                            .build());
        } catch (MaxCountExceededException | ConvergenceException e) {
            // The best point seen is what there is.
            return seen.best;
        }
        return seen.best;
    }

    static double squares(double[] r) {
        double sum = 0;
        for (double v : r) {
            sum += v * v;
        }
        return sum;
    }
}
