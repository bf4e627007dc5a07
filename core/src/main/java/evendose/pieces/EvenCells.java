package evendose.pieces;

/** The even cells that the box of a shape is divided into, with borders on the grid. */
final class EvenCells {
    private final double[] xCuts;
    private final double[] yCuts;

    EvenCells(double left, double bottom, double right, double top, double maxPiece) {
        xCuts = divide(left, right, UprightShapes.cells(right - left, maxPiece));
        yCuts = divide(bottom, top, UprightShapes.cells(top - bottom, maxPiece));
    }

    private static double[] divide(double from, double to, int n) {
        double[] cuts = new double[n + 1];
        for (int k = 0; k <= n; k++) {
            cuts[k] = Math.rint(from + (to - from) * k / n);
        }
        cuts[0] = from;
        cuts[n] = to;
        return cuts;
    }

    /** All of them. */
    Block all() {
        int rows = yCuts.length - 1;
        int columns = xCuts.length - 1;
        return new Block(0, 0, rows, columns, new double[] {xCuts[0], yCuts[0], xCuts[columns], yCuts[rows]});
    }

    /** Where the border lies that halves a block of several cells. */
    double halves(Block block) {
        return block.isHalvedAlongY()
                ? yCuts[block.row() + block.rows() / 2]
                : xCuts[block.column() + block.columns() / 2];
    }

    /** Extent of the smaller of the two cells on both sides of that border, across it. */
    double cellBeside(Block block) {
        double[] cuts = block.isHalvedAlongY() ? yCuts : xCuts;
        int k = block.isHalvedAlongY() ? block.row() + block.rows() / 2 : block.column() + block.columns() / 2;
        return Math.min(cuts[k] - cuts[k - 1], cuts[k + 1] - cuts[k]);
    }
}
