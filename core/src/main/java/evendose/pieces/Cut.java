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

    /** Exposed outline, directed with the inside on the left. */
    final EdgeBuffer edges = new EdgeBuffer();

    /** Pieces of less than the smallest extent in x or y. */
    int thin;

    /** Area of the pieces less the area of the region. */
    double addedArea;

    /** What was cut in one direction, and what that added to the area. */
    record Part(List<Ring> rings, boolean standing, double addedArea) {}

    /** The parts of the region, in order. */
    final List<Part> parts = new ArrayList<>();

    /** What a thin piece costs beyond being a piece. */
    private static final double THIN = 3;

    /** What the cut costs a writer, in pieces: thin ones count as several. */
    double cost() {
        return pieces + THIN * thin;
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

    /** Adds all pieces and edges of another cut. */
    void addAll(Cut other) {
        for (int i = 0; i < other.pieces; i++) {
            double[][] c = other.coordinates;
            add(other.standing[i], c[0][i], c[1][i], c[2][i], c[3][i], c[4][i], c[5][i]);
        }
        for (int e = 0; e < other.edges.size(); e++) {
            edges.add(other.edges.x0(e), other.edges.y0(e), other.edges.x1(e), other.edges.y1(e), other.edges.owner(e));
        }
        parts.addAll(other.parts);
        thin += other.thin;
        addedArea += other.addedArea;
    }
}
