package evendose.geometry;

import java.util.Arrays;

/** BandTrapezoids taken up at the current height of the scan line, and those found instead. */
final class SpanChanges {
    int closed;
    int[] closedSpan = new int[16];
    int found;
    int[] foundLeft = new int[16];
    int[] foundRight = new int[16];
    char[] foundOwner = new char[16];
    byte[] foundSides = new byte[16];

    void clear() {
        closed = 0;
        found = 0;
    }

    void addClosed(int span) {
        if (closed == closedSpan.length) {
            closedSpan = Arrays.copyOf(closedSpan, 2 * closed);
        }
        closedSpan[closed++] = span;
    }

    void addFound(int left, int right, int owner, boolean leftExposed, boolean rightExposed) {
        if (found == foundLeft.length) {
            foundLeft = Arrays.copyOf(foundLeft, 2 * found);
            foundRight = Arrays.copyOf(foundRight, 2 * found);
            foundOwner = Arrays.copyOf(foundOwner, 2 * found);
            foundSides = Arrays.copyOf(foundSides, 2 * found);
        }
        foundLeft[found] = left;
        foundRight[found] = right;
        foundOwner[found] = (char) owner;
        foundSides[found++] = (byte) ((leftExposed ? 1 : 0) | (rightExposed ? 2 : 0));
    }
}
