package evendose.energy;

/**
 * A part of a grid that tiles share.
 *
 * @param column first column
 * @param row first row
 * @param grid the nodes of the part
 */
record GridPlace(int column, int row, FarGrid grid) {
    /** The part that holds the splines at all places within bounds and so far beyond, as far as the grid reaches, um. */
    static GridPlace of(FarGrid whole, double[] boundsUm, double beyondUm) {
        int column = Math.max(0, CubicSpline.firstOver(whole.column(boundsUm[0] - beyondUm)) - 1);
        int row = Math.max(0, CubicSpline.firstOver(whole.row(boundsUm[1] - beyondUm)) - 1);
        int columns =
                Math.min(whole.columns(), CubicSpline.lastOver(whole.column(boundsUm[2] + beyondUm)) + 2) - column;
        int rows = Math.min(whole.rows(), CubicSpline.lastOver(whole.row(boundsUm[3] + beyondUm)) + 2) - row;
        return new GridPlace(column, row, whole.part(column, row, columns, rows));
    }

    /** Values of its nodes, taken over. */
    GridPart with(double[] values) {
        return new GridPart(column, row, grid.columns(), values);
    }
}
