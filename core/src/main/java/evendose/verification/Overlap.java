package evendose.verification;

import evendose.pieces.Pieces;

/** The area that two pieces share: the integral over y of the overlap of two intervals whose ends are linear in y. */
final class Overlap {
    private Overlap() {}

    static double areaUm2(Pieces p, int i, int j) {
        double y0 = Math.max(p.yBottomUm()[i], p.yBottomUm()[j]);
        double y1 = Math.min(p.yTopUm()[i], p.yTopUm()[j]);
        if (!(y1 > y0)) {
            return 0;
        }
        double[] li = side(p.xLeftBottomUm(), p.xLeftTopUm(), p, i, y0, y1);
        double[] lj = side(p.xLeftBottomUm(), p.xLeftTopUm(), p, j, y0, y1);
        double[] ri = side(p.xRightBottomUm(), p.xRightTopUm(), p, i, y0, y1);
        double[] rj = side(p.xRightBottomUm(), p.xRightTopUm(), p, j, y0, y1);
        // Heights, as shares of the slab, where any two sides cross; between them the overlap is linear.
        double[] cuts = {0, 1, cross(li, lj), cross(ri, rj), cross(li, rj), cross(lj, ri)};
        java.util.Arrays.sort(cuts);
        double sum = 0;
        for (int k = 0; k + 1 < cuts.length; k++) {
            double middle = 0.5 * (cuts[k] + cuts[k + 1]);
            double width = Math.min(at(ri, middle), at(rj, middle)) - Math.max(at(li, middle), at(lj, middle));
            sum += Math.max(0, width) * (cuts[k + 1] - cuts[k]);
        }
        return sum * (y1 - y0);
    }

    private static double[] side(double[] bottom, double[] top, Pieces p, int i, double y0, double y1) {
        double height = p.yTopUm()[i] - p.yBottomUm()[i];
        double slope = (top[i] - bottom[i]) / height;
        return new double[] {bottom[i] + slope * (y0 - p.yBottomUm()[i]), top[i] - slope * (p.yTopUm()[i] - y1)};
    }

    private static double at(double[] side, double t) {
        return side[0] + t * (side[1] - side[0]);
    }

    private static double cross(double[] a, double[] b) {
        double d0 = a[0] - b[0];
        double d1 = a[1] - b[1];
        return d0 * d1 < 0 ? d0 / (d0 - d1) : 0;
    }
}
