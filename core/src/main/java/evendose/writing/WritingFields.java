package evendose.writing;

import evendose.pieces.Pieces;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.BitSet;
import java.util.Comparator;
import java.util.List;

/**
 * The square writing fields that cover a layout and what their borders cut. The fewest fields that cover the layout's extent are
 * laid as one grid centred on it; fields that hold nothing are not written.
 */
public final class WritingFields {
    /** Most fields in the grid. */
    public static final long MOST = 100_000_000;

    /** Overlaps thinner than this are rounding, um. */
    private static final double ROUNDING_UM = 1e-6;

    private static final int INSIDE = 0;
    private static final int ENDS_BEFORE = 1;
    private static final int BEGINS_AFTER = 2;

    private final double fieldUm;
    private final double leftUm;
    private final double bottomUm;
    private final int columns;
    private final int rows;
    private final BitSet written = new BitSet();
    private long parts;
    private final List<FieldCut> cuts = new ArrayList<>();
    private int cutShapes;

    /** Where a piece meets a border: within it, or with a side on it, from one side or the other. */
    private record Contact(boolean vertical, int border, int shape, int kind, double from, double to) {}

    private WritingFields(double fieldUm, double[] boundsUm) {
        double wide = Math.max(1, Math.ceil((boundsUm[2] - boundsUm[0] - ROUNDING_UM) / fieldUm));
        double high = Math.max(1, Math.ceil((boundsUm[3] - boundsUm[1] - ROUNDING_UM) / fieldUm));
        if (wide * high > MOST) {
            throw new IllegalArgumentException("fields of " + fieldUm + " um are too small for this layout");
        }
        this.fieldUm = fieldUm;
        this.columns = (int) wide;
        this.rows = (int) high;
        this.leftUm = 0.5 * (boundsUm[0] + boundsUm[2] - columns * fieldUm);
        this.bottomUm = 0.5 * (boundsUm[1] + boundsUm[3] - rows * fieldUm);
    }

    /**
     * Lays the fields.
     *
     * @param pieces at least one
     * @param fieldUm side of a field, um, positive
     * @return the fields
     * @throws IllegalArgumentException if the field size is not positive or far too small
     */
    static WritingFields of(DosedPieces pieces, double fieldUm) {
        if (!(fieldUm > 0) || Double.isInfinite(fieldUm)) {
            throw new IllegalArgumentException("the field size must be positive (um), got " + fieldUm);
        }
        WritingFields fields = new WritingFields(fieldUm, pieces.pieces().boundsUm());
        List<Contact> contacts = new ArrayList<>();
        for (int i = 0; i < pieces.size(); i++) {
            fields.place(pieces, i, contacts);
        }
        fields.gather(contacts);
        return fields;
    }

    /** Fields along one axis: which of them a span meets, and which borders. */
    private record Axis(double startUm, double fieldUm, int fields) {
        int first(double fromUm) {
            return Math.max(0, (int) Math.floor((fromUm + ROUNDING_UM - startUm) / fieldUm));
        }

        int last(double toUm) {
            return Math.min(fields - 1, (int) Math.ceil((toUm - ROUNDING_UM - startUm) / fieldUm) - 1);
        }

        int firstBorder(double fromUm) {
            return Math.max(1, (int) Math.ceil((fromUm - ROUNDING_UM - startUm) / fieldUm));
        }

        int lastBorder(double toUm) {
            return Math.min(fields - 1, (int) Math.floor((toUm + ROUNDING_UM - startUm) / fieldUm));
        }

        double border(int k) {
            return startUm + k * fieldUm;
        }
    }

    private void place(DosedPieces p, int i, List<Contact> contacts) {
        boolean standing = p.pieces().standing(i);
        Axis x = new Axis(leftUm, fieldUm, columns);
        Axis y = new Axis(bottomUm, fieldUm, rows);
        // In the piece's own frame: along its parallel sides, and across them.
        Axis along = standing ? y : x;
        Axis across = standing ? x : y;
        Side from = new Side(p.pieces().fromLowUm()[i], p.pieces().fromHighUm()[i], p.pieces(), i);
        Side to = new Side(p.pieces().toLowUm()[i], p.pieces().toHighUm()[i], p.pieces(), i);
        markFields(standing, along, across, from, to);
        parallelBorders(standing, across, from, to, p.shape(i), contacts);
        crossingBorders(standing, along, from, to, p.shape(i), contacts);
    }

    /** A side of a piece between its parallel ones, which lie at {@code low} and {@code high}. */
    private record Side(double atLow, double atHigh, double low, double high) {
        Side(double atLow, double atHigh, Pieces p, int i) {
            this(atLow, atHigh, p.lowUm()[i], p.highUm()[i]);
        }

        double at(double v) {
            return atLow + (v - low) / (high - low) * (atHigh - atLow);
        }

        boolean liesOn(double u) {
            return Math.abs(atLow - u) <= ROUNDING_UM && Math.abs(atHigh - u) <= ROUNDING_UM;
        }
    }

    private void markFields(boolean standing, Axis along, Axis across, Side from, Side to) {
        int firstLine = across.first(from.low());
        int lastLine = across.last(from.high());
        for (int k = firstLine; k <= Math.max(firstLine, lastLine); k++) {
            double a = Math.max(from.low(), across.border(k));
            double b = Math.min(from.high(), across.border(k + 1));
            int first = along.first(Math.min(from.at(a), from.at(b)));
            int last = Math.max(first, along.last(Math.max(to.at(a), to.at(b))));
            for (int m = first; m <= last; m++) {
                written.set(standing ? m * columns + k : k * columns + m);
            }
            parts += last - first + 1;
        }
    }

    private static void parallelBorders(
            boolean standing, Axis across, Side from, Side to, int shape, List<Contact> contacts) {
        int last = across.lastBorder(from.high());
        for (int k = across.firstBorder(from.low()); k <= last; k++) {
            double v = across.border(k);
            int kind = Math.abs(v - from.high()) <= ROUNDING_UM
                    ? ENDS_BEFORE
                    : Math.abs(v - from.low()) <= ROUNDING_UM ? BEGINS_AFTER : INSIDE;
            double at = Math.min(from.high(), Math.max(from.low(), v));
            contacts.add(new Contact(standing, k, shape, kind, from.at(at), to.at(at)));
        }
    }

    private static void crossingBorders(
            boolean standing, Axis along, Side from, Side to, int shape, List<Contact> contacts) {
        int last = along.lastBorder(Math.max(to.atLow(), to.atHigh()));
        for (int k = along.firstBorder(Math.min(from.atLow(), from.atHigh())); k <= last; k++) {
            double u = along.border(k);
            // Where the piece has begun before the border and not ended yet.
            double[] within = {from.low(), from.high()};
            int kind = INSIDE;
            if (from.liesOn(u)) {
                kind = BEGINS_AFTER;
            } else {
                clip(within, from.atLow() - u, from.atHigh() - u, from.low(), from.high());
            }
            if (to.liesOn(u)) {
                kind = ENDS_BEFORE;
            } else {
                clip(within, u - to.atLow(), u - to.atHigh(), from.low(), from.high());
            }
            if (within[1] - within[0] > ROUNDING_UM) {
                contacts.add(new Contact(!standing, k, shape, kind, within[0], within[1]));
            }
        }
    }

    /** Keeps of {@code within} where the linear function from {@code atLow} to {@code atHigh} is not positive. */
    private static void clip(double[] within, double atLow, double atHigh, double low, double high) {
        if (atLow <= 0 && atHigh <= 0) {
            return;
        }
        if (atLow > 0 && atHigh > 0) {
            within[1] = within[0];
            return;
        }
        double zero = low + (high - low) * atLow / (atLow - atHigh);
        if (atLow > 0) {
            within[0] = Math.max(within[0], zero);
        } else {
            within[1] = Math.min(within[1], zero);
        }
    }

    /** Joins what pieces of one shape contribute: inside spans, and spans that touch a border from both sides. */
    private void gather(List<Contact> contacts) {
        contacts.sort(Comparator.comparing(Contact::vertical)
                .thenComparingInt(Contact::border)
                .thenComparingInt(Contact::shape)
                .thenComparingDouble(Contact::from)
                .thenComparingDouble(Contact::to)
                .thenComparingInt(Contact::kind));
        BitSet shapes = new BitSet();
        for (int from = 0; from < contacts.size(); ) {
            Contact head = contacts.get(from);
            int to = from;
            List<double[]> spans = new ArrayList<>();
            List<Contact> before = new ArrayList<>();
            List<Contact> after = new ArrayList<>();
            while (to < contacts.size() && sameBorderAndShape(head, contacts.get(to))) {
                Contact c = contacts.get(to++);
                switch (c.kind()) {
                    case INSIDE -> spans.add(new double[] {c.from(), c.to()});
                    case ENDS_BEFORE -> before.add(c);
                    default -> after.add(c);
                }
            }
            overlaps(before, after, spans);
            join(head, spans, shapes);
            from = to;
        }
        cutShapes = shapes.cardinality();
    }

    private static boolean sameBorderAndShape(Contact a, Contact b) {
        return a.vertical() == b.vertical() && a.border() == b.border() && a.shape() == b.shape();
    }

    /** Both lists are sorted and free of overlaps among themselves. */
    private static void overlaps(List<Contact> before, List<Contact> after, List<double[]> spans) {
        for (int a = 0, b = 0; a < before.size() && b < after.size(); ) {
            double from = Math.max(before.get(a).from(), after.get(b).from());
            double to = Math.min(before.get(a).to(), after.get(b).to());
            if (to - from > ROUNDING_UM) {
                spans.add(new double[] {from, to});
            }
            if (before.get(a).to() < after.get(b).to()) {
                a++;
            } else {
                b++;
            }
        }
    }

    private void join(Contact head, List<double[]> spans, BitSet shapes) {
        spans.sort(Comparator.comparingDouble((double[] s) -> s[0]).thenComparingDouble(s -> s[1]));
        double border = head.vertical() ? leftUm + head.border() * fieldUm : bottomUm + head.border() * fieldUm;
        double[] open = null;
        for (double[] span : spans) {
            if (open != null && span[0] <= open[1] + ROUNDING_UM) {
                open[1] = Math.max(open[1], span[1]);
            } else {
                if (open != null) {
                    cuts.add(new FieldCut(head.shape(), head.vertical(), border, open[0], open[1]));
                }
                open = Arrays.copyOf(span, 2);
            }
        }
        if (open != null) {
            cuts.add(new FieldCut(head.shape(), head.vertical(), border, open[0], open[1]));
            shapes.set(head.shape());
        }
    }

    /** {@return side of a field, um} */
    public double fieldUm() {
        return fieldUm;
    }

    /** {@return x of the grid's left border, um} */
    public double leftUm() {
        return leftUm;
    }

    /** {@return y of the grid's lower border, um} */
    public double bottomUm() {
        return bottomUm;
    }

    /** {@return columns of the grid} */
    public int columns() {
        return columns;
    }

    /** {@return rows of the grid} */
    public int rows() {
        return rows;
    }

    /**
     * {@return whether the field in that column and row holds something}
     *
     * @param column number of the column, from 0
     * @param row number of the row, from 0
     */
    public boolean isWritten(int column, int row) {
        return written.get((int) ((long) row * columns + column));
    }

    /** {@return number of fields that hold something} */
    public int count() {
        return written.cardinality();
    }

    /** Number of pieces when those that lie across a border count once in each field. */
    long parts() {
        return parts;
    }

    /** {@return number of shapes that a border cuts} */
    public int cutShapes() {
        return cutShapes;
    }

    /** {@return all cuts: horizontal borders upwards, then vertical ones to the right; along each by shape and position} */
    public List<FieldCut> cuts() {
        return List.copyOf(cuts);
    }

    /** What counts for equality: the grid, what is written, and the cuts. */
    private List<Object> values() {
        return List.of(fieldUm, leftUm, bottomUm, columns, rows, written, parts, cuts);
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof WritingFields o && values().equals(o.values());
    }

    @Override
    public int hashCode() {
        return values().hashCode();
    }
}
