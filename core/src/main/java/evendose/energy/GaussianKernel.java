package evendose.energy;

import org.apache.commons.math3.analysis.integration.gauss.GaussIntegrator;
import org.apache.commons.math3.analysis.integration.gauss.GaussIntegratorFactory;

/**
 * Integrals of the unit Gaussian {@code exp(-r^2) / pi} about the origin over trapezoids with horizontal sides, and of the same along
 * line segments. All lengths are in units of the range s and relative to the point of evaluation. Arguments are not
 * checked.
 *
 * <p>By Green's theorem a trapezoid's integral is {@code side(right) - side(left)} with
 *
 * <pre>side = int_v0^v1 exp(-v^2)/sqrt(pi) erf(x(v))/2 dv.</pre>
 *
 * <p>Rectangles and vertical sides are closed forms. Along a slanted side {@code erf(x(v))} is constant beyond
 * {@code |x| = 6}; the rest, at most 17 long, is cut into even panels for Gauss-Legendre rules whose order depends on the
 * panel's Euclidean length, since that length sets how far both factors vary. Absolute error below 1e-13 (held by
 * {@code GaussianKernelPropertyTest}).
 */
final class GaussianKernel {
    /** Beyond this distance a Gaussian counts as zero: {@code erfc(6)/2 = 1.1e-17}. */
    static final double REACH = FastErf.LIMIT;

    private static final double INVERSE_SQRT_PI = 1 / Math.sqrt(Math.PI);

    /** Longest panel, in ranges, that each rule integrates to 1e-14. */
    private static final double[] LONGEST = {0.06, 0.25, 0.55, 0.95, 1.4, 2.0, 3.0};

    private static final int[] ORDER = {4, 6, 8, 10, 12, 15, 20};
    private static final double[][] NODES = new double[ORDER.length][];
    private static final double[][] WEIGHTS = new double[ORDER.length][];

    static {
        GaussIntegratorFactory factory = new GaussIntegratorFactory();
        for (int r = 0; r < ORDER.length; r++) {
            GaussIntegrator rule = factory.legendre(ORDER[r], 0, 1);
            NODES[r] = new double[ORDER[r]];
            WEIGHTS[r] = new double[ORDER[r]];
            for (int i = 0; i < ORDER[r]; i++) {
                NODES[r][i] = rule.getPoint(i);
                WEIGHTS[r][i] = rule.getWeight(i);
            }
        }
    }

    private GaussianKernel() {}

    /** Share of a one-dimensional Gaussian between {@code a} and {@code b}. */
    static double band(double a, double b) {
        return 0.5 * (FastErf.value(b) - FastErf.value(a));
    }

    /** Integral over the rectangle {@code [x0, x1] x [y0, y1]}. */
    static double rectangle(double x0, double x1, double y0, double y1) {
        if (x0 >= REACH || x1 <= -REACH || y0 >= REACH || y1 <= -REACH) {
            return 0;
        }
        return band(x0, x1) * band(y0, y1);
    }

    /**
     * Integral over the trapezoid with sides at {@code y0 < y1}, from {@code xl0} to {@code xr0} at {@code y0} and from
     * {@code xl1} to {@code xr1} at {@code y1}.
     */
    static double trapezoid(double y0, double y1, double xl0, double xr0, double xl1, double xr1) {
        if (y0 >= REACH || y1 <= -REACH || Math.min(xl0, xl1) >= REACH || Math.max(xr0, xr1) <= -REACH) {
            return 0;
        }
        return side(xr0, y0, xr1, y1) - side(xl0, y0, xl1, y1);
    }

    /** The integral above along the side from {@code (x0, v0)} to {@code (x1, v1)}, {@code v0 < v1}. */
    static double side(double x0, double v0, double x1, double v1) {
        if (x0 == x1) {
            return 0.5 * FastErf.value(x0) * band(v0, v1);
        }
        if (x0 >= REACH && x1 >= REACH) {
            return 0.5 * band(v0, v1);
        }
        if (x0 <= -REACH && x1 <= -REACH) {
            return -0.5 * band(v0, v1);
        }
        double dx = x1 - x0;
        double dv = v1 - v0;
        // Positions along the side, 0 to 1, where it enters and leaves |x| < REACH.
        double enter = ((dx > 0 ? -REACH : REACH) - x0) / dx;
        double leave = ((dx > 0 ? REACH : -REACH) - x0) / dx;
        double sign = dx > 0 ? 1 : -1;
        double sum = 0;
        double from = 0;
        double to = 1;
        if (enter > 0) {
            from = enter;
            sum -= 0.5 * sign * band(v0, v0 + enter * dv);
        }
        if (leave < 1) {
            to = leave;
            sum += 0.5 * sign * band(v0 + leave * dv, v1);
        }
        from = Math.max(from, (-REACH - v0) / dv);
        to = Math.min(to, (REACH - v0) / dv);
        if (!(from < to)) {
            return sum;
        }
        double length = (to - from) * Math.sqrt(dx * dx + dv * dv);
        int panels = (int) Math.ceil(length / LONGEST[LONGEST.length - 1]);
        double panel = (to - from) / panels;
        int rule = 0;
        while (rule < LONGEST.length - 1 && length > panels * LONGEST[rule]) {
            rule++;
        }
        double[] nodes = NODES[rule];
        double[] weights = WEIGHTS[rule];
        double integral = 0;
        for (int k = 0; k < panels; k++) {
            double start = from + k * panel;
            for (int i = 0; i < nodes.length; i++) {
                double t = start + nodes[i] * panel;
                double v = v0 + t * dv;
                integral += weights[i] * Math.exp(-v * v) * FastErf.value(x0 + t * dx);
            }
        }
        return sum + 0.5 * INVERSE_SQRT_PI * panel * dv * integral;
    }

    /**
     * Integral of {@code exp(-r^2) / pi} along the segment from {@code (x0, y0)} to {@code (x1, y1)} by its length, times the unit
     * normal to the right of the direction of travel dotted with {@code (ux, uy)}: the flux through the segment.
     */
    static double flux(double x0, double y0, double x1, double y1, double ux, double uy) {
        double dx = x1 - x0;
        double dy = y1 - y0;
        double length = Math.sqrt(dx * dx + dy * dy);
        if (length == 0) {
            return 0;
        }
        double tx = dx / length;
        double ty = dy / length;
        double distance = ty * x0 - tx * y0;
        if (Math.abs(distance) >= REACH) {
            return 0;
        }
        double along = tx * x0 + ty * y0;
        return (ty * ux - tx * uy) * INVERSE_SQRT_PI * Math.exp(-distance * distance) * band(along, along + length);
    }
}
