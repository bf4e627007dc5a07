package evendose.correction;

import evendose.geometry.EdgeGrid;
import evendose.geometry.Outline;
import evendose.geometry.Trapezoids;
import evendose.pieces.JudgedOutline;

/** The drawn outline beside pieces that end elsewhere: a bias outside of it, or where parts of it were moved to. */
final class DrawnBeside implements JudgedOutline {
    private final Outside outside;
    private final double reachUm;
    private final EdgeGrid grid;

    /** How far outside what is drawn it is exposed. */
    @FunctionalInterface
    interface Outside {
        /** The distance at a place on the exposed outline of a layer's shapes, um; negative if inside. */
        double um(int layer, double xUm, double yUm);
    }

    /**
     * Beside exposed shapes.
     *
     * @param drawn the drawn shapes, dbu
     * @param outside how far outside of them shapes are exposed
     * @param reachUm how far from the drawn outline a place may lie that is meant to lie on it, um
     */
    DrawnBeside(Trapezoids drawn, double dbuUm, Outside outside, double reachUm) {
        this.outside = outside;
        this.reachUm = reachUm;
        Outline outline = Outline.of(drawn);
        double[][] ends = new double[4][outline.size()];
        for (int e = 0; e < outline.size(); e++) {
            ends[0][e] = outline.x0(e) * dbuUm;
            ends[1][e] = outline.y0(e) * dbuUm;
            ends[2][e] = outline.x1(e) * dbuUm;
            ends[3][e] = outline.y1(e) * dbuUm;
        }
        this.grid = new EdgeGrid(ends[0], ends[1], ends[2], ends[3]);
    }

    @Override
    public double insideUm(int layer, double xUm, double yUm) {
        return outside.um(layer, xUm, yUm);
    }

    @Override
    public void settle(int layer, double[] xyUm) {
        int edge = grid.nearest(xyUm[0], xyUm[1], reachUm);
        if (edge >= 0) {
            double share = grid.share(edge, xyUm[0], xyUm[1]);
            xyUm[0] = grid.x(edge, share);
            xyUm[1] = grid.y(edge, share);
        }
    }
}
