package evendose.verification;

import evendose.pieces.Pieces;

/** Finds the piece that holds a point, and pairs of pieces that overlap, by a uniform grid over the bounding boxes. */
final class PieceLookup {
    private final Pieces pieces;
    private final double left;
    private final double bottom;
    private final double cell;
    private final int columns;
    private final int rows;
    private final int[] start;
    private final int[] items;

    PieceLookup(Pieces pieces) {
        this.pieces = pieces;
        int n = pieces.size();
        double[] b = n == 0 ? new double[] {0, 0, 1, 1} : pieces.boundsUm();
        left = b[0];
        bottom = b[1];
        double width = b[2] - b[0];
        double height = b[3] - b[1];
        double side = Math.max(Math.sqrt(width * height / Math.max(1, n)), Math.max(width, height) / (1 << 13));
        columns = (int) (width / side) + 1;
        rows = (int) (height / side) + 1;
        cell = side;
        int[] next = new int[columns * rows + 1];
        for (int i = 0; i < n; i++) {
            int c1 = column(right(i));
            int r1 = row(pieces.yTopUm()[i]);
            for (int r = row(pieces.yBottomUm()[i]); r <= r1; r++) {
                for (int c = column(left(i)); c <= c1; c++) {
                    next[r * columns + c + 1]++;
                }
            }
        }
        for (int c = 0; c < columns * rows; c++) {
            next[c + 1] += next[c];
        }
        start = next.clone();
        items = new int[start[columns * rows]];
        for (int i = 0; i < n; i++) {
            int c1 = column(right(i));
            int r1 = row(pieces.yTopUm()[i]);
            for (int r = row(pieces.yBottomUm()[i]); r <= r1; r++) {
                for (int c = column(left(i)); c <= c1; c++) {
                    items[next[r * columns + c]++] = i;
                }
            }
        }
    }

    private double left(int i) {
        return Math.min(pieces.xLeftBottomUm()[i], pieces.xLeftTopUm()[i]);
    }

    private double right(int i) {
        return Math.max(pieces.xRightBottomUm()[i], pieces.xRightTopUm()[i]);
    }

    private int column(double x) {
        return (int) Math.max(0, Math.min(columns - 1, (x - left) / cell));
    }

    private int row(double y) {
        return (int) Math.max(0, Math.min(rows - 1, (y - bottom) / cell));
    }

    /** The piece that holds the point, widened by {@code slackUm} sideways, or -1. */
    int at(double x, double y, double slackUm) {
        int c = row(y) * columns + column(x);
        for (int q = start[c]; q < start[c + 1]; q++) {
            int i = items[q];
            double y0 = pieces.yBottomUm()[i];
            double y1 = pieces.yTopUm()[i];
            if (y >= y0 - slackUm && y <= y1 + slackUm) {
                double t = Math.max(0, Math.min(1, (y - y0) / (y1 - y0)));
                double xl = pieces.xLeftBottomUm()[i] + t * (pieces.xLeftTopUm()[i] - pieces.xLeftBottomUm()[i]);
                double xr = pieces.xRightBottomUm()[i] + t * (pieces.xRightTopUm()[i] - pieces.xRightBottomUm()[i]);
                if (x >= xl - slackUm && x <= xr + slackUm) {
                    return i;
                }
            }
        }
        return -1;
    }

    /** Sees two pieces that overlap, and the area they share. */
    @FunctionalInterface
    interface OverlapVisitor {
        void overlap(int i, int j, double areaUm2);
    }

    /** Shows every pair of pieces that share area, each pair once, in a fixed order. */
    void forOverlaps(OverlapVisitor visitor) {
        for (int r = 0; r < rows; r++) {
            for (int c = 0; c < columns; c++) {
                int k = r * columns + c;
                for (int q = start[k]; q < start[k + 1]; q++) {
                    for (int p = q + 1; p < start[k + 1]; p++) {
                        int i = items[q];
                        int j = items[p];
                        double y0 = Math.max(pieces.yBottomUm()[i], pieces.yBottomUm()[j]);
                        double x0 = Math.max(left(i), left(j));
                        // The pair is met in every cell both reach; the one that holds this corner counts.
                        if (row(y0) == r && column(x0) == c) {
                            double area = Overlap.areaUm2(pieces, i, j);
                            if (area > 0) {
                                visitor.overlap(i, j, area);
                            }
                        }
                    }
                }
            }
        }
    }
}
