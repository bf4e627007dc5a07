package evendose.energy;

import evendose.pieces.GaussRule;
import evendose.psf.RadialTable;

/**
 * Integrals of a tabulated radial density about the origin over polygons, side by side. With W(r) the share within r, Green's theorem gives
 *
 * <pre>int int f dx dy = sum over sides of int W(r) dtheta / (2 pi)</pre>
 *
 * <p>where theta is the direction seen from the origin. Along a side at distance h, {@code r = h cosh u} and {@code dtheta = du / cosh
 * u}: as a function of u the integrand is as smooth as W is in log r, however near the side is. Arguments are not checked.
 */
final class TableKernel {
    /** Longest panels, in u, and the rules for them. */
    private static final double[] LONGEST = {0.02, 0.1, 0.4, 1};

    private static final GaussRule[] RULES = GaussRule.ofOrders(2, 4, 6, 10);

    private final RadialTable table;

    TableKernel(RadialTable table) {
        this.table = table;
    }

    private interface Integrand {
        double at(double u);
    }

    /** The share of the side from (x0, y0) to (x1, y1) in the integral over a polygon whose sides run anticlockwise. */
    double side(double x0, double y0, double x1, double y1) {
        double length = Math.hypot(x1 - x0, y1 - y0);
        double distance = length == 0 ? 0 : (x0 * y1 - x1 * y0) / length;
        double h = Math.abs(distance);
        if (h <= 1e-12 * length) {
            return 0;
        }
        double a = along(x0, y0, x1, y1, length);
        double share = integrate(asinh(a / h), asinh((a + length) / h), u -> {
            double cosh = Math.cosh(u);
            return table.shareWithin(h * cosh) / cosh;
        });
        return Math.copySign(share, distance) / (2 * Math.PI);
    }

    /** Integral of the density along the side, times the side's outward normal dotted with (ux, uy): see {@link GaussianKernel#flux}. */
    double flux(double x0, double y0, double x1, double y1, double ux, double uy) {
        double dx = x1 - x0;
        double dy = y1 - y0;
        double length = Math.hypot(dx, dy);
        if (length == 0) {
            return 0;
        }
        double distance = (x0 * y1 - x1 * y0) / length;
        double scale = Math.max(Math.abs(distance), table.radiiUm()[0]);
        double a = along(x0, y0, x1, y1, length);
        double integral = integrate(asinh(a / scale), asinh((a + length) / scale), u -> {
            double t = scale * Math.sinh(u);
            return table.density(Math.sqrt(distance * distance + t * t)) * scale * Math.cosh(u);
        });
        return (dy * ux - dx * uy) / length * integral;
    }

    /** Where the side begins, counted along it from the point next to the origin. */
    private static double along(double x0, double y0, double x1, double y1, double length) {
        return (x0 * (x1 - x0) + y0 * (y1 - y0)) / length;
    }

    private static double asinh(double v) {
        double a = Math.abs(v);
        return Math.copySign(Math.log(a + Math.sqrt(a * a + 1)), v);
    }

    private static double integrate(double from, double to, Integrand f) {
        int panels = (int) Math.max(1, Math.ceil((to - from) / LONGEST[LONGEST.length - 1]));
        double panel = (to - from) / panels;
        int rule = 0;
        while (rule < LONGEST.length - 1 && panel > LONGEST[rule]) {
            rule++;
        }
        double[] node = RULES[rule].nodes();
        double[] weight = RULES[rule].weights();
        double sum = 0;
        for (int k = 0; k < panels; k++) {
            for (int i = 0; i < node.length; i++) {
                sum += weight[i] * f.at(from + (k + node[i]) * panel);
            }
        }
        return panel * sum;
    }
}
