package evendose.geometry;

/** Straight edges in a grid of cells, so that those near a place or on a ray are found quickly. Immutable. */
public final class EdgeGrid {
    private final double[] x0;
    private final double[] y0;
    private final double[] x1;
    private final double[] y1;
    private double left = Double.MAX_VALUE;
    private double bottom = Double.MAX_VALUE;
    private double right = -Double.MAX_VALUE;
    private double top = -Double.MAX_VALUE;
    private double cell;
    private int columns;
    private int rows;
    private int[] start;
    private int[] items;

    /**
     * Takes edges over without copying.
     *
     * @param x0 x of each start
     * @param y0 y of each start
     * @param x1 x of each end
     * @param y1 y of each end
     */
    public EdgeGrid(double[] x0, double[] y0, double[] x1, double[] y1) {
        this.x0 = x0;
        this.y0 = y0;
        this.x1 = x1;
        this.y1 = y1;
        for (int e = 0; e < x0.length; e++) {
            left = Math.min(left, Math.min(x0[e], x1[e]));
            right = Math.max(right, Math.max(x0[e], x1[e]));
            bottom = Math.min(bottom, Math.min(y0[e], y1[e]));
            top = Math.max(top, Math.max(y0[e], y1[e]));
        }
        if (x0.length > 0) {
            layOutGrid();
        } else {
            start = new int[1];
            items = new int[0];
        }
    }

    private void layOutGrid() {
        int n = x0.length;
        double width = Math.max(right - left, 1e-6);
        double height = Math.max(top - bottom, 1e-6);
        cell = Math.max(Math.sqrt(width * height / n), 1e-3 * Math.max(width, height) / Math.sqrt(n));
        columns = (int) Math.min(1 << 13, width / cell + 1);
        rows = (int) Math.min(1 << 13, height / cell + 1);
        cell = Math.max(width / columns, height / rows) * (1 + 1e-12);
        int[] counts = new int[columns * rows + 1];
        for (int e = 0; e < n; e++) {
            putInCells(e, counts, null);
        }
        // A cell's count becomes the place behind its last edge; edges are then put in from the last one on.
        for (int c = 1; c <= columns * rows; c++) {
            counts[c] += counts[c - 1];
        }
        items = new int[counts[columns * rows]];
        for (int e = n - 1; e >= 0; e--) {
            putInCells(e, counts, items);
        }
        start = counts;
    }

    /** Counts an edge in each cell that it passes, row by row; or, if there is a list, takes it off the count and puts it there. */
    private void putInCells(int e, int[] counts, int[] list) {
        double ya = Math.min(y0[e], y1[e]);
        double yb = Math.max(y0[e], y1[e]);
        int r0 = row(ya);
        int r1 = row(yb);
        for (int r = r0; r <= r1; r++) {
            double from = x0[e];
            double to = x1[e];
            if (r0 < r1) {
                double slope = (x1[e] - x0[e]) / (y1[e] - y0[e]);
                double low = Math.max(ya, bottom + r * cell - 1e-9);
                double high = Math.min(yb, bottom + (r + 1) * cell + 1e-9);
                from = x0[e] + slope * (low - y0[e]);
                to = x0[e] + slope * (high - y0[e]);
            }
            int c1 = column(Math.max(from, to) + 1e-9);
            for (int c = column(Math.min(from, to) - 1e-9); c <= c1; c++) {
                if (list == null) {
                    counts[r * columns + c]++;
                } else {
                    list[--counts[r * columns + c]] = e;
                }
            }
        }
    }

    private int column(double x) {
        return (int) Math.max(0, Math.min(columns - 1, (x - left) / cell));
    }

    private int row(double y) {
        return (int) Math.max(0, Math.min(rows - 1, (y - bottom) / cell));
    }

    /**
     * What a ray meets first.
     *
     * @param edge number of the edge
     * @param distanceUm its distance along the ray
     */
    public record Hit(int edge, double distanceUm) {}

    /**
     * The nearest edge that a ray meets.
     *
     * @param x x of where it begins
     * @param y y of it
     * @param ux x of the unit direction
     * @param uy y of it
     * @param fromUm distance from which edges count
     * @param mostUm distance up to which they count
     * @return the edge and its distance, or null if there is none
     */
    public Hit ray(double x, double y, double ux, double uy, double fromUm, double mostUm) {
        double best = Double.MAX_VALUE;
        int edge = -1;
        if (items.length == 0) {
            return null;
        }
        double advance = cell;
        for (double walked = 0; walked <= mostUm && walked <= best + cell; walked += advance) {
            double ax = x + ux * walked;
            double ay = y + uy * walked;
            double bx = ax + ux * advance;
            double by = ay + uy * advance;
            int r1 = row(Math.max(ay, by));
            int c1 = column(Math.max(ax, bx));
            for (int r = row(Math.min(ay, by)); r <= r1; r++) {
                for (int c = column(Math.min(ax, bx)); c <= c1; c++) {
                    for (int q = start[r * columns + c]; q < start[r * columns + c + 1]; q++) {
                        double d = distance(items[q], x, y, ux, uy);
                        if (d >= fromUm && d <= mostUm && d < best) {
                            best = d;
                            edge = items[q];
                        }
                    }
                }
            }
        }
        return edge < 0 ? null : new Hit(edge, best);
    }

    private double distance(int e, double x, double y, double ux, double uy) {
        double ex = x1[e] - x0[e];
        double ey = y1[e] - y0[e];
        double cross = ux * ey - uy * ex;
        if (Math.abs(cross) < 1e-12 * (Math.abs(ex) + Math.abs(ey))) {
            return -1;
        }
        double wx = x0[e] - x;
        double wy = y0[e] - y;
        double along = (wx * uy - wy * ux) / cross;
        return along < -1e-9 || along > 1 + 1e-9 ? -1 : (wx * ey - wy * ex) / cross;
    }

    /**
     * The nearest edge to a place.
     *
     * @param x x of the place
     * @param y y of it
     * @param most distance up to which edges count
     * @return the number of the edge, or -1 if there is none
     */
    public int nearest(double x, double y, double most) {
        int found = -1;
        double best = most;
        if (items.length == 0) {
            return found;
        }
        int r1 = row(y + most);
        int c1 = column(x + most);
        for (int r = row(y - most); r <= r1; r++) {
            for (int c = column(x - most); c <= c1; c++) {
                for (int q = start[r * columns + c]; q < start[r * columns + c + 1]; q++) {
                    double share = share(items[q], x, y);
                    double away = Math.hypot(x(items[q], share) - x, y(items[q], share) - y);
                    // Of equal ones the first, whatever cell it was found in.
                    if (away < best || (away == best && items[q] < found)) {
                        best = away;
                        found = items[q];
                    }
                }
            }
        }
        return found;
    }

    /**
     * {@return where on edge {@code e} it comes nearest to a place, 0 at its start to 1 at its end}
     *
     * @param e number of the edge
     * @param x x of the place
     * @param y y of it
     */
    public double share(int e, double x, double y) {
        double ex = x1[e] - x0[e];
        double ey = y1[e] - y0[e];
        double square = ex * ex + ey * ey;
        return square == 0 ? 0 : Math.max(0, Math.min(1, ((x - x0[e]) * ex + (y - y0[e]) * ey) / square));
    }

    /**
     * {@return x at the share {@code t} of edge {@code e}}
     *
     * @param e number of the edge
     * @param t place on the edge, 0 at its start to 1 at its end
     */
    public double x(int e, double t) {
        return x0[e] + t * (x1[e] - x0[e]);
    }

    /**
     * {@return y at the share {@code t} of edge {@code e}}
     *
     * @param e number of the edge
     * @param t place on the edge, 0 at its start to 1 at its end
     */
    public double y(int e, double t) {
        return y0[e] + t * (y1[e] - y0[e]);
    }
}
