package evendose.pieces;

/**
 * Some even cells of a shape that adjoin, or a part of one.
 *
 * @param row the lowest row of cells
 * @param column the first column
 * @param rows rows of cells
 * @param columns columns of cells
 * @param box left, bottom, right, top, grid units
 */
record Block(int row, int column, int rows, int columns, double[] box) {
    boolean isOneCell() {
        return rows == 1 && columns == 1;
    }

    /** Whether the border between its cells that halves it runs along x. */
    boolean isHalvedAlongY() {
        return rows > columns;
    }

    /** The cells below that border. */
    Block lowerHalf(double at) {
        boolean y = isHalvedAlongY();
        return new Block(row, column, y ? rows / 2 : rows, y ? columns : columns / 2, below(y, at).box);
    }

    /** The cells beyond it. */
    Block upperHalf(double at) {
        boolean y = isHalvedAlongY();
        int r = y ? rows / 2 : 0;
        int c = y ? 0 : columns / 2;
        return new Block(row + r, column + c, rows - r, columns - c, beyond(y, at).box);
    }

    /** The part below any border. */
    Block below(boolean alongY, double at) {
        double[] part = box.clone();
        part[alongY ? 3 : 2] = at;
        return new Block(row, column, rows, columns, part);
    }

    /** The part beyond it. */
    Block beyond(boolean alongY, double at) {
        double[] part = box.clone();
        part[alongY ? 1 : 0] = at;
        return new Block(row, column, rows, columns, part);
    }

    /** From a border to the nearer end. */
    double nearerEnd(boolean alongY, double at) {
        int low = alongY ? 1 : 0;
        return Math.min(at - box[low], box[low + 2] - at);
    }
}
