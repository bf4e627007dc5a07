package evendose.layout;

import evendose.files.BadInputException;
import evendose.geometry.PolygonSink;
import evendose.geometry.Polygons;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;

/**
 * Walks the tree of placements with the composed transformation
 *
 * <pre>x' = a x + b y + tx,   y' = c x + d y + ty</pre>
 *
 * in {@code double}. Whole numbers below 2^53 are exact there, and coordinates are held to 2^42, so at multiples of 90
 * degrees with magnification 1 this is integer arithmetic.
 */
final class FlattenKernel implements Shapes.Visitor {
    private final Layout layout;
    private final long limit;
    private final PolygonSink sink;
    private final Map<Cell, Plan> plans = new HashMap<>();
    private final Window window;
    private final long absoluteReach;
    /** The window with a margin, for whole cells; null without a window. */
    private final Box clip;

    private final Shapes.Choice choice;
    private final PathOutline pathOutline = new PathOutline();

    private long[] points = new long[64];
    private int group;
    private double a;
    private double b;
    private double c;
    private double d;
    private double tx;
    private double ty;
    private long emitted;

    /** What is needed of one cell: its wanted shapes, the placements that lead to wanted shapes, and its extent. */
    static final class Plan {
        final int number;
        final List<Shapes> shapes = new ArrayList<>();
        final List<Integer> groups = new ArrayList<>();
        final List<Placed> placed = new ArrayList<>();
        final Box box = new Box();
        long count;

        Plan(int number) {
            this.number = number;
        }
    }

    /** A placement with its matrix. */
    static final class Placed {
        final Plan plan;
        final Repetition repetition;
        final double a;
        final double b;
        final double c;
        final double d;
        final double x;
        final double y;

        Placed(Plan plan, Reference reference) {
            this.plan = plan;
            this.repetition = reference.repetition();
            Transform t = reference.transform();
            double cosine = t.magnification() * t.cosine();
            double sine = t.magnification() * t.sine();
            double flip = t.mirrored() ? -1 : 1;
            this.a = cosine;
            this.b = -sine * flip;
            this.c = sine;
            this.d = cosine * flip;
            this.x = t.x();
            this.y = t.y();
        }

        /** Extends {@code box} by the extent of all copies. */
        void extend(Box box) {
            Box child = plan.box;
            for (int corner = 0; corner < 4; corner++) {
                double px = (corner & 1) == 0 ? child.left : child.right;
                double py = (corner & 2) == 0 ? child.bottom : child.top;
                double cx = a * px + b * py + x;
                double cy = c * px + d * py + y;
                box.include(cx + repetition.left(), cy + repetition.bottom());
                box.include(cx + repetition.right(), cy + repetition.top());
            }
        }
    }

    FlattenKernel(Layout layout, Map<Layer, Integer> groups, long limit, Window window, PolygonSink sink) {
        this.layout = layout;
        this.limit = limit;
        this.sink = sink;
        long reach = 0;
        for (Cell cell : layout.bottomUp()) {
            Plan plan = new Plan(plans.size());
            for (Map.Entry<Layer, Shapes> entry : cell.shapes().entrySet()) {
                Integer wanted = groups.get(entry.getKey());
                Shapes shapes = entry.getValue();
                if (wanted != null && shapes.size() > 0) {
                    plan.shapes.add(shapes);
                    plan.groups.add(wanted);
                    plan.count = saturatedSum(plan.count, shapes.size());
                    plan.box.include(shapes.left(), shapes.bottom());
                    plan.box.include(shapes.right(), shapes.top());
                    reach = Math.max(reach, shapes.absoluteReach());
                }
            }
            for (Reference reference : cell.references()) {
                Plan child = plans.get(layout.cells().get(reference.cell()));
                if (child != null) {
                    Placed placed = new Placed(child, reference);
                    plan.placed.add(placed);
                    plan.count = saturatedSum(
                            plan.count,
                            saturatedProduct(child.count, reference.repetition().count()));
                    placed.extend(plan.box);
                }
            }
            if (plan.count > 0) {
                plans.put(cell, plan);
            }
        }
        this.absoluteReach = reach;
        this.window = window;
        clip = window == null ? null : new Box();
        choice = window == null ? (box, repetition) -> Copies.all(repetition) : new InClip();
        if (window != null) {
            // One dbu more for rounding, and more where widths do not shrink with the cell that holds them.
            double margin = 1 + absoluteReach;
            clip.include(window.left() - margin, window.bottom() - margin);
            clip.include(window.right() + margin, window.top() + margin);
        }
    }

    /** What is needed of a cell; null if nothing is. */
    Plan plan(Cell cell) {
        return plans.get(cell);
    }

    /** Largest reach of a path of absolute width. */
    long absoluteReach() {
        return absoluteReach;
    }

    /** The extent of what {@link #run} would walk, without walking. */
    Box extent(List<Cell> roots) {
        Box extent = new Box();
        for (Cell root : roots) {
            Plan plan = plans.get(root);
            if (plan != null) {
                refuseTooWide(root, plan);
                extent.include(plan.box.left, plan.box.bottom);
                extent.include(plan.box.right, plan.box.top);
            }
        }
        return extent;
    }

    void run(List<Cell> roots) {
        long count = 0;
        for (Cell root : roots) {
            Plan plan = plans.get(root);
            if (plan != null) {
                count = saturatedSum(count, plan.count);
                refuseTooWide(root, plan);
            }
        }
        if (window == null && count > limit) {
            throw tooMany(count == Long.MAX_VALUE ? "more than " + count : "" + count);
        }
        for (Cell root : roots) {
            Plan plan = plans.get(root);
            if (plan != null) {
                walk(plan, 1, 0, 0, 1, 0, 0);
            }
        }
    }

    private void refuseTooWide(Cell root, Plan plan) {
        // Turned round so that overflow to infinity and what follows from it is caught as well.
        if (!(plan.box.largest() <= Polygons.MAX_COORDINATE)) {
            throw new BadInputException(
                    layout.source(),
                    "cell " + root.name(),
                    "extends to " + (Double.isFinite(plan.box.largest()) ? plan.box.largest() : "infinity")
                            + " dbu, beyond the limit of " + Polygons.MAX_COORDINATE
                            + "; check its placements or use a coarser database unit");
        }
    }

    static long saturatedProduct(long x, long y) {
        return x != 0 && y > Long.MAX_VALUE / x ? Long.MAX_VALUE : x * y;
    }

    static long saturatedSum(long x, long y) {
        return x > Long.MAX_VALUE - y ? Long.MAX_VALUE : x + y;
    }

    private BadInputException tooMany(String count) {
        return new BadInputException(
                layout.source(),
                "",
                "flattening gives " + count + " polygons, beyond the limit of " + limit
                        + "; choose fewer layers, a smaller cell or a higher limit");
    }

    private void walk(Plan plan, double ma, double mb, double mc, double md, double mx, double my) {
        if (clip != null && !room(clip, plan.box, ma, mb, mc, md, mx, my).holds(0, 0)) {
            return;
        }
        for (int i = 0; i < plan.shapes.size(); i++) {
            a = ma;
            b = mb;
            c = mc;
            d = md;
            tx = mx;
            ty = my;
            group = plan.groups.get(i);
            plan.shapes.get(i).forEach(this, choice);
        }
        for (Placed p : plan.placed) {
            double na = ma * p.a + mb * p.c;
            double nb = ma * p.b + mb * p.d;
            double nc = mc * p.a + md * p.c;
            double nd = mc * p.b + md * p.d;
            Copies copies = clip == null || p.repetition.count() == 1
                    ? Copies.all(p.repetition)
                    : Copies.in(
                            room(clip, p.plan.box, na, nb, nc, nd, ma * p.x + mb * p.y + mx, mc * p.x + md * p.y + my),
                            p.repetition,
                            ma,
                            mb,
                            mc,
                            md);
            for (long k = copies.next(); k >= 0; k = copies.next()) {
                double x = p.x + p.repetition.x(k);
                double y = p.y + p.repetition.y(k);
                walk(p.plan, na, nb, nc, nd, ma * x + mb * y + mx, mc * x + md * y + my);
            }
        }
    }

    /** What can meet the clip of the shapes of the cell that is being walked. */
    private final class InClip implements Shapes.Choice {
        @Override
        public Copies of(Box box, Repetition repetition) {
            return Copies.in(room(clip, box, a, b, c, d, tx, ty), repetition, a, b, c, d);
        }

        @Override
        public boolean sees(Box box) {
            return room(clip, box, a, b, c, d, tx, ty).holds(0, 0);
        }
    }

    /** The shifts by which {@code box}, mapped, still meets the clip. */
    static Box room(Box clip, Box box, double ma, double mb, double mc, double md, double mx, double my) {
        double centreX = 0.5 * (box.left + box.right);
        double centreY = 0.5 * (box.bottom + box.top);
        double halfX = 0.5 * (box.right - box.left);
        double halfY = 0.5 * (box.top - box.bottom);
        double x = ma * centreX + mb * centreY + mx;
        double y = mc * centreX + md * centreY + my;
        double reachX = Math.abs(ma) * halfX + Math.abs(mb) * halfY;
        double reachY = Math.abs(mc) * halfX + Math.abs(md) * halfY;
        return new Box()
                .include(clip.left - reachX - x, clip.bottom - reachY - y)
                .include(clip.right + reachX - x, clip.top + reachY - y);
    }

    @Override
    public void rectangle(long x0, long y0, long x1, long y1) {
        if ((b == 0 && c == 0) || (a == 0 && d == 0)) {
            long xa = round(a * x0 + b * y0 + tx);
            long ya = round(c * x0 + d * y0 + ty);
            long xb = round(a * x1 + b * y1 + tx);
            long yb = round(c * x1 + d * y1 + ty);
            if (window == null || meetsWindow(Math.min(xa, xb), Math.min(ya, yb), Math.max(xa, xb), Math.max(ya, yb))) {
                count();
                sink.addRectangle(group, xa, ya, xb, yb);
            }
            return;
        }
        place(0, x0, y0);
        place(1, x1, y0);
        place(2, x1, y1);
        place(3, x0, y1);
        emit(4);
    }

    @Override
    public void polygon(long[] xy, int n) {
        reserve(n);
        for (int i = 0; i < n; i++) {
            place(i, xy[2 * i], xy[2 * i + 1]);
        }
        emit(n);
    }

    @Override
    public void path(PathStyle style, long[] spine, int n) {
        int outlined = pathOutline.outline(style, spine, n, Math.sqrt(Math.abs(a * d - b * c)));
        double[] xy = pathOutline.xy();
        reserve(outlined);
        for (int i = 0; i < outlined; i++) {
            place(i, xy[2 * i], xy[2 * i + 1]);
        }
        emit(outlined);
    }

    private void reserve(int n) {
        if (points.length < 2 * n) {
            points = new long[Math.max(2 * n, 2 * points.length)];
        }
    }

    private void place(int i, double x, double y) {
        points[2 * i] = round(a * x + b * y + tx);
        points[2 * i + 1] = round(c * x + d * y + ty);
    }

    private void emit(int n) {
        if (window != null) {
            long left = Long.MAX_VALUE;
            long bottom = Long.MAX_VALUE;
            long right = Long.MIN_VALUE;
            long top = Long.MIN_VALUE;
            for (int i = 0; i < n; i++) {
                left = Math.min(left, points[2 * i]);
                right = Math.max(right, points[2 * i]);
                bottom = Math.min(bottom, points[2 * i + 1]);
                top = Math.max(top, points[2 * i + 1]);
            }
            if (!meetsWindow(left, bottom, right, top)) {
                return;
            }
        }
        count();
        sink.addPolygon(group, points, n);
    }

    private boolean meetsWindow(long left, long bottom, long right, long top) {
        return left <= window.right() && right >= window.left() && bottom <= window.top() && top >= window.bottom();
    }

    private void count() {
        if (++emitted > limit) {
            throw tooMany("more than " + limit);
        }
    }

    /** Nearest whole number, halves upwards, so that rounding does not depend on where a shape lies. */
    private static long round(double value) {
        return (long) Math.floor(value + 0.5);
    }
}
