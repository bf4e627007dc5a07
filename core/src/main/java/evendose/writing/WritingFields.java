package evendose.writing;

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
     * @throws IllegalArgumentException if the field size is not positive or far too small
     */
    public static WritingFields of(DosedPieces pieces, double fieldUm) {
        if (!(fieldUm > 0) || Double.isInfinite(fieldUm)) {
            throw new IllegalArgumentException("the field size must be positive (um), got " + fieldUm);
        }
        WritingFields fields = new WritingFields(fieldUm, pieces.boundsUm());
        List<Contact> contacts = new ArrayList<>();
        for (int i = 0; i < pieces.size(); i++) {
            fields.place(pieces, i, contacts);
        }
        fields.gather(contacts);
        return fields;
    }

    private void place(DosedPieces p, int i, List<Contact> contacts) {
        double yb = p.yBottomUm(i);
        double yt = p.yTopUm(i);
        int firstRow = Math.max(0, (int) Math.floor((yb + ROUNDING_UM - bottomUm) / fieldUm));
        int lastRow = Math.min(rows - 1, (int) Math.ceil((yt - ROUNDING_UM - bottomUm) / fieldUm) - 1);
        for (int r = firstRow; r <= Math.max(firstRow, lastRow); r++) {
            double a = Math.max(yb, bottomUm + r * fieldUm);
            double b = Math.min(yt, bottomUm + (r + 1) * fieldUm);
            double xl = Math.min(left(p, i, a), left(p, i, b));
            double xr = Math.max(right(p, i, a), right(p, i, b));
            int first = Math.max(0, (int) Math.floor((xl + ROUNDING_UM - leftUm) / fieldUm));
            int last = Math.min(columns - 1, (int) Math.ceil((xr - ROUNDING_UM - leftUm) / fieldUm) - 1);
            last = Math.max(first, last);
            written.set((int) ((long) r * columns + first), (int) ((long) r * columns + last) + 1);
            parts += last - first + 1;
        }
        horizontalBorders(p, i, contacts);
        verticalBorders(p, i, contacts);
    }

    private void horizontalBorders(DosedPieces p, int i, List<Contact> contacts) {
        double yb = p.yBottomUm(i);
        double yt = p.yTopUm(i);
        int first = Math.max(1, (int) Math.ceil((yb - ROUNDING_UM - bottomUm) / fieldUm));
        int last = Math.min(rows - 1, (int) Math.floor((yt + ROUNDING_UM - bottomUm) / fieldUm));
        for (int k = first; k <= last; k++) {
            double y = bottomUm + k * fieldUm;
            int kind = Math.abs(y - yt) <= ROUNDING_UM
                    ? ENDS_BEFORE
                    : Math.abs(y - yb) <= ROUNDING_UM ? BEGINS_AFTER : INSIDE;
            double at = Math.min(yt, Math.max(yb, y));
            contacts.add(new Contact(false, k, p.shape(i), kind, left(p, i, at), right(p, i, at)));
        }
    }

    private void verticalBorders(DosedPieces p, int i, List<Contact> contacts) {
        double xl = Math.min(p.xLeftBottomUm(i), p.xLeftTopUm(i));
        double xr = Math.max(p.xRightBottomUm(i), p.xRightTopUm(i));
        int first = Math.max(1, (int) Math.ceil((xl - ROUNDING_UM - leftUm) / fieldUm));
        int last = Math.min(columns - 1, (int) Math.floor((xr + ROUNDING_UM - leftUm) / fieldUm));
        for (int k = first; k <= last; k++) {
            double x = leftUm + k * fieldUm;
            // The heights at which the left side lies left of the border and the right side right of it.
            double[] within = {p.yBottomUm(i), p.yTopUm(i)};
            int kind = INSIDE;
            if (uprightAt(p.xLeftBottomUm(i), p.xLeftTopUm(i), x)) {
                kind = BEGINS_AFTER;
            } else {
                clip(within, p.xLeftBottomUm(i) - x, p.xLeftTopUm(i) - x, p.yBottomUm(i), p.yTopUm(i));
            }
            if (uprightAt(p.xRightBottomUm(i), p.xRightTopUm(i), x)) {
                kind = ENDS_BEFORE;
            } else {
                clip(within, x - p.xRightBottomUm(i), x - p.xRightTopUm(i), p.yBottomUm(i), p.yTopUm(i));
            }
            if (within[1] - within[0] > ROUNDING_UM) {
                contacts.add(new Contact(true, k, p.shape(i), kind, within[0], within[1]));
            }
        }
    }

    private static boolean uprightAt(double xBottom, double xTop, double x) {
        return Math.abs(xBottom - x) <= ROUNDING_UM && Math.abs(xTop - x) <= ROUNDING_UM;
    }

    /** Keeps of {@code within} where the linear function from {@code atBottom} to {@code atTop} is not positive. */
    private static void clip(double[] within, double atBottom, double atTop, double yBottom, double yTop) {
        if (atBottom <= 0 && atTop <= 0) {
            return;
        }
        if (atBottom > 0 && atTop > 0) {
            within[1] = within[0];
            return;
        }
        double zero = yBottom + (yTop - yBottom) * atBottom / (atBottom - atTop);
        if (atBottom > 0) {
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

    private static double left(DosedPieces p, int i, double y) {
        double t = (y - p.yBottomUm(i)) / (p.yTopUm(i) - p.yBottomUm(i));
        return p.xLeftBottomUm(i) + t * (p.xLeftTopUm(i) - p.xLeftBottomUm(i));
    }

    private static double right(DosedPieces p, int i, double y) {
        double t = (y - p.yBottomUm(i)) / (p.yTopUm(i) - p.yBottomUm(i));
        return p.xRightBottomUm(i) + t * (p.xRightTopUm(i) - p.xRightBottomUm(i));
    }

    /** Side of a field, um. */
    public double fieldUm() {
        return fieldUm;
    }

    /** x of the grid's left border, um. */
    public double leftUm() {
        return leftUm;
    }

    /** y of the grid's lower border, um. */
    public double bottomUm() {
        return bottomUm;
    }

    /** Columns of the grid. */
    public int columns() {
        return columns;
    }

    /** Rows of the grid. */
    public int rows() {
        return rows;
    }

    /** Whether the field in that column and row holds something. */
    public boolean isWritten(int column, int row) {
        return written.get((int) ((long) row * columns + column));
    }

    /** Number of fields that hold something. */
    public int count() {
        return written.cardinality();
    }

    /** Number of pieces when those that lie across a border count once in each field. */
    public long parts() {
        return parts;
    }

    /** Number of shapes that a border cuts. */
    public int cutShapes() {
        return cutShapes;
    }

    /** All cuts: horizontal borders upwards, then vertical ones to the right; along each by shape and position. */
    public List<FieldCut> cuts() {
        return List.copyOf(cuts);
    }
}
