package evendose.energy;

/**
 * A part of a grid that tiles share.
 *
 * @param column first column
 * @param row first row
 * @param grid the nodes of the part
 */
record GridPlace(int column, int row, FarGrid grid) {
    /** The part that holds the splines at all places within bounds, um. */
    static GridPlace of(FarGrid whole, double[] boundsUm) {
        int column = CubicSpline.firstOver(whole.column(boundsUm[0])) - 1;
        int row = CubicSpline.firstOver(whole.row(boundsUm[1])) - 1;
        return new GridPlace(
                column,
                row,
                whole.part(
                        column,
                        row,
                        CubicSpline.lastOver(whole.column(boundsUm[2])) + 2 - column,
                        CubicSpline.lastOver(whole.row(boundsUm[3])) + 2 - row));
    }

    /** Values of its nodes, taken over. */
    GridPart with(double[] values) {
        return new GridPart(column, row, grid.columns(), values);
    }
}
