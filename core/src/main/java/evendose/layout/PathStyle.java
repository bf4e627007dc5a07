package evendose.layout;

import java.io.Serializable;

/**
 * How wide a path is and how it ends.
 *
 * <p>Joins are mitred, but reach at most half a width beyond the spine's point along either segment: corners of up to 90
 * degrees are whole, sharper ones are cut off. Round ends are polygons inscribed in the half circle, no farther from it than
 * half a dbu or a thousandth of the radius, whichever is larger (held by {@code PathOutlinePropertyTest}).
 *
 * @param width full width, dbu, at least 0
 * @param absolute whether the width (and with it a round or half-width end) stays as it is under magnification
 * @param end shape of both ends
 * @param beginExtension for {@link End#EXTENDED}: how far the path reaches beyond its first point, dbu; negative shortens it
 * @param endExtension likewise beyond the last point
 * @serial exclude
 */
public record PathStyle(long width, boolean absolute, End end, long beginExtension, long endExtension)
        implements Serializable {
    /** Shape of a path's ends. */
    public enum End {
        /** Cut at the end point. */
        FLUSH,
        /** Half a disc around the end point. */
        ROUND,
        /** Cut half a width beyond the end point. */
        HALF_WIDTH,
        /** Cut beyond the end point by a length of its own. */
        EXTENDED
    }

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public PathStyle {
        if (width < 0) {
            throw new IllegalArgumentException("a path's width must be at least 0, got " + width);
        }
    }

    /**
     * {@return a path with the same end on both sides that follows the magnification}
     *
     * @param width width, dbu
     * @param end form of both ends
     */
    public static PathStyle of(long width, End end) {
        return new PathStyle(width, false, end, 0, 0);
    }

    /** No point of the outline lies farther from a point of the spine than this, dbu, at magnification 1. */
    long reach() {
        // A join reaches half a width sideways and at most as far ahead (PathOutline), an end as far as it is extended.
        return width + Math.max(0, Math.max(beginExtension, endExtension));
    }
}
