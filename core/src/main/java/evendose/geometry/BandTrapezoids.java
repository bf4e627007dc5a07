package evendose.geometry;

import java.util.Arrays;

/**
 * Trapezoids as one sweep leaves them, in the order in which they were opened, that is by bottom, then from left to right.
 * Growing arrays, indexed by span; {@code parent} holds a forest in which spans that hang together have one root, their first.
 */
final class BandTrapezoids {
    int size;
    double[] yBottom = new double[16];
    double[] yTop = new double[16];
    double[] xLeftBottom = new double[16];
    double[] xRightBottom = new double[16];
    double[] xLeftTop = new double[16];
    double[] xRightTop = new double[16];
    char[] group = new char[16];
    byte[] sides = new byte[16];
    int[] parent = new int[16];

    int parts;
    /** Span of each exposed horizontal part, twice, plus 1 on top. */
    int[] partSpan = new int[16];

    double[] partFrom = new double[16];
    double[] partTo = new double[16];

    /** Makes room for one more span, in a forest tree of its own, and returns its number. */
    int add() {
        if (size == yBottom.length) {
            int length = size + (size >> 1);
            yBottom = Arrays.copyOf(yBottom, length);
            yTop = Arrays.copyOf(yTop, length);
            xLeftBottom = Arrays.copyOf(xLeftBottom, length);
            xRightBottom = Arrays.copyOf(xRightBottom, length);
            xLeftTop = Arrays.copyOf(xLeftTop, length);
            xRightTop = Arrays.copyOf(xRightTop, length);
            group = Arrays.copyOf(group, length);
            sides = Arrays.copyOf(sides, length);
            parent = Arrays.copyOf(parent, length);
        }
        parent[size] = size;
        return size++;
    }

    /**
     * Ends span {@code s}. If its lines have crossed just below {@code height}, it is a triangle up to their crossing.
     *
     * @param height on the height grid
     * @param left x of its left line there, dbu
     * @param leftSlope slope of its left line, dbu per step of the height grid
     */
    void setTop(int s, long height, double left, double leftSlope, double right, double rightSlope) {
        double y = (double) height / Lines.STEPS;
        double xLeft = left;
        double xRight = right;
        if (left > right) {
            // They have crossed less than a step of the grid below; far from the origin, doubles may not tell.
            double back = (left - right) / (leftSlope - rightSlope);
            double apex = y - back / Lines.STEPS;
            if (apex > y - 1.0 / Lines.STEPS) {
                y = apex;
                xLeft = left - back * leftSlope;
            } else {
                xLeft = 0.5 * (left + right);
            }
            xRight = xLeft;
        }
        yTop[s] = y;
        xLeftTop[s] = xLeft;
        xRightTop[s] = xRight;
    }

    void addPart(int span, boolean onTop, double from, double to) {
        if (parts == partSpan.length) {
            int length = parts + (parts >> 1);
            partSpan = Arrays.copyOf(partSpan, length);
            partFrom = Arrays.copyOf(partFrom, length);
            partTo = Arrays.copyOf(partTo, length);
        }
        partSpan[parts] = 2 * span + (onTop ? 1 : 0);
        partFrom[parts] = from;
        partTo[parts++] = to;
    }

    /** A copy whose arrays are no longer than they need be. */
    BandTrapezoids trimmed() {
        BandTrapezoids copy = new BandTrapezoids();
        copy.size = size;
        copy.yBottom = Arrays.copyOf(yBottom, size);
        copy.yTop = Arrays.copyOf(yTop, size);
        copy.xLeftBottom = Arrays.copyOf(xLeftBottom, size);
        copy.xRightBottom = Arrays.copyOf(xRightBottom, size);
        copy.xLeftTop = Arrays.copyOf(xLeftTop, size);
        copy.xRightTop = Arrays.copyOf(xRightTop, size);
        copy.group = Arrays.copyOf(group, size);
        copy.sides = Arrays.copyOf(sides, size);
        copy.parent = Arrays.copyOf(parent, size);
        copy.parts = parts;
        copy.partSpan = Arrays.copyOf(partSpan, parts);
        copy.partFrom = Arrays.copyOf(partFrom, parts);
        copy.partTo = Arrays.copyOf(partTo, parts);
        return copy;
    }

    /** Gives memory back. */
    void forgetAllButParts() {
        size = 0;
        yBottom = yTop = xLeftBottom = xRightBottom = xLeftTop = xRightTop = null;
        group = null;
        sides = null;
        parent = null;
    }

    void clear() {
        size = 0;
        parts = 0;
    }
}
