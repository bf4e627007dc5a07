package evendose.layout;

/**
 * Numbers of a repetition's copies, rising: of all, or of those whose offsets r, mapped by a matrix, lie in a box:
 *
 * <pre>left &le; a rx + b ry &le; right,   bottom &le; c rx + d ry &le; top</pre>
 *
 * <p>In a grid they are found by arithmetic on its indices, so that the cost does not depend on the number of copies. With U
 * and V the mapped column and row step, copy (i, j) lies at i U + j V. Eliminating i from
 *
 * <pre>
 * 0 &le; i &lt; columns,   left &le; i Ux + j Vx &le; right,   bottom &le; i Uy + j Vy &le; top
 * </pre>
 *
 * leaves three intervals for j, free of i; they hold the rows that can meet the box, and none of their conditions needs U and V
 * to be independent, or not zero. In each of these rows two intervals of i remain. Where U and V are nearly parallel there
 * may be many such rows without a copy; they are passed through. So are places that form no grid.
 *
 * <p>Works on rounded numbers and checks nothing. A copy is certain to be found if it keeps 2^-46 of the largest coordinate of
 * mapped copies and box from the box's sides; one that is found lies no farther outside. {@code CopiesPropertyTest} holds
 * both.
 */
abstract class Copies {
    /** The next copy's number, or -1 after the last. */
    abstract long next();

    /** Passes over the copies that follow the last one in its row, without a gap; returns their number. */
    long rest() {
        return 0;
    }

    /** No copy. */
    static Copies none() {
        return new All(0);
    }

    /** The first copy. */
    static Copies one() {
        return new All(1);
    }

    /** All copies. */
    static Copies all(Repetition repetition) {
        return new All(repetition.count());
    }

    /** The copies whose mapped offsets lie in {@code box}. */
    static Copies in(Box box, Repetition repetition, double a, double b, double c, double d) {
        if (repetition instanceof Repetition.Grid grid) {
            double columnX = (double) grid.columnSpanX() / grid.columns();
            double columnY = (double) grid.columnSpanY() / grid.columns();
            double rowX = (double) grid.rowSpanX() / grid.rows();
            double rowY = (double) grid.rowSpanY() / grid.rows();
            return new OfGrid(
                    box,
                    grid.columns(),
                    grid.rows(),
                    a * columnX + b * columnY,
                    c * columnX + d * columnY,
                    a * rowX + b * rowY,
                    c * rowX + d * rowY);
        }
        return new OfPlaces(box, repetition, a, b, c, d);
    }

    /** Counts. */
    private static final class All extends Copies {
        private final long count;
        private long next;

        All(long count) {
            this.count = count;
        }

        @Override
        long next() {
            return next < count ? next++ : -1;
        }
    }

    /** Walks through a list. */
    private static final class OfPlaces extends Copies {
        private final Box box;
        private final Repetition repetition;
        private final double a;
        private final double b;
        private final double c;
        private final double d;
        private final long count;
        private long next;

        OfPlaces(Box box, Repetition repetition, double a, double b, double c, double d) {
            this.box = box;
            this.repetition = repetition;
            this.a = a;
            this.b = b;
            this.c = c;
            this.d = d;
            this.count = repetition.count();
        }

        @Override
        long next() {
            while (next < count) {
                double x = repetition.x(next);
                double y = repetition.y(next);
                next++;
                if (box.holds(a * x + b * y, c * x + d * y)) {
                    return next - 1;
                }
            }
            return -1;
        }
    }

    /** Goes from row to row and, in each, from the first column in the box to the last. */
    private static final class OfGrid extends Copies {
        private final Box box;
        private final long columns;
        private final double ux;
        private final double uy;
        private final double vx;
        private final double vy;
        private final Range allColumns;
        private final Range rows;
        private final Range inRow = new Range(0, -1);
        private long row;
        private long column;

        OfGrid(Box box, int columns, int rows, double ux, double uy, double vx, double vy) {
            this.box = box;
            this.columns = columns;
            this.ux = ux;
            this.uy = uy;
            this.vx = vx;
            this.vy = vy;
            this.rows = new Range(0, rows - 1L);
            // The columns first: if none can meet the box, no row needs to be looked at.
            allColumns = new Range(0, columns - 1L);
            allColumns.keepThoseThatMeet(box, ux, uy, this.rows, vx, vy);
            this.rows.keepThoseThatMeet(box, vx, vy, allColumns, ux, uy);
            row = this.rows.first - 1;
        }

        @Override
        long next() {
            while (column > inRow.last) {
                if (row >= rows.last) {
                    return -1;
                }
                row++;
                inRow.first = allColumns.first;
                inRow.last = allColumns.last;
                inRow.keep(ux, box.left - row * vx, box.right - row * vx);
                inRow.keep(uy, box.bottom - row * vy, box.top - row * vy);
                column = inRow.first;
            }
            return column++ + row * columns;
        }

        @Override
        long rest() {
            long rest = Math.max(0, inRow.last + 1 - column);
            column += rest;
            return rest;
        }
    }

    /** The whole numbers from {@code first} to {@code last}; none if {@code last} is less. */
    private static final class Range {
        private long first;
        private long last;

        Range(long first, long last) {
            this.first = first;
            this.last = last;
        }

        /** Keeps the numbers n with {@code low <= step n <= high}. */
        void keep(double step, double low, double high) {
            if (step == 0) {
                if (low > 0 || high < 0) {
                    last = first - 1;
                }
                return;
            }
            double one = low / step;
            double other = high / step;
            first = Math.max(first, (long) Math.ceil(Math.min(one, other)));
            last = Math.min(last, (long) Math.floor(Math.max(one, other)));
        }

        /**
         * Keeps the numbers n for which {@code n (stepX, stepY) + m (otherX, otherY)} lies in the box for some real m within
         * {@code others}.
         */
        void keepThoseThatMeet(Box box, double stepX, double stepY, Range others, double otherX, double otherY) {
            if (others.last < others.first) {
                last = first - 1;
                return;
            }
            double oneX = others.first * otherX;
            double lastX = others.last * otherX;
            keep(stepX, box.left - Math.max(oneX, lastX), box.right - Math.min(oneX, lastX));
            double oneY = others.first * otherY;
            double lastY = others.last * otherY;
            keep(stepY, box.bottom - Math.max(oneY, lastY), box.top - Math.min(oneY, lastY));
            // Both conditions times the other step's components, one subtracted from the other: m drops out.
            double lowX = Math.min(otherY * box.left, otherY * box.right);
            double highX = Math.max(otherY * box.left, otherY * box.right);
            double lowY = Math.min(otherX * box.bottom, otherX * box.top);
            double highY = Math.max(otherX * box.bottom, otherX * box.top);
            keep(otherY * stepX - otherX * stepY, lowX - highY, highX - lowY);
        }
    }
}
