package evendose.correction;

/**
 * How much memory a correction will take, told before it begins.
 *
 * <p>The numbers are measured on layouts of rectangles: runs of a million finish with 900 MB of heap and not with 600 MB (see
 * DEVELOPERS.md). Half of it are samples, the rest pieces, weights and the history of the iteration.
 */
public final class MemoryNeed {
    private static final double BYTES_PER_PIECE = 750;
    private static final double BYTES_AT_LEAST = 60e6;

    private MemoryNeed() {}

    /**
     * For polygons that are not merged yet, bytes; at least one piece a polygon is assumed.
     *
     * @param count number of polygons after flattening
     */
    public static double ofPolygons(double count) {
        return BYTES_AT_LEAST + BYTES_PER_PIECE * count;
    }

    /**
     * For merged shapes, bytes.
     *
     * @param trapezoids number of merged trapezoids
     * @param areaUm2 their area, um^2
     * @param cellUm largest extent of a dose unit, um
     */
    public static double ofMerged(double trapezoids, double areaUm2, double cellUm) {
        return BYTES_AT_LEAST + BYTES_PER_PIECE * (trapezoids + areaUm2 / (cellUm * cellUm));
    }
}
