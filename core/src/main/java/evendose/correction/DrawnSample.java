package evendose.correction;

import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.layout.DatabaseUnit;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.TileFrame;
import java.io.Serializable;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.Random;

/**
 * What is drawn in a layout or a tile of it or, where merging all of it would take long, in some square windows spread over it. Within
 * a window the outline is that of the whole layout: every polygon that meets the window takes part.
 *
 * @serial exclude
 */
public final class DrawnSample implements Serializable {
    private static final long serialVersionUID = 1L;

    /** Of a layout of up to this many polygons, everything is taken. */
    public static final long MOST_POLYGONS = 50_000;

    private static final int MOST_WINDOWS = 24;
    private static final int FEWEST_WINDOWS = 3;

    /** Polygons in all windows together, about. */
    private static final double POLYGONS_IN_WINDOWS = 8_000;

    /** Polygons near enough to a window to add to its energy, about, for all windows. */
    private static final double POLYGONS_IN_REACH = 50_000;

    /** Polygons in the windows of a tile, at least, and about how many in each. */
    private static final double FEWEST_IN_TILE = 500;

    private static final double IN_WINDOW_OF_TILE = 250;

    private static final double SMALLEST_WINDOW = 16;

    /** How far around the windows of a tile lines and gaps are to be known, um. */
    private static final double AROUND_UM = 1;

    private final Trapezoids merged;
    private final double dbuUm;
    private final double[][] windowsUm;
    private final double aroundUm;
    private final double outlineUm;

    private DrawnSample(Trapezoids merged, double dbuUm, List<double[]> windows, double aroundDbu, double outlineUm) {
        this.merged = merged;
        this.dbuUm = dbuUm;
        this.windowsUm = windows.stream()
                .map(w -> Arrays.stream(w).map(c -> c * dbuUm).toArray())
                .toArray(double[][]::new);
        this.aroundUm = aroundDbu * dbuUm;
        this.outlineUm = outlineUm;
    }

    /** {@return what is drawn, dbu} */
    public Trapezoids merged() {
        return merged;
    }

    /** {@return size of a database unit, um} */
    public double dbuUm() {
        return dbuUm;
    }

    /** {@return left, bottom, right, top of each window, um, perhaps infinite, new arrays; empty if everything was taken} */
    public List<double[]> windowsUm() {
        return Arrays.stream(windowsUm).map(double[]::clone).toList();
    }

    /** {@return how far around windows the outline is complete, um; beyond there may be sides that no polygon really ends with} */
    public double aroundUm() {
        return aroundUm;
    }

    /** {@return length of the outline of all that the sample stands for, um, about: of a tile, what lies within its borders} */
    public double outlineUm() {
        return outlineUm;
    }

    /**
     * Takes a layout or a sample of it.
     *
     * @param drawn what is drawn
     * @param windowUm left, bottom, right, top of the part to look at, um; empty for all
     * @param reachUm distance from which polygons add to the energy in a window, um: the larger, the fewer windows
     * @param workers threads to compute on
     * @param progress hears how far the work is
     * @return the sample
     */
    public static DrawnSample of(
            DrawnPattern drawn, Optional<double[]> windowUm, double reachUm, Workers workers, Progress progress) {
        Polygons polygons = drawn.polygons();
        double dbuUm = drawn.unit().um();
        if (windowUm.isPresent()) {
            double[] window =
                    Arrays.stream(windowUm.get()).map(c -> Math.rint(c / dbuUm)).toArray();
            return of(drawn, List.of(window), workers, progress);
        }
        if (polygons.size() <= MOST_POLYGONS) {
            Trapezoids merged = drawn.merged(workers, progress);
            return new DrawnSample(merged, dbuUm, List.of(), 0, dbuUm * outline(merged, TileFrame.everything()));
        }
        double area = (double) (polygons.right() - polygons.left()) * (polygons.top() - polygons.bottom());
        int count = MOST_WINDOWS;
        double side = 0;
        for (; count >= FEWEST_WINDOWS; count /= 2) {
            side = Math.max(SMALLEST_WINDOW, Math.sqrt(area * POLYGONS_IN_WINDOWS / polygons.size() / count));
            double reached = side + 2 * reachUm / dbuUm;
            if (polygons.size() / area * count * reached * reached < POLYGONS_IN_REACH) {
                break;
            }
        }
        List<double[]> windows =
                windows(polygons, TileFrame.everything(), polygons.size(), side, Math.max(FEWEST_WINDOWS, count));
        return of(drawn, windows, workers, progress);
    }

    private static DrawnSample of(DrawnPattern drawn, List<double[]> windows, Workers workers, Progress progress) {
        Trapezoids merged = merged(drawn, windows, 0, workers, progress);
        double dbuUm = drawn.unit().um();
        return new DrawnSample(merged, dbuUm, windows, 0, dbuUm * outline(merged, TileFrame.everything()));
    }

    private static Trapezoids merged(
            DrawnPattern drawn, List<double[]> windows, double around, Workers workers, Progress progress) {
        List<double[]> wider = windows.stream()
                .map(w -> new double[] {w[0] - around, w[1] - around, w[2] + around, w[3] + around})
                .toList();
        Polygons near = new Polygons();
        drawn.polygons().forEach(new Picker(wider, near));
        return Merge.of(near, drawn.roles().size(), workers, progress);
    }

    /**
     * Takes what is drawn within the borders of a tile or, where the layout has many polygons, a sample of it: a pure function of what the tile sees and of
     * that number.
     *
     * @param seen what the tile sees
     * @param merged the same, merged, dbu
     * @param frame the tile
     * @param ofLayout number of polygons of the layout
     * @param workers threads to compute on
     * @return the sample; one window that is the whole tile if everything was taken
     */
    public static DrawnSample inTile(
            DrawnPattern seen, Trapezoids merged, TileFrame frame, double ofLayout, Workers workers) {
        Polygons polygons = seen.polygons();
        double dbuUm = seen.unit().um();
        double outlineUm = dbuUm * outline(merged, frame);
        Within within = new Within(frame);
        polygons.forEach(within);
        double wanted = Math.max(FEWEST_IN_TILE, POLYGONS_IN_WINDOWS * within.inside / ofLayout);
        if (ofLayout <= MOST_POLYGONS || within.inside <= wanted) {
            double[] whole = {frame.left(), frame.bottom(), frame.right(), frame.top()};
            return new DrawnSample(merged, dbuUm, List.of(whole), frame.margin(), outlineUm);
        }
        int count = (int) Math.max(1, Math.min(MOST_WINDOWS, Math.rint(wanted / IN_WINDOW_OF_TILE)));
        double area = (Math.min(frame.right(), polygons.right()) - Math.max(frame.left(), polygons.left()))
                * (Math.min(frame.top(), polygons.top()) - Math.max(frame.bottom(), polygons.bottom()));
        double side = Math.max(SMALLEST_WINDOW, Math.sqrt(area * wanted / within.inside / count));
        List<double[]> windows = windows(polygons, frame, within.inside, side, count);
        double around = Math.min(frame.margin(), Math.ceil(AROUND_UM / dbuUm));
        return new DrawnSample(
                merged(seen, windows, around, workers, Progress.NONE), dbuUm, windows, around, outlineUm);
    }

    /**
     * {@return nothing, for a tile beside the window that is looked at}
     *
     * @param unit the database unit
     */
    public static DrawnSample none(DatabaseUnit unit) {
        Trapezoids nothing = Merge.of(new Polygons(), 1, Workers.of(1), Progress.NONE);
        return new DrawnSample(nothing, unit.um(), List.of(new double[4]), 0, 0);
    }

    /** Length of the exposed sides of the trapezoids whose middles lie in a tile, dbu. */
    private static double outline(Trapezoids t, TileFrame tile) {
        double length = 0;
        for (int i = 0; i < t.size(); i++) {
            if (!tile.holds(t.middleX(i), t.middleY(i))) {
                continue;
            }
            double height = t.yTop(i) - t.yBottom(i);
            length += t.leftExposed(i) ? Math.hypot(height, t.xLeftTop(i) - t.xLeftBottom(i)) : 0;
            length += t.rightExposed(i) ? Math.hypot(height, t.xRightTop(i) - t.xRightBottom(i)) : 0;
            for (int e = t.exposedFirst(i); e < t.exposedFirst(i + 1); e++) {
                length += t.exposedTo(e) - t.exposedFrom(e);
            }
        }
        return length;
    }

    /** Square windows about random ones of some polygons, cut off at a tile's borders: where there is nothing, there is nothing to see. */
    private static List<double[]> windows(Polygons polygons, TileFrame tile, long size, double side, int count) {
        double half = Math.floor(Math.floor(side) / 2);
        Random random = new Random(11);
        List<double[]> windows = new ArrayList<>();
        polygons.forEach(new Within(tile) {
            private long next = (long) (random.nextDouble() * size / count);

            @Override
            void found(double x, double y) {
                if (inside == next && windows.size() < count) {
                    windows.add(new double[] {
                        Math.max(tile.left(), x - half),
                        Math.max(tile.bottom(), y - half),
                        Math.min(tile.right(), x + half),
                        Math.min(tile.top(), y + half)
                    });
                    next = (long) ((windows.size() + random.nextDouble()) * size / count);
                }
                super.found(x, y);
            }
        });
        return windows;
    }

    /** Counts the polygons whose first corner lies in a tile. */
    private static class Within implements Polygons.Visitor {
        private final TileFrame tile;
        long inside;

        Within(TileFrame tile) {
            this.tile = tile;
        }

        void found(double x, double y) {
            inside++;
        }

        @Override
        public void rectangle(int group, long x0, long y0, long x1, long y1) {
            point(x0, y0);
        }

        @Override
        public void polygon(int group, long[] xy, int from, int vertices) {
            point(xy[from], xy[from + 1]);
        }

        private void point(double x, double y) {
            if (tile.holds(x, y)) {
                found(x, y);
            }
        }
    }

    /** Copies the polygons whose bounding box meets a window. */
    private record Picker(List<double[]> windows, Polygons sink) implements Polygons.Visitor {
        @Override
        public void rectangle(int group, long x0, long y0, long x1, long y1) {
            if (meets(x0, y0, x1, y1)) {
                sink.addRectangle(group, x0, y0, x1, y1);
            }
        }

        @Override
        public void polygon(int group, long[] xy, int from, int vertices) {
            long x0 = Long.MAX_VALUE;
            long y0 = Long.MAX_VALUE;
            long x1 = Long.MIN_VALUE;
            long y1 = Long.MIN_VALUE;
            for (int i = from; i < from + 2 * vertices; i += 2) {
                x0 = Math.min(x0, xy[i]);
                x1 = Math.max(x1, xy[i]);
                y0 = Math.min(y0, xy[i + 1]);
                y1 = Math.max(y1, xy[i + 1]);
            }
            if (meets(x0, y0, x1, y1)) {
                sink.addPolygon(group, Arrays.copyOfRange(xy, from, from + 2 * vertices), vertices);
            }
        }

        private boolean meets(long x0, long y0, long x1, long y1) {
            for (double[] w : windows) {
                if (x0 <= w[2] && x1 >= w[0] && y0 <= w[3] && y1 >= w[1]) {
                    return true;
                }
            }
            return false;
        }
    }
}
