package evendose.pieces;

import evendose.geometry.EdgeBuffer;
import evendose.geometry.Trapezoids;
import java.util.Arrays;

/**
 * Cuts one shape into pieces, gathers them into units and lists the exposed outline of each. Works in dbu on scratch arrays
 * that are used again for the next shape.
 */
final class ShapeCutter {
    private static final int LEFT = 1;
    private static final int RIGHT = 2;
    private static final int BOTTOM = 4;
    private static final int TOP = 8;

    /** Remainders with less exposed outline than this many direct ranges join a neighbour. */
    private static final double SHORT_OUTLINE = 5;

    /** Parts narrower than this many direct ranges are units of their own. */
    private static final double NARROW = 3;

    // Pieces: y bottom, y top, x left bottom, x right bottom, x left top, x right top.
    final double[][] coordinates = new double[6][64];
    int pieces;

    /** Pieces by unit: unit u holds pieces order[unitFirst[u]] to order[unitFirst[u + 1] - 1]. */
    int[] order = new int[64];

    int[] unitFirst = new int[65];
    int units;

    /** Exposed outline of the units, directed with the inside on the left. */
    final EdgeBuffer edges = new EdgeBuffer();

    private final Trapezoids merged;
    private final double maxPiece;
    private final double direct;
    private final double strip;

    private long[] key = new long[64];
    private int[] unitOf = new int[64];
    private double[] xCuts = new double[8];
    private double[] yCuts = new double[8];
    private int xCells;
    private int yCells;

    // Seams along vertical cuts, between pieces seamA[k] and seamB[k].
    private int[] seamA = new int[64];
    private int[] seamB = new int[64];
    private double[] seamLength = new double[64];
    private int seams;

    ShapeCutter(Trapezoids merged, double dbuUm, FractureOptions options) {
        this.merged = merged;
        this.maxPiece = options.maxPieceUm() / dbuUm;
        this.direct = options.directRangeUm() / dbuUm;
        this.strip = options.stripUm() / dbuUm;
    }

    void cut(int s) {
        int from = merged.first(s);
        int to = merged.first(s + 1);
        pieces = 0;
        edges.clear();
        seams = 0;
        divideBox(from, to);
        for (int i = from; i < to; i++) {
            cutTrapezoid(i);
        }
        gatherUnits();
    }

    private void divideBox(int from, int to) {
        double left = Double.MAX_VALUE;
        double right = -Double.MAX_VALUE;
        double bottom = Double.MAX_VALUE;
        double top = -Double.MAX_VALUE;
        for (int i = from; i < to; i++) {
            left = Math.min(left, Math.min(merged.xLeftBottom(i), merged.xLeftTop(i)));
            right = Math.max(right, Math.max(merged.xRightBottom(i), merged.xRightTop(i)));
            bottom = Math.min(bottom, merged.yBottom(i));
            top = Math.max(top, merged.yTop(i));
        }
        int nx = cells(right - left);
        if (xCuts.length < nx + 1) {
            xCuts = new double[nx + 1];
        }
        xCells = nx;
        divide(left, right, xCuts, nx);
        int ny = cells(top - bottom);
        if (yCuts.length < ny + 1) {
            yCuts = new double[ny + 1];
        }
        yCells = ny;
        divide(bottom, top, yCuts, ny);
    }

    /** Whether an extent, dbu, needs no cut. */
    boolean isOneCell(double extent) {
        return cells(extent) == 1;
    }

    private boolean hasStrips(double extent) {
        return strip > 0 && extent > 4 * strip;
    }

    private int cells(double extent) {
        if (hasStrips(extent)) {
            return 2 + (int) Math.ceil((extent - 2 * strip) / maxPiece - 1e-9);
        }
        return Math.max(1, (int) Math.ceil(extent / maxPiece - 1e-9));
    }

    /** Even cells between whole dbu, with a strip at either end of a large extent if strips are asked for. */
    private void divide(double from, double to, double[] cuts, int n) {
        double edge = hasStrips(to - from) ? strip : 0;
        int first = edge > 0 ? 1 : 0;
        cuts[0] = from;
        int inner = n - 2 * first;
        for (int k = 0; k <= inner; k++) {
            cuts[first + k] = Math.rint(from + edge + (to - from - 2 * edge) * k / inner);
        }
        cuts[0] = from;
        cuts[n] = to;
    }

    private void cutTrapezoid(int i) {
        double yb = merged.yBottom(i);
        double yt = merged.yTop(i);
        double lb = merged.xLeftBottom(i);
        double rb = merged.xRightBottom(i);
        double lt = merged.xLeftTop(i);
        double rt = merged.xRightTop(i);
        int flags = (merged.leftExposed(i) ? LEFT : 0) | (merged.rightExposed(i) ? RIGHT : 0) | BOTTOM | TOP;
        boolean narrow = isNarrow(i);
        double y = yb;
        double l = lb;
        double r = rb;
        for (int row = cellOf(yCuts, yCells, yb); row < yCells - 1; row++) {
            double c = yCuts[row + 1];
            double slack = slack(yCuts, row);
            if (c - y <= slack) {
                continue;
            }
            if (yt - c <= slack) {
                break;
            }
            double f = (c - yb) / (yt - yb);
            double cl = lb + f * (lt - lb);
            double cr = rb + f * (rt - rb);
            cutRow(i, y, c, l, r, cl, cr, flags & ~TOP & (y == yb ? ~0 : ~BOTTOM), narrow);
            y = c;
            l = cl;
            r = cr;
        }
        cutRow(i, y, yt, l, r, lt, rt, flags & (y == yb ? ~0 : ~BOTTOM), narrow);
    }

    /** How thin a part may be that a cut at the end of cell {@code k} leaves. */
    private double slack(double[] cuts, int k) {
        double cell = Math.min(cuts[k + 1] - cuts[k], cuts[k + 2] - cuts[k + 1]);
        return Math.min(0.3 * cell, Math.max(cell / 7, 5 * direct));
    }

    /** A narrow vertical line, or a narrow horizontal one: thin in one direction with outline on both sides. */
    private boolean isNarrow(int i) {
        double limit = NARROW * direct;
        double width =
                Math.max(merged.xRightBottom(i) - merged.xLeftBottom(i), merged.xRightTop(i) - merged.xLeftTop(i));
        if (merged.leftExposed(i) && merged.rightExposed(i) && width < limit) {
            return true;
        }
        if (merged.yTop(i) - merged.yBottom(i) >= limit) {
            return false;
        }
        double below = 0;
        double above = 0;
        for (int e = merged.exposedFirst(i); e < merged.exposedFirst(i + 1); e++) {
            double length = merged.exposedTo(e) - merged.exposedFrom(e);
            if (merged.exposedOnTop(e)) {
                above += length;
            } else {
                below += length;
            }
        }
        return Math.min(below, above) > 0.7 * width;
    }

    /** Cuts the part of trapezoid {@code i} that lies in one row of cells at the borders between columns. */
    private void cutRow(
            int i, double yb, double yt, double lb, double rb, double lt, double rt, int flags, boolean narrow) {
        int column = cellOf(xCuts, xCells, Math.min(lb, lt));
        for (; column < xCells - 1; column++) {
            double c = xCuts[column + 1];
            double slack = slack(xCuts, column);
            if (c - Math.min(lb, lt) <= slack) {
                continue;
            }
            if (Math.max(rb, rt) - c <= slack) {
                break;
            }
            boolean leftCrosses = (lb - c) * (lt - c) < 0 && Math.max(lb, lt) - c > slack;
            boolean rightCrosses = (rb - c) * (rt - c) < 0 && c - Math.min(rb, rt) > slack;
            double at = Double.NaN;
            if (leftCrosses && rightCrosses) {
                // A slanted line is cut across where its middle passes the border.
                at = (2 * c - lb - rb) / (lt + rt - lb - rb);
            } else if (leftCrosses) {
                at = (c - lb) / (lt - lb);
            } else if (rightCrosses) {
                at = (c - rb) / (rt - rb);
            }
            double y = Math.rint(yb + at * (yt - yb));
            if (y > yb && y < yt) {
                double f = (y - yb) / (yt - yb);
                double l = lb + f * (lt - lb);
                double r = rb + f * (rt - rb);
                cutRow(i, yb, y, lb, rb, l, r, flags & ~TOP, narrow);
                cutRow(i, y, yt, l, r, lt, rt, flags & ~BOTTOM, narrow);
                return;
            }
            // Where a side strays over the border a little, the cut follows it.
            double cb = Math.min(Math.max(c, lb), rb);
            double ct = Math.min(Math.max(c, lt), rt);
            add(i, yb, yt, lb, cb, lt, ct, flags & ~RIGHT, narrow);
            addSeam(pieces - 1, pieces, yt - yb);
            lb = cb;
            lt = ct;
            flags &= ~LEFT;
        }
        add(i, yb, yt, lb, rb, lt, rt, flags, narrow);
    }

    /** The cell that holds {@code v}; one on a border belongs to the cell after it. */
    private static int cellOf(double[] cuts, int n, double v) {
        int k = Arrays.binarySearch(cuts, 0, n + 1, v);
        k = k >= 0 ? k : -k - 2;
        return Math.max(0, Math.min(n - 1, k));
    }

    private void add(
            int i, double yb, double yt, double lb, double rb, double lt, double rt, int flags, boolean narrow) {
        if (pieces == key.length) {
            int length = 2 * pieces;
            for (int c = 0; c < 6; c++) {
                coordinates[c] = Arrays.copyOf(coordinates[c], length);
            }
            key = Arrays.copyOf(key, length);
            order = Arrays.copyOf(order, length);
            unitOf = Arrays.copyOf(unitOf, length);
        }
        coordinates[0][pieces] = yb;
        coordinates[1][pieces] = yt;
        coordinates[2][pieces] = lb;
        coordinates[3][pieces] = rb;
        coordinates[4][pieces] = lt;
        coordinates[5][pieces] = rt;
        int column = cellOf(xCuts, xCells, 0.25 * (lb + rb + lt + rt));
        int row = cellOf(yCuts, yCells, 0.5 * (yb + yt));
        key[pieces] = ((long) row * xCells + column) * 2 + (narrow ? 1 : 0);
        addEdges(i, flags);
        pieces++;
    }

    /** Outline of the piece that is being added; the piece stands in for its unit until units are known. */
    private void addEdges(int i, int flags) {
        double yb = coordinates[0][pieces];
        double yt = coordinates[1][pieces];
        double lb = coordinates[2][pieces];
        double rb = coordinates[3][pieces];
        double lt = coordinates[4][pieces];
        double rt = coordinates[5][pieces];
        if ((flags & RIGHT) != 0) {
            edges.add(rb, yb, rt, yt, pieces);
        }
        if ((flags & LEFT) != 0) {
            edges.add(lt, yt, lb, yb, pieces);
        }
        if ((flags & (BOTTOM | TOP)) != 0) {
            for (int e = merged.exposedFirst(i); e < merged.exposedFirst(i + 1); e++) {
                double from = merged.exposedFrom(e);
                double to = merged.exposedTo(e);
                if (merged.exposedOnTop(e)) {
                    if ((flags & TOP) != 0 && Math.min(to, rt) > Math.max(from, lt)) {
                        edges.add(Math.min(to, rt), yt, Math.max(from, lt), yt, pieces);
                    }
                } else if ((flags & BOTTOM) != 0 && Math.min(to, rb) > Math.max(from, lb)) {
                    edges.add(Math.max(from, lb), yb, Math.min(to, rb), yb, pieces);
                }
            }
        }
    }

    private void gatherUnits() {
        if (pieces == 1) {
            order[0] = 0;
            unitFirst[0] = 0;
            unitFirst[1] = 1;
            units = 1;
            return;
        }
        int found = numberByKey();
        if (found > 1) {
            found = joinRemainders(found);
        }
        units = found;
        if (unitFirst.length < units + 1) {
            unitFirst = new int[Math.max(units + 1, 2 * unitFirst.length)];
        }
        Arrays.fill(unitFirst, 0, units + 1, 0);
        for (int i = 0; i < pieces; i++) {
            unitFirst[unitOf[i] + 1]++;
        }
        for (int u = 0; u < units; u++) {
            unitFirst[u + 1] += unitFirst[u];
        }
        int[] at = Arrays.copyOf(unitFirst, units);
        for (int i = 0; i < pieces; i++) {
            order[at[unitOf[i]]++] = i;
        }
        for (int e = 0; e < edges.size(); e++) {
            edges.setOwner(e, unitOf[edges.owner(e)]);
        }
    }

    /** Numbers the distinct keys in rising order into {@link #unitOf}; returns how many there are. */
    private int numberByKey() {
        long[] sorted = Arrays.copyOf(key, pieces);
        Arrays.sort(sorted);
        int distinct = 0;
        for (int i = 0; i < pieces; i++) {
            if (i == 0 || sorted[i] != sorted[distinct - 1]) {
                sorted[distinct++] = sorted[i];
            }
        }
        for (int i = 0; i < pieces; i++) {
            unitOf[i] = Arrays.binarySearch(sorted, 0, distinct, key[i]);
        }
        return distinct;
    }

    /** Joins units with little exposed outline to a neighbour; renumbers and returns how many units are left. */
    private int joinRemainders(int found) {
        double[] outline = new double[found];
        for (int e = 0; e < edges.size(); e++) {
            outline[unitOf[edges.owner(e)]] += edges.length(e);
        }
        double limit = SHORT_OUTLINE * direct;
        boolean any = false;
        for (double length : outline) {
            any |= length > 0 && length < limit;
        }
        if (!any) {
            return found;
        }
        addHorizontalSeams();
        int[] head = new int[found];
        Arrays.fill(head, -1);
        int[] next = new int[2 * seams];
        for (int k = 0; k < seams; k++) {
            next[2 * k] = head[unitOf[seamA[k]]];
            head[unitOf[seamA[k]]] = 2 * k;
            next[2 * k + 1] = head[unitOf[seamB[k]]];
            head[unitOf[seamB[k]]] = 2 * k + 1;
        }
        int[] root = new int[found];
        for (int u = 0; u < found; u++) {
            root[u] = u;
        }
        double[] shared = new double[found];
        for (int u = 0; u < found; u++) {
            if (outline[u] > 0 && outline[u] < limit) {
                int best = longestSeam(u, head, next, root, shared);
                if (best >= 0) {
                    root[u] = best;
                    outline[best] += outline[u];
                }
            }
        }
        int[] number = new int[found];
        int left = 0;
        for (int u = 0; u < found; u++) {
            if (root[u] == u) {
                number[u] = left++;
            }
        }
        for (int i = 0; i < pieces; i++) {
            unitOf[i] = number[find(root, unitOf[i])];
        }
        return left;
    }

    private int longestSeam(int u, int[] head, int[] next, int[] root, double[] shared) {
        int best = -1;
        for (int h = head[u]; h >= 0; h = next[h]) {
            int other = find(root, unitOf[(h & 1) == 0 ? seamB[h >> 1] : seamA[h >> 1]]);
            if (other != u) {
                shared[other] += seamLength[h >> 1];
                if (best < 0 || shared[other] > shared[best] || (shared[other] == shared[best] && other < best)) {
                    best = other;
                }
            }
        }
        for (int h = head[u]; h >= 0; h = next[h]) {
            shared[find(root, unitOf[(h & 1) == 0 ? seamB[h >> 1] : seamA[h >> 1]])] = 0;
        }
        return best;
    }

    private static int find(int[] root, int u) {
        int r = u;
        while (root[r] != r) {
            r = root[r];
        }
        return r;
    }

    private void addSeam(int a, int b, double length) {
        if (seams == seamA.length) {
            seamA = Arrays.copyOf(seamA, 2 * seams);
            seamB = Arrays.copyOf(seamB, 2 * seams);
            seamLength = Arrays.copyOf(seamLength, 2 * seams);
        }
        seamA[seams] = a;
        seamB[seams] = b;
        seamLength[seams++] = length;
    }

    /** Adds the seams where the top of one piece meets the bottom of another. */
    private void addHorizontalSeams() {
        Integer[] tops = new Integer[pieces];
        Integer[] bottoms = new Integer[pieces];
        for (int i = 0; i < pieces; i++) {
            tops[i] = i;
            bottoms[i] = i;
        }
        double[][] c = coordinates;
        Arrays.sort(
                tops,
                (a, b) -> c[1][a] != c[1][b] ? Double.compare(c[1][a], c[1][b]) : Double.compare(c[4][a], c[4][b]));
        Arrays.sort(
                bottoms,
                (a, b) -> c[0][a] != c[0][b] ? Double.compare(c[0][a], c[0][b]) : Double.compare(c[2][a], c[2][b]));
        int a = 0;
        int b = 0;
        while (a < pieces && b < pieces) {
            int below = tops[a];
            int above = bottoms[b];
            if (c[1][below] != c[0][above]) {
                if (c[1][below] < c[0][above]) {
                    a++;
                } else {
                    b++;
                }
                continue;
            }
            double overlap = Math.min(c[5][below], c[3][above]) - Math.max(c[4][below], c[2][above]);
            if (overlap > 0) {
                addSeam(below, above, overlap);
            }
            if (c[5][below] < c[3][above]) {
                a++;
            } else {
                b++;
            }
        }
    }
}
