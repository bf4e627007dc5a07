package evendose.correction;

import evendose.geometry.EdgeGrid;
import evendose.geometry.Outline;
import evendose.geometry.Trapezoids;
import evendose.pieces.JudgedOutline;

/** The drawn outline beside pieces that end a bias outside of it. */
final class DrawnBeside implements JudgedOutline {
    private final double[] outUm;
    private final double reachUm;
    private final EdgeGrid grid;

    /**
     * Beside exposed shapes.
     *
     * @param drawn the drawn shapes, dbu
     * @param outUm how far outside of them each layer is exposed, um
     * @param reachUm how far pieces may lie from the exposed outline, um
     */
    DrawnBeside(Trapezoids drawn, double dbuUm, double[] outUm, double reachUm) {
        this.outUm = outUm;
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
        return outUm[layer];
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
