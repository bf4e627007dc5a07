package evendose.pieces;

import evendose.geometry.Trapezoids;
import java.io.Serializable;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * Finds the boxes of shapes of which each tile sees a part. Every tile tells where its large shapes cross its borders; what crosses at the same
 * place is one shape. That is all that tiles have to know of each other: cells of dose units divide the box of the whole shape.
 */
public final class LargeShapes {
    /** Places that differ by less, dbu, are the same: rounding of slanted sides is far below, and outlines are far apart. */
    private static final double SAME = 1.0 / 64;

    private LargeShapes() {}

    /**
     * A large shape as a tile sees it.
     *
     * @param number its number among the shapes that the tile sees
     * @param box the box of what is seen
     * @param crossings where it crosses the tile's borders and lines beside them
     * @serial exclude
     */
    public record Seen(int number, ShapeBox box, List<Crossing> crossings) implements Serializable {
        /**
         * {@return the shape as an equal tile sees it}
         *
         * @param dx where that lies along x from this one, whole dbu
         * @param dy where it lies along y, whole dbu
         */
        public Seen moved(double dx, double dy) {
            return new Seen(
                    number,
                    box.moved(dx, dy),
                    crossings.stream().map(c -> c.moved(dx, dy)).toList());
        }
    }

    /**
     * Where a shape begins on a line that two tiles see.
     *
     * @param alongX whether the line runs along x
     * @param line where it lies, dbu
     * @param corner where the tile's side begins on it, dbu
     * @param place number of the place on it
     * @serial exclude
     */
    public record Crossing(boolean alongX, double line, double corner, long place) implements Serializable {
        private Crossing moved(double dx, double dy) {
            double along = alongX ? dx : dy;
            return new Crossing(alongX, line + (alongX ? dy : dx), corner + along, place + Math.round(along / SAME));
        }
    }

    /**
     * {@return the large shapes that a tile sees}
     *
     * @param merged merged shapes, dbu
     * @param tile the tile
     */
    public static List<Seen> of(Trapezoids merged, TileFrame tile) {
        List<Seen> all = new ArrayList<>();
        for (int s = 0; s < merged.shapes(); s++) {
            double[] box = merged.box(s);
            if (!tile.isLarge(box[2] - box[0], box[3] - box[1]) || tile.isBeyond(box[0], box[1], box[2], box[3])) {
                continue;
            }
            List<Crossing> crossings = new ArrayList<>();
            for (double y : lines(tile.bottom(), tile.top(), tile.margin())) {
                add(crossings, true, y, tile.left(), onLevel(merged, s, y, tile.left(), tile.right()));
            }
            for (double x : lines(tile.left(), tile.right(), tile.margin())) {
                add(crossings, false, x, tile.bottom(), onUpright(merged, s, x, tile.bottom(), tile.top()));
            }
            all.add(new Seen(s, ShapeBox.of(box), crossings));
        }
        return all;
    }

    /** A tile's borders, where its surroundings end, and where those of its neighbours end in it: all lines that two tiles see. */
    private static double[] lines(double low, double high, double margin) {
        return new double[] {low - margin, low, low + margin, high - margin, high, high + margin};
    }

    /** Adds the beginnings of intervals, from and to in turn, that do not go on from one before. */
    private static void add(List<Crossing> to, boolean alongX, double line, double corner, List<double[]> intervals) {
        intervals.sort((a, b) -> Double.compare(a[0], b[0]));
        double end = Double.NEGATIVE_INFINITY;
        for (double[] interval : intervals) {
            if (interval[0] > end + SAME) {
                to.add(new Crossing(alongX, line, corner, Math.round(interval[0] / SAME)));
            }
            end = Math.max(end, interval[1]);
        }
    }

    private static List<double[]> onLevel(Trapezoids m, int s, double y, double from, double to) {
        List<double[]> found = new ArrayList<>();
        for (int i = m.first(s); i < m.first(s + 1); i++) {
            if (m.yBottom(i) <= y && y < m.yTop(i)) {
                double t = (y - m.yBottom(i)) / (m.yTop(i) - m.yBottom(i));
                double left = Math.max(from, m.xLeftBottom(i) + t * (m.xLeftTop(i) - m.xLeftBottom(i)));
                double right = Math.min(to, m.xRightBottom(i) + t * (m.xRightTop(i) - m.xRightBottom(i)));
                if (left < right) {
                    found.add(new double[] {left, right});
                }
            }
        }
        return found;
    }

    private static List<double[]> onUpright(Trapezoids m, int s, double x, double from, double to) {
        List<double[]> found = new ArrayList<>();
        for (int i = m.first(s); i < m.first(s + 1); i++) {
            if (m.xRightBottom(i) <= x && m.xRightTop(i) <= x) {
                // What ends on the line does not cross it: another shape may begin there.
                continue;
            }
            double[] range = {Math.max(from, m.yBottom(i)), Math.min(to, m.yTop(i))};
            double height = m.yTop(i) - m.yBottom(i);
            // Within the left side and within the right one.
            limit(range, m.yBottom(i), height, x - m.xLeftBottom(i), x - m.xLeftTop(i));
            limit(range, m.yBottom(i), height, m.xRightBottom(i) - x, m.xRightTop(i) - x);
            if (range[0] < range[1]) {
                found.add(range);
            }
        }
        return found;
    }

    /** Limits a range of heights to where a number that goes evenly from {@code atBottom} to {@code atTop} is not negative. */
    private static void limit(double[] range, double bottom, double height, double atBottom, double atTop) {
        if (atBottom < 0 && atTop < 0) {
            range[1] = range[0];
        } else if (atBottom < 0) {
            range[0] = Math.max(range[0], bottom + height * atBottom / (atBottom - atTop));
        } else if (atTop < 0) {
            range[1] = Math.min(range[1], bottom + height * atBottom / (atBottom - atTop));
        }
    }

    /**
     * {@return for each tile what is known of the large shapes that it sees, by their numbers in the tile}
     *
     * @param seen what each tile sees
     */
    public static List<Map<Integer, WholeShape>> whole(List<List<Seen>> seen) {
        List<Seen> all = seen.stream().flatMap(List::stream).toList();
        int[] same = new int[all.size()];
        Arrays.setAll(same, k -> k);
        Map<Crossing, Integer> first = new HashMap<>();
        for (int k = 0; k < same.length; k++) {
            for (Crossing crossing : all.get(k).crossings()) {
                Integer other = first.putIfAbsent(crossing, k);
                if (other != null) {
                    same[root(same, k)] = root(same, other);
                }
            }
        }
        ShapeBox[] box = new ShapeBox[same.length];
        for (int k = 0; k < same.length; k++) {
            int r = root(same, k);
            ShapeBox b = all.get(k).box();
            box[r] = box[r] == null ? b : box[r].and(b);
        }
        List<Map<Integer, WholeShape>> known = new ArrayList<>();
        int k = 0;
        for (List<Seen> ofTile : seen) {
            Map<Integer, List<Integer>> parts = new LinkedHashMap<>();
            for (Seen shape : ofTile) {
                parts.computeIfAbsent(root(same, k++), r -> new ArrayList<>()).add(shape.number());
            }
            Map<Integer, WholeShape> byNumber = new HashMap<>();
            parts.forEach((r, numbers) -> {
                WholeShape shape = new WholeShape(box[r], List.copyOf(numbers));
                numbers.forEach(number -> byNumber.put(number, shape));
            });
            known.add(byNumber);
        }
        return known;
    }

    private static int root(int[] same, int k) {
        int r = k;
        while (same[r] != r) {
            r = same[r];
        }
        same[k] = r;
        return r;
    }
}
