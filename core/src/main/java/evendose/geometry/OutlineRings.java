package evendose.geometry;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * The contours of an outline put together to closed rings. Where slanted sides cross, the merge leaves out what is shorter than 1/64 dbu, so that
 * one ring may come as several contours whose ends nearly meet.
 */
public final class OutlineRings {
    /** Ends nearer than this, dbu, meet. */
    private static final double MEETS = 0.1;

    private final List<int[]> rings = new ArrayList<>();
    private final boolean[] whole;
    private int shapes;

    /**
     * Puts contours together.
     *
     * @param outline the outline
     */
    public OutlineRings(Outline outline) {
        int last = 0;
        for (int e = 0; e < outline.size(); e++) {
            last = Math.max(last, outline.shape(e) + 1);
        }
        this.whole = new boolean[last];
        Arrays.fill(whole, true);
        for (int c = 0; c < outline.contours(); ) {
            int end = c + 1;
            while (end < outline.contours() && shape(outline, end) == shape(outline, c)) {
                end++;
            }
            if (shape(outline, c) >= 0) {
                shapes++;
                ofShape(outline, c, end);
            }
            c = end;
        }
    }

    private static int shape(Outline outline, int contour) {
        return outline.first(contour) < outline.first(contour + 1) ? outline.shape(outline.first(contour)) : -1;
    }

    private void ofShape(Outline outline, int from, int to) {
        boolean[] used = new boolean[to - from];
        for (int c = from; c < to; c++) {
            if (used[c - from]) {
                continue;
            }
            int[] ring = new int[to - from];
            int n = 0;
            int at = c;
            do {
                used[at - from] = true;
                ring[n++] = at;
                at = next(outline, at, c, from, to, used);
            } while (at >= 0 && at != c);
            if (at == c) {
                rings.add(Arrays.copyOf(ring, n));
            } else {
                whole[shape(outline, c)] = false;
            }
        }
    }

    /** The contour that begins where {@code c} ends: the ring's first, or one not used yet; -1 if there is none. */
    private static int next(Outline outline, int c, int first, int from, int to, boolean[] used) {
        int end = outline.first(c + 1) - 1;
        int found = -1;
        double nearest = MEETS;
        for (int k = from; k < to; k++) {
            if (k == first || !used[k - from]) {
                int begin = outline.first(k);
                double away = Math.hypot(outline.x0(begin) - outline.x1(end), outline.y0(begin) - outline.y1(end));
                // Of contours that begin at one place, the ring's first closes it.
                if (away < nearest || (away == nearest && k == first)) {
                    nearest = away;
                    found = k;
                }
            }
        }
        return found;
    }

    /** {@return the rings, each as numbers of contours in order, by rising shape; not to be changed} */
    List<int[]> rings() {
        return rings;
    }

    /**
     * {@return whether all of a shape's outline is closed: it is not where the shape abuts another group}
     *
     * @param shape number of the shape, one that has an outline
     */
    public boolean isWhole(int shape) {
        return whole[shape];
    }

    /**
     * {@return whether shapes hang together as others do: as many shapes and as many rings, so that no gap has closed, no hole is filled and
     * nothing is gone or cut in two}
     *
     * @param other the others
     */
    public boolean isLike(OutlineRings other) {
        return shapes == other.shapes && rings.size() == other.rings.size();
    }
}
