package evendose.layout;

import evendose.layout.FlattenKernel.Placed;
import evendose.layout.FlattenKernel.Plan;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.Optional;

/**
 * Describes what windows of a layout hold, without flattening it: which cells, shapes and rows of arrays come into a window, and where they lie in
 * it. Windows of one size with the same description hold the same shapes, moved by whole dbu; the converse need not hold. A cell that lies in the
 * window, or is small beside it, is named; a larger one is looked into.
 */
public final class WindowContents {
    /** A cell of more shapes than this is not looked into: who draws so much flat repeats little. */
    private static final long MOST_STORED = 20_000;

    private static final int MOST_RECORDS = 200_000;

    /** A cell smaller than this share of the window, either way, is not looked into. */
    private static final double SMALL = 0.25;

    private static final long PLACED = 0;
    private static final long SHAPE = 1;
    private static final long ABSOLUTE = 2;

    private final FlattenKernel plans;
    private final List<Cell> roots;

    private Window window = new Window(0, 0, 0, 0);
    private Box clip = new Box();
    private List<long[]> records = List.of();
    private boolean tooMany;

    WindowContents(FlattenKernel plans, List<Cell> roots) {
        this.plans = plans;
        this.roots = roots;
    }

    /**
     * {@return a description of what a window holds, relative to its lower left corner, a new array; empty if it would be too long}
     *
     * @param of the window
     */
    public Optional<long[]> of(Window of) {
        window = of;
        // As when a window is flattened.
        double margin = 1 + plans.absoluteReach();
        clip = new Box()
                .include(of.left() - margin, of.bottom() - margin)
                .include(of.right() + margin, of.top() + margin);
        records = new ArrayList<>();
        tooMany = false;
        for (Cell root : roots) {
            Plan plan = plans.plan(root);
            if (plan != null) {
                describe(plan, new Map2(1, 0, 0, 1, 0, 0));
            }
        }
        if (tooMany) {
            return Optional.empty();
        }
        // The order in which a file draws does not matter.
        records.sort(Arrays::compare);
        int length = records.stream().mapToInt(r -> 1 + r.length).sum();
        long[] all = new long[length];
        int at = 0;
        for (long[] record : records) {
            all[at++] = record.length;
            System.arraycopy(record, 0, all, at, record.length);
            at += record.length;
        }
        return Optional.of(all);
    }

    /** A placement composed with those above it: x' = a x + b y + tx, y' = c x + d y + ty. */
    private record Map2(double a, double b, double c, double d, double tx, double ty) {
        /** The first copy of a placement, without its shift. */
        Map2 turned(Placed p) {
            return new Map2(a * p.a + b * p.c, a * p.b + b * p.d, c * p.a + d * p.c, c * p.b + d * p.d, 0, 0);
        }

        Map2 at(Map2 turned, double x, double y) {
            return new Map2(turned.a, turned.b, turned.c, turned.d, x(x, y), y(x, y));
        }

        double x(double x, double y) {
            return a * x + b * y + tx;
        }

        double y(double x, double y) {
            return c * x + d * y + ty;
        }

        double width(Box box) {
            return Math.abs(a) * (box.right - box.left) + Math.abs(b) * (box.top - box.bottom);
        }

        double height(Box box) {
            return Math.abs(c) * (box.right - box.left) + Math.abs(d) * (box.top - box.bottom);
        }

        Box room(Box clip, Box box, double x, double y) {
            return FlattenKernel.room(clip, box, a, b, c, d, x, y);
        }
    }

    private void add(long kind, long what, Map2 map, double x, double y, long... more) {
        if (records.size() >= MOST_RECORDS) {
            tooMany = true;
            return;
        }
        long[] record = Arrays.copyOf(
                new long[] {
                    kind,
                    what,
                    bits(map.a),
                    bits(map.b),
                    bits(map.c),
                    bits(map.d),
                    bits(x - window.left()),
                    bits(y - window.bottom())
                },
                8 + more.length);
        System.arraycopy(more, 0, record, 8, more.length);
        records.add(record);
    }

    private static long bits(double value) {
        // One zero.
        return Double.doubleToLongBits(value + 0.0);
    }

    private boolean isSmall(Map2 map, Box box) {
        return map.width(box) <= SMALL * (clip.right - clip.left)
                && map.height(box) <= SMALL * (clip.top - clip.bottom);
    }

    private void describe(Plan plan, Map2 map) {
        if (tooMany || !map.room(clip, plan.box, map.tx, map.ty).holds(0, 0)) {
            return;
        }
        double x = map.x(0.5 * (plan.box.left + plan.box.right), 0.5 * (plan.box.bottom + plan.box.top));
        double y = map.y(0.5 * (plan.box.left + plan.box.right), 0.5 * (plan.box.bottom + plan.box.top));
        double halfX = 0.5 * map.width(plan.box);
        double halfY = 0.5 * map.height(plan.box);
        boolean isWithin =
                x - halfX >= clip.left && x + halfX <= clip.right && y - halfY >= clip.bottom && y + halfY <= clip.top;
        if (isWithin || isSmall(map, plan.box)) {
            add(PLACED, plan.number, map, map.tx, map.ty);
            return;
        }
        for (int i = 0; i < plan.shapes.size(); i++) {
            Shapes shapes = plan.shapes.get(i);
            if (shapes.stored() > MOST_STORED) {
                tooMany = true;
                return;
            }
            OfShapes each = new OfShapes(map, (long) plan.number << 32 | i);
            shapes.forEach(each, each);
        }
        for (Placed p : plan.placed) {
            Map2 turned = map.turned(p);
            Copies copies = Copies.in(
                    turned.room(clip, p.plan.box, map.x(p.x, p.y), map.y(p.x, p.y)),
                    p.repetition,
                    map.a,
                    map.b,
                    map.c,
                    map.d);
            boolean isSmall = isSmall(turned, p.plan.box);
            for (long k = copies.next(); k >= 0 && !tooMany; k = copies.next()) {
                double px = p.x + p.repetition.x(k);
                double py = p.y + p.repetition.y(k);
                if (isSmall) {
                    row(PLACED, p.plan.number, turned, map.x(px, py), map.y(px, py), copies, p.repetition, map);
                } else {
                    describe(p.plan, map.at(turned, px, py));
                }
            }
        }
    }

    /** Adds a copy and those that follow it in its row. */
    private void row(
            long kind, long what, Map2 turned, double x, double y, Copies copies, Repetition repetition, Map2 map) {
        long rest = copies.rest();
        if (rest == 0 && isWhole(repetition)) {
            add(kind, what, turned, x, y);
        } else if (repetition instanceof Repetition.Grid grid && isWhole(grid)) {
            double stepX = (double) grid.columnSpanX() / grid.columns();
            double stepY = (double) grid.columnSpanY() / grid.columns();
            add(
                    kind,
                    what,
                    turned,
                    x,
                    y,
                    rest,
                    bits(map.a * stepX + map.b * stepY),
                    bits(map.c * stepX + map.d * stepY));
        } else {
            // Copies are rounded to dbu, each in its own way.
            add(ABSOLUTE, what, turned, x, y, window.left(), window.bottom());
        }
    }

    private static boolean isWhole(Repetition repetition) {
        return !(repetition instanceof Repetition.Grid grid)
                || grid.columnSpanX() % grid.columns() == 0
                        && grid.columnSpanY() % grid.columns() == 0
                        && grid.rowSpanX() % grid.rows() == 0
                        && grid.rowSpanY() % grid.rows() == 0;
    }

    /** Looks at the shapes of a cell: repeated ones are taken by the row, and none is shown. */
    private final class OfShapes implements Shapes.Visitor, Shapes.Choice {
        private final Map2 map;
        private final long list;
        private long number;

        OfShapes(Map2 map, long list) {
            this.map = map;
            this.list = list;
        }

        @Override
        public Copies of(Box box, Repetition repetition) {
            number++;
            Copies copies = Copies.in(map.room(clip, box, map.tx, map.ty), repetition, map.a, map.b, map.c, map.d);
            for (long k = copies.next(); k >= 0 && !tooMany; k = copies.next()) {
                double x = map.x(repetition.x(k), repetition.y(k));
                double y = map.y(repetition.x(k), repetition.y(k));
                row(SHAPE + 2 * number, list, map, x, y, copies, repetition, map);
            }
            return Copies.none();
        }

        private void once(Box box) {
            number++;
            if (map.room(clip, box, map.tx, map.ty).holds(0, 0)) {
                add(SHAPE + 2 * number, list, map, map.tx, map.ty);
            }
        }

        @Override
        public void rectangle(long x0, long y0, long x1, long y1) {
            once(new Box().include(x0, y0).include(x1, y1));
        }

        @Override
        public void polygon(long[] xy, int points) {
            once(about(xy, points, 0));
        }

        @Override
        public void path(PathStyle style, long[] spine, int points) {
            once(about(spine, points, style.reach()));
        }

        private Box about(long[] xy, int points, double margin) {
            Box box = new Box();
            for (int i = 0; i < 2 * points; i += 2) {
                box.include(xy[i] - margin, xy[i + 1] - margin).include(xy[i] + margin, xy[i + 1] + margin);
            }
            return box;
        }
    }

    /**
     * {@return the steps of the arrays that hold most of the polygons, the outermost first: each x and y, dbu, 0 where nothing repeats that way; new arrays}
     */
    public List<long[]> periods() {
        List<long[]> periods = new ArrayList<>();
        Plan plan = roots.stream()
                .map(plans::plan)
                .filter(p -> p != null)
                .max((p, q) -> Long.compare(p.count, q.count))
                .orElse(null);
        Map2 map = new Map2(1, 0, 0, 1, 0, 0);
        while (plan != null) {
            ArrayStep step = ArrayStep.of(plan);
            step.period(map.a, map.b, map.c, map.d).ifPresent(periods::add);
            map = step.placed() == null ? map : map.turned(step.placed());
            plan = step.placed() == null ? null : step.placed().plan;
        }
        return Collections.unmodifiableList(periods);
    }

    /** Most shapes of a cell that are looked at one by one. */
    static boolean isFlat(Shapes shapes) {
        return shapes.stored() > MOST_STORED;
    }
}
