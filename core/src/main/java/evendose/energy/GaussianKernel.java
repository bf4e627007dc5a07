package evendose.energy;

import evendose.pieces.GaussRule;

/**
 * Integrals of the unit Gaussian {@code exp(-r^2) / pi} about the origin over trapezoids with horizontal sides, and of the same along
 * line segments. All lengths are in units of the range s and relative to the point of evaluation. Arguments are not
 * checked.
 *
 * <p>By Green's theorem a trapezoid's integral is {@code side(right) - side(left)} with
 *
 * <pre>side = int_v0^v1 exp(-v^2)/sqrt(pi) erf(x(v))/2 dv.</pre>
 *
 * <p>Rectangles and vertical sides are closed forms. Along a slanted side {@code erf(x(v))} is constant where {@code |x|} is large, and
 * over the whole straight line the integral is {@code erf(h)/2}, h the line's distance from the origin. So only the shorter of
 * what lies within reach on the side and what lies there on the line beyond the side's ends is integrated numerically, in even panels by a
 * Gauss-Legendre rule whose order follows from the panel's Euclidean length, since that length sets how far both
 * factors vary.
 */
final class GaussianKernel {
    /** For {@link ExactEnergy}: absolute error below 1e-13 (held by {@code GaussianKernelPropertyTest}). */
    static final GaussianKernel EXACT = new GaussianKernel(
            true, FastErf.LIMIT, new int[] {4, 6, 8, 10, 12, 16, 20}, new double[] {0.15, 0.54, 1.1, 1.75, 2.5, 4, 5.5
            });

    /** For the engine: absolute error below 1e-8 (held by {@code GaussianKernelPropertyTest}). */
    static final GaussianKernel ENGINE = new GaussianKernel(
            false, 4.5, new int[] {3, 4, 5, 6, 8, 10, 12}, new double[] {0.28, 0.59, 0.98, 1.4, 2.3, 3.3, 4.3});

    /**
     * Rectangles and trapezoids with sides below this are integrated by a series: the terms left out, of sixth order in half a side, are below
     * 2e-11 of the integral, and that is below 4e-3 / pi.
     */
    private static final double SMALL = 0.06;

    /** Place of the outer points of the rule of three points between -1 and 1; weights are 5, 8, 5 ninths. */
    private static final double OUTER = Math.sqrt(0.6);

    /** Sides up to this length are integrated together; no longer than the longest panel. */
    private static final double SHORT = 2.3;

    /** Evaluations for longer sides, on average, most of which lie out of reach. */
    private static final double LONG_EVALUATIONS = 25;

    private static final double INVERSE_SQRT_PI = 1 / Math.sqrt(Math.PI);

    private final boolean fine;
    private final double reach;
    private final double[] longest;
    private final GaussRule[] rules;

    /**
     * Sets the accuracy.
     *
     * @param fine whether error functions are to be exact
     * @param reach distance beyond which a Gaussian counts as zero
     * @param order orders of the rules
     * @param longest longest panel, in ranges, that each rule integrates well enough, found by trial over lines of all
     *     directions and distances
     */
    private GaussianKernel(boolean fine, double reach, int[] order, double[] longest) {
        this.fine = fine;
        this.reach = reach;
        this.longest = longest;
        this.rules = GaussRule.ofOrders(order);
    }

    /** The error function, as accurate as the kernel. */
    double erf(double z) {
        return fine ? FastErf.value(z) : FastErf.rough(z);
    }

    /** Share of a one-dimensional Gaussian between {@code a} and {@code b}. */
    double band(double a, double b) {
        return 0.5 * (erf(b) - erf(a));
    }

    /** Distance beyond which a Gaussian counts as zero. */
    double reach() {
        return reach;
    }

    /** Integral over the rectangle {@code [x0, x1] x [y0, y1]}. */
    double rectangle(double x0, double x1, double y0, double y1) {
        if (x0 >= reach || x1 <= -reach || y0 >= reach || y1 <= -reach) {
            return 0;
        }
        if (x1 - x0 < SMALL && y1 - y0 < SMALL) {
            return small(x0, x1, y0, y1);
        }
        return band(x0, x1) * band(y0, y1);
    }

    /** The same from the Taylor series about the middle: one exponential in place of four error functions. */
    private static double small(double x0, double x1, double y0, double y1) {
        double x = 0.5 * (x0 + x1);
        double y = 0.5 * (y0 + y1);
        double xx = x * x;
        double yy = y * y;
        double a = x1 - x0;
        double b = y1 - y0;
        double aa = 0.25 * a * a;
        double bb = 0.25 * b * b;
        return a * b / Math.PI * Math.exp(-xx - yy) * across(xx, aa) * across(yy, bb);
    }

    /**
     * Integral over the trapezoid with sides at {@code y0 < y1}, from {@code xl0} to {@code xr0} at {@code y0} and from
     * {@code xl1} to {@code xr1} at {@code y1}.
     */
    double trapezoid(double y0, double y1, double xl0, double xr0, double xl1, double xr1) {
        if (y0 >= reach || y1 <= -reach || Math.min(xl0, xl1) >= reach || Math.max(xr0, xr1) <= -reach) {
            return 0;
        }
        double height = y1 - y0;
        double right = xr1 - xr0;
        double left = xl1 - xl0;
        double square = height * height + Math.max(right * right, left * left);
        if (square > SHORT * SHORT) {
            return side(xr0, y0, xr1, y1) - side(xl0, y0, xl1, y1);
        }
        if (square < SMALL * SMALL && Math.max(xr0 - xl0, xr1 - xl1) < SMALL) {
            return smallTrapezoid(y0, y1, xl0, xr0, xl1, xr1);
        }
        // Short sides, the slices of curved outlines above all: one rule for both, without a look at where they run.
        GaussRule rule = rules[rule(square)];
        double[] node = rule.nodes();
        double[] weight = rule.weights();
        double integral = 0;
        for (int i = 0; i < node.length; i++) {
            double t = node[i];
            double v = y0 + t * height;
            integral += weight[i] * Math.exp(-v * v) * (erf(xr0 + t * right) - erf(xl0 + t * left));
        }
        return 0.5 * INVERSE_SQRT_PI * height * integral;
    }

    /**
     * The same for a small one: the Taylor series across, and upwards a rule of three points, whose error, with a sixth derivative of at most
     * 120 times the width, is below 6e-5 {@code SMALL}^8 = 1e-14.
     */
    private static double smallTrapezoid(double y0, double y1, double xl0, double xr0, double xl1, double xr1) {
        double half = 0.5 * (y1 - y0);
        double middle = 0.5 * (y0 + y1);
        double x = 0.25 * (xl0 + xr0 + xl1 + xr1);
        double lean = 0.25 * (xl1 + xr1 - xl0 - xr0);
        double width = 0.25 * (xr0 + xr1 - xl0 - xl1);
        double opening = 0.25 * (xr1 - xl1 - xr0 + xl0);
        double integral = 8 * slice(x, width, middle)
                + 5 * slice(x + OUTER * lean, width + OUTER * opening, middle + OUTER * half)
                + 5 * slice(x - OUTER * lean, width - OUTER * opening, middle - OUTER * half);
        return 2 / (9 * Math.PI) * half * integral;
    }

    /** Half the integral of {@code exp(-r^2)} over the line at height {@code y} from {@code x - w} to {@code x + w}. */
    private static double slice(double x, double w, double y) {
        double xx = x * x;
        return w * Math.exp(-xx - y * y) * across(xx, w * w);
    }

    /** Mean of {@code exp(-x^2)} over a short line over its value in the middle, by the square of that and of half the length. */
    private static double across(double xx, double ww) {
        return 1 + ww * ((4 * xx - 2) / 6 + ww * ((16 * xx - 48) * xx + 12) / 120);
    }

    /**
     * About how many times {@link #trapezoid} evaluates its integrand for a trapezoid of this height with sides that run this far to
     * the right.
     */
    double evaluations(double height, double right, double left) {
        double square = height * height + Math.max(right * right, left * left);
        return square <= SHORT * SHORT ? rules[rule(square)].nodes().length : LONG_EVALUATIONS;
    }

    /** The first rule for panels of at least this squared length, which none may exceed. */
    private int rule(double square) {
        int rule = 0;
        while (square > longest[rule] * longest[rule]) {
            rule++;
        }
        return rule;
    }

    /** The integral above along the side from {@code (x0, v0)} to {@code (x1, v1)}, {@code v0 < v1}. */
    double side(double x0, double v0, double x1, double v1) {
        if (x0 == x1) {
            return 0.5 * erf(x0) * band(v0, v1);
        }
        if (x0 >= reach && x1 >= reach) {
            return 0.5 * band(v0, v1);
        }
        if (x0 <= -reach && x1 <= -reach) {
            return -0.5 * band(v0, v1);
        }
        // Positions along the line: 0 and 1 are the side's ends; |x| < reach from enter to leave, |v| < reach from low
        // to high.
        double dx = x1 - x0;
        double dv = v1 - v0;
        double sign = dx > 0 ? 1 : -1;
        double enter = (-sign * reach - x0) / dx;
        double leave = (sign * reach - x0) / dx;
        double low = Math.max(enter, (-reach - v0) / dv);
        double high = Math.min(leave, (reach - v0) / dv);
        double within = Math.max(0, Math.min(1, high) - Math.max(0, low));
        double beyond = Math.max(0, Math.min(0, high) - low) + Math.max(0, high - Math.max(1, low));
        if (within <= beyond) {
            double sum = numerical(x0, v0, dx, dv, Math.max(0, low), Math.min(1, high));
            if (enter > 0) {
                sum -= 0.5 * sign * band(v0, v0 + Math.min(1, enter) * dv);
            }
            if (leave < 1) {
                sum += 0.5 * sign * band(v0 + Math.max(0, leave) * dv, v1);
            }
            return sum;
        }
        // Some of what is within reach lies on the side, so enter < 1 and leave > 0.
        double distance = (x0 * dv - v0 * dx) / Math.sqrt(dx * dx + dv * dv);
        double before = -0.25 * sign * (1 + erf(v0 + Math.min(0, enter) * dv));
        if (enter < 0) {
            before += numerical(x0, v0, dx, dv, low, 0);
        }
        double after = 0.25 * sign * (1 - erf(v0 + Math.max(1, leave) * dv));
        if (leave > 1) {
            after += numerical(x0, v0, dx, dv, 1, high);
        }
        return 0.5 * erf(distance) - before - after;
    }

    private double numerical(double x0, double v0, double dx, double dv, double from, double to) {
        if (!(from < to)) {
            return 0;
        }
        double length = (to - from) * Math.sqrt(dx * dx + dv * dv);
        int last = longest.length - 1;
        int panels = (int) Math.ceil(length / longest[last]);
        double panel = (to - from) / panels;
        int rule = 0;
        while (rule < last && length > panels * longest[rule]) {
            rule++;
        }
        double[] node = rules[rule].nodes();
        double[] weight = rules[rule].weights();
        double integral = 0;
        for (int k = 0; k < panels; k++) {
            double start = from + k * panel;
            for (int i = 0; i < node.length; i++) {
                double t = start + node[i] * panel;
                double v = v0 + t * dv;
                integral += weight[i] * Math.exp(-v * v) * erf(x0 + t * dx);
            }
        }
        return 0.5 * INVERSE_SQRT_PI * panel * dv * integral;
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
        if (Math.abs(distance) >= FastErf.LIMIT) {
            return 0;
        }
        double along = tx * x0 + ty * y0;
        return (ty * ux - tx * uy)
                * INVERSE_SQRT_PI
                * Math.exp(-distance * distance)
                * EXACT.band(along, along + length);
    }
}
