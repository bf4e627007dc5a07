package evendose.psf;

import org.jtransforms.dct.DoubleDCT_1D;

/**
 * The Hankel transform of a radial density, {@code h(k) = 2 pi int f(r) J0(k r) r dr}, ready to be looked up.
 *
 * <p>It is the cosine transform of the density's projection on a line, {@code p(x) = int f(sqrt(x^2 + z^2)) dz}. The projection is
 * summed by the trapezoidal rule in {@code asinh(z)}, which converges fast for an even integrand that dies out; padding
 * makes the steps in k so small that cubics between them lose less than 1e-6.
 */
final class HankelTransform {
    private static final int PROJECTIONS = 1 << 13;

    /** Padded length over the reach: a step in k turns the phase at the reach by pi over this. */
    private static final int PADDING = 16;

    /** Of the trapezoidal rule, in asinh(z). */
    private static final double STEP = 1.0 / 32;

    /** Most that a wave is wrong on the grid that suits a Gaussian, a quarter of its range apart. */
    private static final double LEAST_WRONG = wrongOfGaussian();

    private final double[] values;
    private final double step;
    private final double smoothnessUm;

    private HankelTransform(double[] values, double step) {
        this.values = values;
        this.step = step;
        this.smoothnessUm = 4 * coarsestPitchUm();
    }

    static HankelTransform of(RadialTable table) {
        int n = PROJECTIONS * PADDING;
        double dx = table.reachUm() / PROJECTIONS;
        double[] line = new double[n];
        for (int i = 0; i < PROJECTIONS; i++) {
            line[i] = 2 * dx * projection(table, (i + 0.5) * dx);
        }
        new DoubleDCT_1D(n).forward(line, false);
        return new HankelTransform(line, Math.PI / (n * dx));
    }

    private static double projection(RadialTable table, double x) {
        double end = Math.sqrt(table.reachUm() * table.reachUm() - x * x) / x;
        double last = Math.log(end + Math.sqrt(end * end + 1));
        int steps = (int) Math.ceil(last / STEP);
        double h = last / steps;
        double sum = 0;
        for (int i = 0; i <= steps; i++) {
            double z = x * Math.sinh(i * h);
            double share = i == 0 || i == steps ? 0.5 : 1;
            sum += share * table.density(Math.sqrt(x * x + z * z)) * x * Math.cosh(i * h);
        }
        return 2 * h * sum;
    }

    /** The transform at {@code k} (1/um, at least 0); 0 beyond what was computed. */
    double at(double k) {
        double x = k / step;
        int i = (int) x;
        if (i >= values.length - 2) {
            return 0;
        }
        // It is even.
        double a = values[i == 0 ? 1 : i - 1];
        double b = values[i];
        double c = values[i + 1];
        double d = values[i + 2];
        double t = x - i;
        return b + 0.5 * t * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)));
    }

    /**
     * Range of the Gaussian that is as smooth, um: where a grid of a quarter of this pitch takes a wave for another one, the
     * transform lets pass no more of it than that Gaussian would.
     */
    double smoothnessUm() {
        return smoothnessUm;
    }

    private double coarsestPitchUm() {
        double low = Math.PI / (step * values.length);
        double high = Math.PI / step;
        while (high > low * 1.001) {
            double middle = Math.sqrt(low * high);
            if (wrong(middle) <= LEAST_WRONG) {
                low = middle;
            } else {
                high = middle;
            }
        }
        return low;
    }

    private double wrong(double pitch) {
        double most = 0;
        for (int i = 0; i < values.length; i++) {
            most = Math.max(most, Math.abs(values[i]) * mistaken(i * step * pitch));
        }
        return most;
    }

    private static double wrongOfGaussian() {
        double most = 0;
        for (double q = 0; q < Math.PI; q += 0.001) {
            most = Math.max(most, Math.exp(-4 * q * q) * mistaken(q));
        }
        return most;
    }

    /** What cubic B-splines on a grid make of a wave as its mirror images, over what is right; q in radians a pitch. */
    private static double mistaken(double q) {
        if (q >= Math.PI) {
            return 1;
        }
        double below = q / (2 * Math.PI - q);
        double above = q / (2 * Math.PI + q);
        return below * below * below * below + above * above * above * above;
    }
}
