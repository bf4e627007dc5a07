package evendose.pieces;

import java.util.Arrays;

/** The area that two pieces share. */
public final class Overlap {
    private Overlap() {}

    /**
     * {@return the area that two pieces share, um^2}
     *
     * @param p the pieces
     * @param i number of one
     * @param j number of the other
     */
    public static double areaUm2(Pieces p, int i, int j) {
        return areaUm2(p, i, p, j);
    }

    /**
     * {@return the area that two pieces share, um^2}
     *
     * @param p pieces
     * @param i number of a piece of {@code p}
     * @param q pieces
     * @param j number of a piece of {@code q}
     */
    public static double areaUm2(Pieces p, int i, Pieces q, int j) {
        return p.standing(i) == q.standing(j) ? alike(p, i, q, j) : mixed(p, i, q, j);
    }

    /** In the frame of both: the integral over v of the overlap of two intervals whose ends are linear in v. */
    private static double alike(Pieces p, int i, Pieces q, int j) {
        double v0 = Math.max(p.lowUm()[i], q.lowUm()[j]);
        double v1 = Math.min(p.highUm()[i], q.highUm()[j]);
        if (!(v1 > v0)) {
            return 0;
        }
        double[] li = side(p.fromLowUm(), p.fromHighUm(), p, i, v0, v1);
        double[] lj = side(q.fromLowUm(), q.fromHighUm(), q, j, v0, v1);
        double[] ri = side(p.toLowUm(), p.toHighUm(), p, i, v0, v1);
        double[] rj = side(q.toLowUm(), q.toHighUm(), q, j, v0, v1);
        // Places, as shares of the slab, where any two sides cross; between them the overlap is linear.
        double[] cuts = {0, 1, cross(li, lj), cross(ri, rj), cross(li, rj), cross(lj, ri)};
        Arrays.sort(cuts);
        double sum = 0;
        for (int k = 0; k + 1 < cuts.length; k++) {
            double middle = 0.5 * (cuts[k] + cuts[k + 1]);
            double width = Math.min(at(ri, middle), at(rj, middle)) - Math.max(at(li, middle), at(lj, middle));
            sum += Math.max(0, width) * (cuts[k + 1] - cuts[k]);
        }
        return sum * (v1 - v0);
    }

    private static double[] side(double[] low, double[] high, Pieces p, int i, double v0, double v1) {
        double slope = (high[i] - low[i]) / (p.highUm()[i] - p.lowUm()[i]);
        return new double[] {low[i] + slope * (v0 - p.lowUm()[i]), high[i] - slope * (p.highUm()[i] - v1)};
    }

    private static double at(double[] side, double t) {
        return side[0] + t * (side[1] - side[0]);
    }

    private static double cross(double[] a, double[] b) {
        double d0 = a[0] - b[0];
        double d1 = a[1] - b[1];
        return d0 * d1 < 0 ? d0 / (d0 - d1) : 0;
    }

    /** The first piece cut off along each side of the second, since both are convex. */
    private static double mixed(Pieces p, int i, Pieces q, int j) {
        // Relative to a corner, so that far from the origin no digit is lost.
        double x0 = q.cornerXUm(j, 0);
        double y0 = q.cornerYUm(j, 0);
        double[] xy = new double[8];
        for (int k = 0; k < 4; k++) {
            xy[2 * k] = p.cornerXUm(i, k) - x0;
            xy[2 * k + 1] = p.cornerYUm(i, k) - y0;
        }
        for (int k = 0; k < 4; k++) {
            int next = k + 1 & 3;
            double ax = q.cornerXUm(j, k) - x0;
            double ay = q.cornerYUm(j, k) - y0;
            double ux = q.cornerXUm(j, next) - x0 - ax;
            double uy = q.cornerYUm(j, next) - y0 - ay;
            // A triangle has one side without length.
            xy = ux == 0 && uy == 0 ? xy : leftOf(xy, ax, ay, ux, uy);
        }
        double twice = 0;
        for (int k = 0; k < xy.length; k += 2) {
            int next = (k + 2) % xy.length;
            twice += xy[k] * xy[next + 1] - xy[next] * xy[k + 1];
        }
        return Math.max(0, 0.5 * twice);
    }

    /** What of a convex polygon lies to the left of the line through (ax, ay) along (ux, uy). */
    private static double[] leftOf(double[] xy, double ax, double ay, double ux, double uy) {
        double[] kept = new double[xy.length + 2];
        int n = 0;
        for (int k = 0; k < xy.length; k += 2) {
            int next = (k + 2) % xy.length;
            double here = ux * (xy[k + 1] - ay) - uy * (xy[k] - ax);
            double there = ux * (xy[next + 1] - ay) - uy * (xy[next] - ax);
            if (here >= 0) {
                kept[n++] = xy[k];
                kept[n++] = xy[k + 1];
            }
            if (here > 0 && there < 0 || here < 0 && there > 0) {
                double t = here / (here - there);
                kept[n++] = xy[k] + t * (xy[next] - xy[k]);
                kept[n++] = xy[k + 1] + t * (xy[next + 1] - xy[k + 1]);
            }
        }
        return Arrays.copyOf(kept, n);
    }
}
