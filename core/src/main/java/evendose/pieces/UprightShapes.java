package evendose.pieces;

import evendose.geometry.Trapezoids;

/** Shapes of one cell without slanted sides or thin parts, which are cut as the merge has cut them. */
final class UprightShapes {
    private final Trapezoids merged;
    private final boolean exact;
    private final double gridPerDbu;
    private final double maxPiece;
    private final double smallest;

    UprightShapes(Trapezoids merged, boolean exact, double gridPerDbu, double maxPiece, double smallest) {
        this.merged = merged;
        this.exact = exact;
        this.gridPerDbu = gridPerDbu;
        this.maxPiece = maxPiece;
        this.smallest = smallest;
    }

    /** A coordinate in grid units, rounded unless pieces are exact. */
    double toGrid(double dbu) {
        return exact ? dbu : Math.rint(dbu * gridPerDbu);
    }

    /** How many cells an extent, grid units, is divided into. */
    static int cells(double extent, double maxPiece) {
        return Math.max(1, (int) Math.ceil(extent / maxPiece - 1e-9));
    }

    /** Whether shape {@code s} is one. */
    boolean isOneCell(int s) {
        double left = Double.MAX_VALUE;
        double right = -Double.MAX_VALUE;
        double bottom = Double.MAX_VALUE;
        double top = -Double.MAX_VALUE;
        for (int i = merged.first(s); i < merged.first(s + 1); i++) {
            if (merged.xLeftBottom(i) != merged.xLeftTop(i) || merged.xRightBottom(i) != merged.xRightTop(i)) {
                return false;
            }
            double l = toGrid(merged.xLeftBottom(i));
            double r = toGrid(merged.xRightBottom(i));
            double b = toGrid(merged.yBottom(i));
            double t = toGrid(merged.yTop(i));
            boolean isThin = r - l < smallest || t - b < smallest;
            if (!(r > l && t > b) || (merged.first(s + 1) - merged.first(s) > 1 && isThin)) {
                return false;
            }
            left = Math.min(left, l);
            right = Math.max(right, r);
            bottom = Math.min(bottom, b);
            top = Math.max(top, t);
        }
        return cells(right - left, maxPiece) == 1 && cells(top - bottom, maxPiece) == 1;
    }

    /** Makes the trapezoids of shape {@code s} the pieces of a cut, with its exposed edges as those of the first unit. */
    void take(int s, Cut cut) {
        cut.clear();
        for (int i = merged.first(s); i < merged.first(s + 1); i++) {
            double l = toGrid(merged.xLeftBottom(i));
            double r = toGrid(merged.xRightBottom(i));
            double b = toGrid(merged.yBottom(i));
            double t = toGrid(merged.yTop(i));
            cut.add(false, b, t, l, r, l, r);
            if (merged.rightExposed(i)) {
                cut.edges.add(r, b, r, t, 0);
            }
            if (merged.leftExposed(i)) {
                cut.edges.add(l, t, l, b, 0);
            }
            for (int e = merged.exposedFirst(i); e < merged.exposedFirst(i + 1); e++) {
                double from = toGrid(merged.exposedFrom(e));
                double to = toGrid(merged.exposedTo(e));
                if (merged.exposedOnTop(e)) {
                    cut.edges.add(to, t, from, t, 0);
                } else {
                    cut.edges.add(from, b, to, b, 0);
                }
            }
        }
    }
}
