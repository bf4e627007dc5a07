package evendose.calibration;

import org.apache.commons.numbers.gamma.Erfc;
import org.apache.commons.numbers.gamma.Erfcx;

/**
 * How well a prediction mu agrees with one measurement: of the logarithm of a clearing dose, or of a width in um.
 *
 * <p>A value y with standard error s has the usual residual (y - mu) / s. An interval from a to b has the likelihood Phi((b - mu) / s) -
 * Phi((a - mu) / s), s being what scatters beyond the interval, and the residual is the signed root of twice what its logarithm lacks to
 * its largest, so that the sum of squared residuals is least where the likelihood of all measurements is largest. A bound is an interval with
 * one end. Where no standard error is given, an assumed one times {@code scale} takes its place.
 *
 * <p>{@code LikelihoodTest} holds residuals and slopes against direct integrals. Checks nothing.
 *
 * @param low lower end, minus infinity if there is none
 * @param high upper end, infinite if there is none
 * @param sigma standard deviation of what scatters
 */
record Likelihood(double low, double high, double sigma) {
    /** Below a sixth of the interval the likelihood is flat inside it, and no value in it better than another. */
    private static final double FLAT = 1.0 / 6;

    /** So near the middle the root of a difference of logarithms loses its digits, and is a straight line. */
    private static final double MIDDLE = 1e-3;

    private static final double ROOT_2 = Math.sqrt(2);
    private static final double ROOT_2_PI = Math.sqrt(2 * Math.PI);

    static Likelihood of(Measurement m, double scale) {
        if (m.kind() == Measurement.Kind.WIDTH) {
            return new Likelihood(
                    m.value(), m.value(), m.standardError().orElse(scale * CalibrationModel.WIDTH_ERROR_UM));
        }
        double sigma = m.standardError().isPresent()
                ? m.standardError().getAsDouble() / m.value()
                : scale * CalibrationModel.CLEARING_ERROR;
        double low = Math.log(m.low());
        double high = Math.log(m.high());
        return new Likelihood(low, high, m.bound() ? sigma : Math.max(sigma, FLAT * (high - low)));
    }

    private boolean bound() {
        return Double.isInfinite(low) || Double.isInfinite(high);
    }

    private boolean exact() {
        return low == high;
    }

    /** Negative where the measurement lies below the prediction. */
    double residual(double mu) {
        if (exact()) {
            return (low - mu) / sigma;
        }
        if (bound()) {
            double inside = inside(mu);
            return side() * Math.sqrt(2 * -logInside(inside));
        }
        double t = (mu - middle()) / sigma;
        double h = halfWidth();
        double size = Math.abs(t);
        double root =
                size < MIDDLE ? size * Math.sqrt(curvature(h)) : Math.sqrt(2 * (logShare(0, h) - logShare(size, h)));
        return -Math.copySign(root, t);
    }

    /** Derivative of {@link #residual} with the prediction. */
    double slope(double mu) {
        if (exact()) {
            return -1 / sigma;
        }
        if (bound()) {
            double inside = inside(mu);
            double root = Math.sqrt(2 * -logInside(inside));
            return root < 1e-150 ? 0 : -hazard(inside) / (root * sigma);
        }
        double t = Math.abs(mu - middle()) / sigma;
        double h = halfWidth();
        double slope =
                t < MIDDLE ? Math.sqrt(curvature(h)) : fall(t, h) / Math.sqrt(2 * (logShare(0, h) - logShare(t, h)));
        return -slope / sigma;
    }

    /**
     * Fisher's information on the prediction. An interval tells as much as its middle with variance s^2 + width^2 / 12 (its
     * expectation over where the ladder's doses happen to lie, {@code LikelihoodTest}); a bound what it tells where it lies.
     */
    double information(double mu) {
        if (bound()) {
            double inside = inside(mu);
            double hazard = hazard(inside);
            return hazard * (hazard + inside) / (sigma * sigma);
        }
        return information(sigma, high - low);
    }

    static double information(double sigma, double width) {
        return 1 / (sigma * sigma + width * width / 12);
    }

    /** Measured less predicted over the standard deviation of what is known; of an interval, its middle. */
    double standardised(double mu) {
        return bound() ? residual(mu) : (middle() - mu) * Math.sqrt(information(mu));
    }

    /** Variance that does not come from scatter: of a place in the interval. */
    double intervalVariance() {
        return bound() ? 0 : (high - low) * (high - low) / 12;
    }

    double middle() {
        return 0.5 * (low + high);
    }

    private double halfWidth() {
        return 0.5 * (high - low) / sigma;
    }

    /** Distance from the prediction to the bound, positive if it lies on the side that the measurement allows. */
    private double inside(double mu) {
        return (Double.isInfinite(low) ? high - mu : mu - low) / sigma;
    }

    private double side() {
        return Double.isInfinite(low) ? -1 : 1;
    }

    /** Logarithm of Phi(x). */
    private static double logInside(double x) {
        return x > 0 ? Math.log1p(-0.5 * Erfc.value(x / ROOT_2)) : Math.log(0.5 * Erfcx.value(-x / ROOT_2)) - x * x / 2;
    }

    /** phi(x) / Phi(x). */
    private static double hazard(double x) {
        return x > 0
                ? Math.exp(-x * x / 2) / ROOT_2_PI / (1 - 0.5 * Erfc.value(x / ROOT_2))
                : 2 / (ROOT_2_PI * Erfcx.value(-x / ROOT_2));
    }

    /** Logarithm of Phi(h - t) - Phi(-h - t) for t at least 0. */
    private static double logShare(double t, double h) {
        if (t <= h) {
            return Math.log1p(-0.5 * (Erfc.value((h - t) / ROOT_2) + Erfc.value((h + t) / ROOT_2)));
        }
        return Math.log(tail(t, h)) - (t - h) * (t - h) / 2;
    }

    /** The share over the exponential factor of its larger part, for t above h. */
    private static double tail(double t, double h) {
        return 0.5 * (Erfcx.value((t - h) / ROOT_2) - Math.exp(-2 * t * h) * Erfcx.value((t + h) / ROOT_2));
    }

    /** How fast {@link #logShare} falls with t. */
    private static double fall(double t, double h) {
        double density = (1 - Math.exp(-2 * t * h)) / ROOT_2_PI;
        double scaled = t > h ? tail(t, h) : Math.exp(logShare(t, h) + (h - t) * (h - t) / 2);
        return density / scaled;
    }

    /** Second derivative of minus {@link #logShare} at t = 0. */
    private static double curvature(double h) {
        return 2 * h * Math.exp(-h * h / 2) / ROOT_2_PI / Math.exp(logShare(0, h));
    }
}
