package evendose.energy;

import java.io.Serializable;

/**
 * The values of some nodes of a grid that tiles share: node ({@code column + c}, {@code row + r}) of the grid has
 * {@code values[r * columns + c]}.
 *
 * @serial exclude
 */
public final class GridPart implements Serializable {
    private static final long serialVersionUID = 1L;

    private final int column;
    private final int row;
    private final int columns;
    private final double[] values;

    /**
     * Takes values over.
     *
     * @param values row after row
     */
    GridPart(int column, int row, int columns, double[] values) {
        this.column = column;
        this.row = row;
        this.columns = columns;
        this.values = values;
    }

    /** First column. */
    int column() {
        return column;
    }

    /** First row. */
    int row() {
        return row;
    }

    /** Number of columns. */
    int columns() {
        return columns;
    }

    /** Number of rows. */
    int rows() {
        return values.length / columns;
    }

    /** Row after row, live. */
    double[] values() {
        return values;
    }

    /** The same values, shared, at another place. */
    GridPart moved(int byColumns, int byRows) {
        return new GridPart(column + byColumns, row + byRows, columns, values);
    }

    /** Largest difference of values from those of a part of the same size. */
    double difference(GridPart other) {
        double largest = 0;
        for (int i = 0; i < values.length; i++) {
            largest = Math.max(largest, Math.abs(values[i] - other.values[i]));
        }
        return largest;
    }

    @Override
    public String toString() {
        return "GridPart[" + columns + " x " + rows() + " nodes from (" + column + ", " + row + ")]";
    }
}
