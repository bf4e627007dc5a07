package evendose.layout;

import evendose.layout.FlattenKernel.Placed;
import evendose.layout.FlattenKernel.Plan;
import java.math.BigInteger;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

/**
 * How most polygons of a cell repeat: as an array, or as one cell placed again and again at places that have a common step.
 *
 * @param placed a placement of the cell that holds most polygons; null if they are the cell's own shapes
 * @param steps four numbers: the step of columns along x and y, and that of rows, dbu; null if nothing repeats
 */
record ArrayStep(Placed placed, double[] steps) {
    private static final double MOST = 0.5;

    static ArrayStep of(Plan plan) {
        Map<Plan, List<Placed>> children = new LinkedHashMap<>();
        plan.placed.forEach(
                p -> children.computeIfAbsent(p.plan, c -> new ArrayList<>()).add(p));
        for (Map.Entry<Plan, List<Placed>> child : children.entrySet()) {
            List<Placed> all = child.getValue();
            double copies = all.stream().mapToDouble(p -> p.repetition.count()).sum();
            if (copies * child.getKey().count >= MOST * plan.count) {
                return new ArrayStep(
                        all.get(0), all.size() == 1 ? steps(all.get(0).repetition) : common(child.getKey(), all));
            }
        }
        for (Shapes shapes : plan.shapes) {
            if (!WindowContents.isFlat(shapes)) {
                Repetition[] most = {Repetition.ONCE};
                Ignored ignored = new Ignored();
                shapes.forEach(ignored, (box, repetition) -> {
                    most[0] = repetition.count() > most[0].count() ? repetition : most[0];
                    return Copies.none();
                });
                if (most[0].count() >= MOST * plan.count && most[0].count() > 1) {
                    return new ArrayStep(null, steps(most[0]));
                }
            }
        }
        return new ArrayStep(null, null);
    }

    private static double[] steps(Repetition repetition) {
        if (!(repetition instanceof Repetition.Grid grid) || grid.count() == 1) {
            return null;
        }
        boolean columns = grid.columns() > 1;
        boolean rows = grid.rows() > 1;
        return new double[] {
            columns ? (double) grid.columnSpanX() / grid.columns() : 0,
            columns ? (double) grid.columnSpanY() / grid.columns() : 0,
            rows ? (double) grid.rowSpanX() / grid.rows() : 0,
            rows ? (double) grid.rowSpanY() / grid.rows() : 0
        };
    }

    /** The largest step that leads from any of the places to any other, if copies would hardly overlap. */
    private static double[] common(Plan child, List<Placed> all) {
        Placed first = all.get(0);
        BigInteger x = BigInteger.ZERO;
        BigInteger y = BigInteger.ZERO;
        for (Placed p : all) {
            if (p.repetition.count() > 1 || p.a != first.a || p.b != first.b || p.c != first.c || p.d != first.d) {
                return null;
            }
            x = x.gcd(BigInteger.valueOf((long) (p.x - first.x)));
            y = y.gcd(BigInteger.valueOf((long) (p.y - first.y)));
        }
        boolean isTurned = first.a == 0;
        double width = child.box.right - child.box.left;
        double height = child.box.top - child.box.bottom;
        double stepX = x.doubleValue() < MOST * (isTurned ? height : width) ? 0 : x.doubleValue();
        double stepY = y.doubleValue() < MOST * (isTurned ? width : height) ? 0 : y.doubleValue();
        return new double[] {stepX, 0, 0, stepY};
    }

    /** The steps along x and y for a cell placed so, if they are whole and parallel to the axes. */
    Optional<long[]> period(double a, double b, double c, double d) {
        if (steps == null) {
            return Optional.empty();
        }
        double ux = Math.abs(a * steps[0] + b * steps[1]);
        double uy = Math.abs(c * steps[0] + d * steps[1]);
        double vx = Math.abs(a * steps[2] + b * steps[3]);
        double vy = Math.abs(c * steps[2] + d * steps[3]);
        boolean isUpright = uy == 0 && vx == 0;
        boolean isTurned = ux == 0 && vy == 0;
        double x = isUpright ? ux : vx;
        double y = isUpright ? vy : uy;
        if (!isUpright && !isTurned || x != Math.rint(x) || y != Math.rint(y) || x == 0 && y == 0) {
            return Optional.empty();
        }
        return Optional.of(new long[] {(long) x, (long) y});
    }

    private static final class Ignored implements Shapes.Visitor {
        @Override
        public void rectangle(long x0, long y0, long x1, long y1) {
            // Does not repeat.
        }

        @Override
        public void polygon(long[] xy, int points) {
            // Does not repeat.
        }

        @Override
        public void path(PathStyle style, long[] spine, int points) {
            // Does not repeat.
        }
    }
}
