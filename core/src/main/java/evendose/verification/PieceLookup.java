package evendose.verification;

import evendose.pieces.Overlap;
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
            int c1 = column(pieces.rightUm(i));
            int r1 = row(pieces.topUm(i));
            for (int r = row(pieces.bottomUm(i)); r <= r1; r++) {
                for (int c = column(pieces.leftUm(i)); c <= c1; c++) {
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
            int c1 = column(pieces.rightUm(i));
            int r1 = row(pieces.topUm(i));
            for (int r = row(pieces.bottomUm(i)); r <= r1; r++) {
                for (int c = column(pieces.leftUm(i)); c <= c1; c++) {
                    items[next[r * columns + c]++] = i;
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

    /** The piece that holds the point, widened by {@code slackUm}, or -1. */
    int at(double x, double y, double slackUm) {
        int c = row(y) * columns + column(x);
        for (int q = start[c]; q < start[c + 1]; q++) {
            int i = items[q];
            double low = pieces.lowUm()[i];
            double high = pieces.highUm()[i];
            double across = pieces.standing(i) ? x : y;
            if (across >= low - slackUm && across <= high + slackUm) {
                double t = Math.max(0, Math.min(1, (across - low) / (high - low)));
                double from = pieces.fromLowUm()[i] + t * (pieces.fromHighUm()[i] - pieces.fromLowUm()[i]);
                double to = pieces.toLowUm()[i] + t * (pieces.toHighUm()[i] - pieces.toLowUm()[i]);
                double along = pieces.standing(i) ? y : x;
                if (along >= from - slackUm && along <= to + slackUm) {
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
                        double y0 = Math.max(pieces.bottomUm(i), pieces.bottomUm(j));
                        double x0 = Math.max(pieces.leftUm(i), pieces.leftUm(j));
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
