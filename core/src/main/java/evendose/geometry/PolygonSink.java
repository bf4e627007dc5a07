package evendose.geometry;

/** Takes polygons, one after the other; see {@link Polygons} for groups and coordinates. */
public interface PolygonSink {
    /**
     * Takes an axis-parallel rectangle given by any two opposite corners.
     *
     * @param group number of its group
     * @param xa x of a corner, dbu
     * @param ya y of this corner, dbu
     * @param xb x of the opposite corner, dbu
     * @param yb y of the opposite corner, dbu
     */
    void addRectangle(int group, long xa, long ya, long xb, long yb);

    /**
     * Takes a polygon.
     *
     * @param group number of its group
     * @param xy x0, y0, x1, y1, ... in dbu; may be changed afterwards
     * @param points number of points taken from {@code xy}
     */
    void addPolygon(int group, long[] xy, int points);
}
