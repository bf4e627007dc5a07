package evendose.layout;

/**
 * A regular array of placements. Place (column i, row j) lies at
 *
 * <pre>i (columnSpanX, columnSpanY) / columns + j (rowSpanX, rowSpanY) / rows</pre>
 *
 * <p>from the first one. The spans reach one step beyond the last place, as GDSII writes them; a step need not be whole.
 *
 * @param columns number of columns, at least 1
 * @param rows number of rows, at least 1
 * @param columnSpanX columns times the column step, x, dbu
 * @param columnSpanY columns times the column step, y, dbu
 * @param rowSpanX rows times the row step, x, dbu
 * @param rowSpanY rows times the row step, y, dbu
 */
public record Repetition(int columns, int rows, long columnSpanX, long columnSpanY, long rowSpanX, long rowSpanY) {
    /** One placement. */
    public static final Repetition ONCE = new Repetition(1, 1, 0, 0, 0, 0);

    public Repetition {
        if (columns < 1 || rows < 1) {
            throw new IllegalArgumentException("an array needs columns and rows, got " + columns + " x " + rows);
        }
    }

    /** Number of placements. */
    public long count() {
        return (long) columns * rows;
    }
}
