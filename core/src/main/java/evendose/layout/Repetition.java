package evendose.layout;

import java.io.Serializable;

/**
 * Where the copies of a repeated shape or placement lie, as offsets from the shape's or placement's own position. It stays as
 * compact as the file has it; copies come into being when a layout is flattened.
 */
public sealed interface Repetition extends Serializable {
    /** One copy, in its place. */
    Repetition ONCE = new Grid(1, 1, 0, 0, 0, 0);

    /** {@return number of copies, at least 1} */
    long count();

    /**
     * {@return offset along x of copy {@code k}, 0 to {@code count() - 1}, dbu}
     *
     * @param k number of the copy, from 0
     */
    double x(long k);

    /**
     * {@return offset along y of copy {@code k}, dbu}
     *
     * @param k number of the copy, from 0
     */
    double y(long k);

    /** {@return smallest offset along x} */
    double left();

    /** {@return smallest offset along y} */
    double bottom();

    /** {@return largest offset along x} */
    double right();

    /** {@return largest offset along y} */
    double top();

    /**
     * A regular array. Place (column i, row j) lies at
     *
     * <pre>i (columnSpanX, columnSpanY) / columns + j (rowSpanX, rowSpanY) / rows</pre>
     *
     * <p>from the first one, and is number {@code k = i + j columns}. The spans reach one step beyond the last place, as GDSII
     * writes them; a step need not be whole.
     *
     * @param columns number of columns, at least 1
     * @param rows number of rows, at least 1
     * @param columnSpanX columns times the column step, x, dbu
     * @param columnSpanY columns times the column step, y, dbu
     * @param rowSpanX rows times the row step, x, dbu
     * @param rowSpanY rows times the row step, y, dbu
     * @serial exclude
     */
    record Grid(int columns, int rows, long columnSpanX, long columnSpanY, long rowSpanX, long rowSpanY)
            implements Repetition {
        /** Checks that values lie in their ranges. {@inheritDoc} */
        public Grid {
            if (columns < 1 || rows < 1) {
                throw new IllegalArgumentException("an array needs columns and rows, got " + columns + " x " + rows);
            }
        }

        @Override
        public long count() {
            return (long) columns * rows;
        }

        @Override
        public double x(long k) {
            return at(columnSpanX, k % columns, columns) + at(rowSpanX, k / columns, rows);
        }

        @Override
        public double y(long k) {
            return at(columnSpanY, k % columns, columns) + at(rowSpanY, k / columns, rows);
        }

        @Override
        public double left() {
            return Math.min(0, last(columnSpanX, columns)) + Math.min(0, last(rowSpanX, rows));
        }

        @Override
        public double bottom() {
            return Math.min(0, last(columnSpanY, columns)) + Math.min(0, last(rowSpanY, rows));
        }

        @Override
        public double right() {
            return Math.max(0, last(columnSpanX, columns)) + Math.max(0, last(rowSpanX, rows));
        }

        @Override
        public double top() {
            return Math.max(0, last(columnSpanY, columns)) + Math.max(0, last(rowSpanY, rows));
        }

        private static double at(long span, long step, int steps) {
            return (double) span * step / steps;
        }

        private static double last(long span, int steps) {
            return at(span, steps - 1, steps);
        }
    }

    /**
     * Copies at places of their own.
     *
     * @serial exclude
     */
    final class Places implements Repetition {
        private static final long serialVersionUID = 1L;

        /** Offsets x0, y0, x1, y1, ... */
        private final long[] xy;

        private final long left;
        private final long bottom;
        private final long right;
        private final long top;

        /**
         * Copies at the given places and no others.
         *
         * @param xy offsets x0, y0, x1, y1, ... in dbu, one copy a pair
         */
        public Places(long[] xy) {
            if (xy.length == 0 || (xy.length & 1) != 0) {
                throw new IllegalArgumentException("offsets come in pairs, got " + xy.length + " numbers");
            }
            this.xy = xy.clone();
            long[] least = {xy[0], xy[1]};
            long[] most = {xy[0], xy[1]};
            for (int i = 0; i < xy.length; i++) {
                least[i & 1] = Math.min(least[i & 1], xy[i]);
                most[i & 1] = Math.max(most[i & 1], xy[i]);
            }
            left = least[0];
            bottom = least[1];
            right = most[0];
            top = most[1];
        }

        @Override
        public long count() {
            return xy.length / 2;
        }

        @Override
        public double x(long k) {
            return xy[(int) (2 * k)];
        }

        @Override
        public double y(long k) {
            return xy[(int) (2 * k + 1)];
        }

        @Override
        public double left() {
            return left;
        }

        @Override
        public double bottom() {
            return bottom;
        }

        @Override
        public double right() {
            return right;
        }

        @Override
        public double top() {
            return top;
        }

        @Override
        public String toString() {
            return "Places[" + count() + "]";
        }
    }
}
