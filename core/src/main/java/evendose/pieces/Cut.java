package evendose.pieces;

import evendose.geometry.EdgeBuffer;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * One way to cut a region: pieces in their own frames, the exposed outline of the pieces, and what the pieces add to the area. In
 * grid units.
 */
final class Cut {
    /** Low, high, from and to of the low side, from and to of the high side, as in {@link Pieces}. */
    final double[][] coordinates = new double[6][16];

    boolean[] standing = new boolean[16];
    int pieces;

    /** Lengths that differ by less, grid units, are the same: a moved layout is divided at the same places. */
    private static final double ROUNDING = 1e-4;

    /** Owner of an edge along the cuts. */
    static final int NO_PIECE = -1;

    /** Exposed outline, directed with the inside on the left; owners are the pieces that edges bound. */
    final EdgeBuffer edges = new EdgeBuffer();

    /** Pieces of less than the smallest extent in x or y. */
    int thin;

    /** Area of the pieces less the area of the region. */
    double addedArea;

    /** What was cut in one direction, and what that added to the area. */
    record Part(List<Ring> rings, boolean standing, double addedArea) {}

    /** The parts of the region, in order. */
    final List<Part> parts = new ArrayList<>();

    /** What a thin piece costs beyond being a piece, at least. */
    static final double THIN = 3;

    /** What the first few cost beyond that: none is much better than few, where drawn shapes leave the choice. */
    private static final double FIRST_THIN = 12;

    /** Thin pieces that are few whatever the others, and how many pieces there are for each where more are few. */
    private static final int FEW = 3;

    private static final int MANY = 16;

    /** What the cut costs a writer, in pieces: thin ones count as several. */
    double cost() {
        return pieces + THIN * thin;
    }

    /** The same as a whole region is judged; parts of it would each pay for their first thin pieces. */
    double wholeCost() {
        return cost() + FIRST_THIN * Math.min(thin, FEW);
    }

    /** What parts of a better cut may cost: more than this one only where few pieces are thin, or too many divisions would be followed up. */
    double limit() {
        return thin <= FEW ? wholeCost() : cost();
    }

    /** Whether other borders are worth looking for: few pieces are thin, so that only the grid is in the way. */
    static boolean areFewThin(int thin, int pieces) {
        return thin > 0 && (thin <= FEW || MANY * thin < pieces);
    }

    void clear() {
        pieces = 0;
        edges.clear();
        parts.clear();
        thin = 0;
        addedArea = 0;
    }

    void add(boolean isStanding, double low, double high, double from0, double to0, double from1, double to1) {
        if (pieces == standing.length) {
            int length = 2 * pieces;
            for (int c = 0; c < 6; c++) {
                coordinates[c] = Arrays.copyOf(coordinates[c], length);
            }
            standing = Arrays.copyOf(standing, length);
        }
        if (isStanding && from0 == from1 && to0 == to1) {
            // Rectangles are level, whichever way they were cut.
            set(from0, to0, low, high, low, high);
            standing[pieces++] = false;
        } else {
            set(low, high, from0, to0, from1, to1);
            standing[pieces++] = isStanding;
        }
    }

    private void set(double low, double high, double from0, double to0, double from1, double to1) {
        coordinates[0][pieces] = low;
        coordinates[1][pieces] = high;
        coordinates[2][pieces] = from0;
        coordinates[3][pieces] = to0;
        coordinates[4][pieces] = from1;
        coordinates[5][pieces] = to1;
    }

    /** Whether a thin piece lies no farther than so from the line y = {@code at} ({@code alongY}) or x = {@code at}. */
    boolean isThinNear(boolean alongY, double at, double reach, double smallest) {
        double[][] c = coordinates;
        for (int i = 0; thin > 0 && i < pieces; i++) {
            double from = Math.min(c[2][i], c[4][i]);
            double to = Math.max(c[3][i], c[5][i]);
            boolean isHeight = standing[i] != alongY;
            double low = isHeight ? c[0][i] : from;
            double high = isHeight ? c[1][i] : to;
            if (Math.min(c[1][i] - c[0][i], to - from) < smallest && low <= at + reach && high >= at - reach) {
                return true;
            }
        }
        return false;
    }

    /** Adds all pieces and edges of another cut. */
    void addAll(Cut other) {
        int before = pieces;
        for (int i = 0; i < other.pieces; i++) {
            double[][] c = other.coordinates;
            add(other.standing[i], c[0][i], c[1][i], c[2][i], c[3][i], c[4][i], c[5][i]);
        }
        for (int e = 0; e < other.edges.size(); e++) {
            int piece = other.edges.owner(e);
            edges.add(
                    other.edges.x0(e),
                    other.edges.y0(e),
                    other.edges.x1(e),
                    other.edges.y1(e),
                    piece == NO_PIECE ? NO_PIECE : before + piece);
        }
        parts.addAll(other.parts);
        thin += other.thin;
        addedArea += other.addedArea;
    }

    /**
     * The same pieces, so that a line along x ({@code alongY}) or along y divides them by their middles and none reaches farther across it than
     * allowed: those that would are cut along it.
     *
     * @param least how far from the ends of its sides a piece may be cut, at least
     * @return null if a slanted side would have to be cut, or if outline along the cuts would be parted from the piece that it bounds
     */
    Cut fallingApart(boolean alongY, double at, double across, double least) {
        double[][] c = coordinates;
        Cut apart = new Cut();
        int[] place = new int[pieces + 1];
        for (int i = 0; i < pieces; i++) {
            place[i] = apart.pieces;
            boolean turned = alongY == standing[i];
            double low = turned ? Math.min(c[2][i], c[4][i]) : c[0][i];
            double high = turned ? Math.max(c[3][i], c[5][i]) : c[1][i];
            if (Math.min(high - at, at - low) <= across + ROUNDING) {
                int c0 = turned ? 0 : 2;
                if (low < at
                        && high > at
                        && (isOutlineAcross(alongY, at, c[c0][i]) || isOutlineAcross(alongY, at, c[c0 + 1][i]))) {
                    return null;
                }
                apart.add(standing[i], c[0][i], c[1][i], c[2][i], c[3][i], c[4][i], c[5][i]);
            } else if (turned) {
                if (Math.min(at - Math.max(c[2][i], c[4][i]), Math.min(c[3][i], c[5][i]) - at) < least) {
                    return null;
                }
                apart.add(standing[i], c[0][i], c[1][i], c[2][i], at, c[4][i], at);
                apart.add(standing[i], c[0][i], c[1][i], at, c[3][i], at, c[5][i]);
            } else {
                if (c[2][i] != c[4][i] || c[3][i] != c[5][i] || Math.min(at - low, high - at) < least) {
                    return null;
                }
                apart.add(standing[i], low, at, c[2][i], c[3][i], c[2][i], c[3][i]);
                apart.add(standing[i], at, high, c[2][i], c[3][i], c[2][i], c[3][i]);
            }
        }
        place[pieces] = apart.pieces;
        if (apart.pieces == pieces) {
            return this;
        }
        for (int e = 0; e < edges.size(); e++) {
            int piece = edges.owner(e);
            if (piece == NO_PIECE || place[piece + 1] - place[piece] == 1) {
                apart.edges.add(
                        edges.x0(e),
                        edges.y0(e),
                        edges.x1(e),
                        edges.y1(e),
                        piece == NO_PIECE ? NO_PIECE : place[piece]);
            } else {
                apart.addPart(alongY, at, true, this, e, place[piece]);
                apart.addPart(alongY, at, false, this, e, place[piece] + 1);
            }
        }
        return apart;
    }

    /** Whether outline along the cuts crosses a line at place {@code along} of it. */
    private boolean isOutlineAcross(boolean alongY, double at, double along) {
        for (int e = 0; e < edges.size(); e++) {
            double p0 = alongY ? edges.y0(e) : edges.x0(e);
            double p1 = alongY ? edges.y1(e) : edges.x1(e);
            if (edges.owner(e) == NO_PIECE
                    && Math.min(p0, p1) < at
                    && Math.max(p0, p1) > at
                    && (alongY ? edges.x0(e) : edges.y0(e)) == along) {
                return true;
            }
        }
        return false;
    }

    private boolean isBelow(boolean alongY, double at, int i) {
        double[][] c = coordinates;
        return alongY == standing[i]
                ? 0.25 * (c[2][i] + c[3][i] + c[4][i] + c[5][i]) < at - ROUNDING
                : 0.5 * (c[0][i] + c[1][i]) < at - ROUNDING;
    }

    /** Pieces whose middles lie below a line, or the others. */
    Cut side(boolean alongY, double at, boolean below) {
        Cut side = new Cut();
        double[][] c = coordinates;
        int[] place = new int[pieces];
        for (int i = 0; i < pieces; i++) {
            place[i] = -1;
            if (isBelow(alongY, at, i) == below) {
                place[i] = side.pieces;
                side.add(standing[i], c[0][i], c[1][i], c[2][i], c[3][i], c[4][i], c[5][i]);
            }
        }
        for (int e = 0; e < edges.size(); e++) {
            int piece = edges.owner(e);
            if (piece == NO_PIECE) {
                side.addPart(alongY, at, below, this, e, NO_PIECE);
            } else if (place[piece] >= 0) {
                side.edges.add(edges.x0(e), edges.y0(e), edges.x1(e), edges.y1(e), place[piece]);
            }
        }
        return side;
    }

    /** Whether no piece reaches farther from a line than so far. */
    boolean liesNear(boolean alongY, double at, double reach) {
        double[][] c = coordinates;
        for (int i = 0; i < pieces; i++) {
            boolean turned = alongY == standing[i];
            double low = turned ? Math.min(c[2][i], c[4][i]) : c[0][i];
            double high = turned ? Math.max(c[3][i], c[5][i]) : c[1][i];
            if (Math.max(high - at, at - low) > reach) {
                return false;
            }
        }
        return true;
    }

    /** Adds what of an edge of another cut lies on one side of a line. */
    private void addPart(boolean alongY, double at, boolean below, Cut other, int e, int piece) {
        double x0 = other.edges.x0(e);
        double y0 = other.edges.y0(e);
        double x1 = other.edges.x1(e);
        double y1 = other.edges.y1(e);
        double p0 = alongY ? y0 : x0;
        double p1 = alongY ? y1 : x1;
        if (Math.min(p0, p1) < at && Math.max(p0, p1) > at) {
            boolean first = p0 < at == below;
            double x = alongY ? x0 : at;
            double y = alongY ? at : y0;
            edges.add(first ? x0 : x, first ? y0 : y, first ? x : x1, first ? y : y1, piece);
        } else {
            // What runs along the line belongs to the side that lies on its left.
            boolean isBelow = p0 == at && p1 == at ? (alongY ? x1 < x0 : y1 > y0) : 0.5 * (p0 + p1) < at;
            if (isBelow == below) {
                edges.add(x0, y0, x1, y1, piece);
            }
        }
    }

    /** Length of exposed outline. */
    double exposed() {
        double length = 0;
        for (int e = 0; e < edges.size(); e++) {
            length += edges.length(e);
        }
        return length;
    }
}
