package evendose.energy;

import evendose.pieces.Pieces;
import java.util.Arrays;
import java.util.Map;
import java.util.TreeMap;

/**
 * Finds the pieces whose bounding boxes meet a given box.
 *
 * <p>Pieces are sorted into classes by width and height (factors of 4); each class has a uniform grid of cells no smaller than
 * its pieces, and a piece lies in the one cell that holds its centre. So a pad among a million dots costs the dots
 * nothing, no piece is found twice, and building takes two counting passes. The order of hits depends on the pieces and the
 * box alone.
 */
public final class PieceIndex {
    /** Binary orders of magnitude that share a class. */
    private static final int CLASS_SPAN = 2;

    /** Binary orders below the mean distance of pieces at which classes end: even smaller ones gather where it is dense. */
    private static final int BELOW_SPACING = 2;

    /** Most cells of a class for each of its pieces: more would only be walked through empty. */
    private static final double CELLS_PER_PIECE = 4;

    private final double[] left;
    private final double[] right;
    private final double[] bottom;
    private final double[] top;
    private final Level[] levels;

    /** One size class: items of cell {@code c = row * columns + column} are {@code items[start[c]]} to before the next start. */
    private static final class Level {
        double halfWidth;
        double halfHeight;
        double x0 = Double.MAX_VALUE;
        double y0 = Double.MAX_VALUE;
        double x1 = -Double.MAX_VALUE;
        double y1 = -Double.MAX_VALUE;
        int columns;
        int rows;
        double perCellX;
        double perCellY;
        int size;
        int[] start;
        int[] items;

        int column(double x) {
            return within((int) ((x - x0) * perCellX), columns);
        }

        int row(double y) {
            return within((int) ((y - y0) * perCellY), rows);
        }

        /** On whole numbers, since this is asked a few times in each search and class. */
        private static int within(int cell, int count) {
            return cell < 0 ? 0 : cell < count ? cell : count - 1;
        }

        void layOutCells() {
            double width = x1 - x0;
            double height = y1 - y0;
            double cellWidth = 2 * halfWidth;
            double cellHeight = 2 * halfHeight;
            double most = Math.max(16, CELLS_PER_PIECE * size);
            while ((Math.floor(width / cellWidth) + 1) * (Math.floor(height / cellHeight) + 1) > most) {
                if (width / cellWidth > height / cellHeight) {
                    cellWidth *= 1.5;
                } else {
                    cellHeight *= 1.5;
                }
            }
            columns = (int) (width / cellWidth) + 1;
            rows = (int) (height / cellHeight) + 1;
            perCellX = 1 / cellWidth;
            perCellY = 1 / cellHeight;
        }
    }

    /** Growing list of hits, to be used again and again. */
    public static final class Hits {
        int[] piece = new int[32];
        int size;

        /** Number of hits. */
        public int size() {
            return size;
        }

        /** Hit number {@code k}: the index of a piece. */
        public int piece(int k) {
            return piece[k];
        }

        private void add(int i) {
            if (size == piece.length) {
                piece = Arrays.copyOf(piece, 2 * size);
            }
            piece[size++] = i;
        }
    }

    /** An index of all pieces. */
    public PieceIndex(Pieces pieces) {
        int n = pieces.size();
        left = new double[n];
        right = new double[n];
        // Where no piece stands, boxes begin and end at the parallel sides: no need for arrays of their own.
        boolean own = !pieces.areLevel();
        bottom = own ? new double[n] : pieces.lowUm();
        top = own ? new double[n] : pieces.highUm();
        double[] bounds = pieces.boundsUm();
        for (int i = 0; i < n; i++) {
            left[i] = pieces.leftUm(i);
            right[i] = pieces.rightUm(i);
            if (own) {
                bottom[i] = pieces.bottomUm(i);
                top[i] = pieces.topUm(i);
            }
        }
        double spacing = n == 0 ? 0 : Math.sqrt((bounds[2] - bounds[0]) * (bounds[3] - bounds[1]) / n);
        int smallest = Math.getExponent(spacing) - BELOW_SPACING;
        Map<Long, Level> byClass = new TreeMap<>();
        Level[] levelOf = new Level[n];
        long lastClass = Long.MIN_VALUE;
        Level last = null;
        for (int i = 0; i < n; i++) {
            double width = right[i] - left[i];
            double height = top[i] - bottom[i];
            long wide = Math.floorDiv(Math.max(Math.getExponent(width), smallest), CLASS_SPAN);
            long high = Math.floorDiv(Math.max(Math.getExponent(height), smallest), CLASS_SPAN);
            long key = (wide << 32) + high;
            if (key != lastClass) {
                last = byClass.computeIfAbsent(key, k -> new Level());
                lastClass = key;
            }
            Level level = last;
            levelOf[i] = level;
            level.size++;
            level.halfWidth = Math.max(level.halfWidth, 0.5 * width);
            level.halfHeight = Math.max(level.halfHeight, 0.5 * height);
            double x = 0.5 * (left[i] + right[i]);
            double y = 0.5 * (bottom[i] + top[i]);
            level.x0 = Math.min(level.x0, x);
            level.y0 = Math.min(level.y0, y);
            level.x1 = Math.max(level.x1, x);
            level.y1 = Math.max(level.y1, y);
        }
        levels = byClass.values().toArray(new Level[0]);
        for (Level level : levels) {
            level.layOutCells();
            level.start = new int[level.columns * level.rows + 1];
            level.items = new int[level.size];
        }
        int[] cell = new int[n];
        for (int i = 0; i < n; i++) {
            Level level = levelOf[i];
            cell[i] = level.row(0.5 * (bottom[i] + top[i])) * level.columns + level.column(0.5 * (left[i] + right[i]));
            level.start[cell[i]]++;
        }
        for (Level level : levels) {
            int sum = 0;
            for (int c = 0; c < level.start.length; c++) {
                sum += level.start[c];
                level.start[c] = sum;
            }
        }
        for (int i = n - 1; i >= 0; i--) {
            Level level = levelOf[i];
            level.items[--level.start[cell[i]]] = i;
        }
    }

    /** Number of size classes: each search looks at all of them. */
    int classes() {
        return levels.length;
    }

    /** Left end of piece {@code i}'s bounding box, um. */
    double left(int i) {
        return left[i];
    }

    /** Right end of piece {@code i}'s bounding box, um. */
    double right(int i) {
        return right[i];
    }

    /** Lower end of it, um. */
    double bottom(int i) {
        return bottom[i];
    }

    /** Upper end of it, um. */
    double top(int i) {
        return top[i];
    }

    /** Replaces the content of {@code hits} by the pieces whose bounding boxes meet the box, um. */
    public void find(double x0, double y0, double x1, double y1, Hits hits) {
        hits.size = 0;
        for (Level level : levels) {
            double reachX = level.halfWidth;
            double reachY = level.halfHeight;
            if (x1 < level.x0 - reachX || x0 > level.x1 + reachX || y1 < level.y0 - reachY || y0 > level.y1 + reachY) {
                continue;
            }
            int c0 = level.column(x0 - reachX);
            int c1 = level.column(x1 + reachX);
            int r1 = level.row(y1 + reachY);
            for (int r = level.row(y0 - reachY); r <= r1; r++) {
                int to = level.start[r * level.columns + c1 + 1];
                for (int q = level.start[r * level.columns + c0]; q < to; q++) {
                    int i = level.items[q];
                    if (left[i] <= x1 && right[i] >= x0 && bottom[i] <= y1 && top[i] >= y0) {
                        hits.add(i);
                    }
                }
            }
        }
    }
}
