package evendose.energy;

/**
 * The cubic B-spline {@code B} on [-2, 2] with unit knot distance and unit integral, and its antiderivative. Its Fourier transform is
 * {@code sinc(k/2)^4}.
 */
final class CubicSpline {
    private CubicSpline() {}

    /**
     * Values of the four splines that are not zero at a point: spline {@code floor(x) - 1 + i} in {@code weights[i]}.
     *
     * @param t fractional part of x, 0 to 1
     * @param weights receives four values that sum to 1
     */
    static void weights(double t, double[] weights) {
        double u = 1 - t;
        double t2 = t * t;
        double u2 = u * u;
        weights[0] = u2 * u * (1.0 / 6);
        weights[1] = (2.0 / 3) - t2 + 0.5 * t2 * t;
        weights[2] = (2.0 / 3) - u2 + 0.5 * u2 * u;
        weights[3] = t2 * t * (1.0 / 6);
    }

    /** Integral of the spline from minus infinity to {@code x}. */
    static double integral(double x) {
        double a = Math.abs(x);
        double tail;
        if (a >= 2) {
            tail = 0;
        } else if (a >= 1) {
            double u = 2 - a;
            double u2 = u * u;
            tail = u2 * u2 * (1.0 / 24);
        } else {
            double a2 = a * a;
            tail = 0.5 - a * (2.0 / 3) + a2 * a * (1.0 / 3) - a2 * a2 * 0.125;
        }
        return x < 0 ? tail : 1 - tail;
    }

    /** Fourier transform of the spline; {@code k} in radians a pitch. */
    static double transform(double k) {
        double half = 0.5 * k;
        double sinc = half == 0 ? 1 : Math.sin(half) / half;
        return sinc * sinc * sinc * sinc;
    }

    /** First spline that is not zero somewhere right of {@code x}, which is at least 0. */
    static int firstOver(double x) {
        return (int) x - 1;
    }

    /** Last spline that is not zero somewhere left of {@code x}, which is at least 0. */
    static int lastOver(double x) {
        int whole = (int) x;
        return whole < x ? whole + 2 : whole + 1;
    }
}
