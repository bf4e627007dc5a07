package evendose.report;

import evendose.pieces.Pieces;
import java.io.Serializable;

/**
 * What a tile gives for the report of a correction in tiles: doses by pixel and by factor.
 *
 * @param map doses by pixel
 * @param histogram area by dose factor
 * @serial exclude
 */
public record TilePictures(DoseRaster map, DoseHistogram histogram) implements Serializable {
    /**
     * What all tiles have in common.
     *
     * @param area the layout and its pixels
     * @param low smallest dose factor of all tiles
     * @param high largest
     * @serial exclude
     */
    public record Frame(DoseRaster.Area area, double low, double high) implements Serializable {
        /**
         * {@return a frame for a layout}
         *
         * @param boundsUm smallest x, smallest y, largest x, largest y, um
         * @param low smallest dose factor
         * @param high largest
         */
        public static Frame of(double[] boundsUm, double low, double high) {
            return new Frame(DoseRaster.Area.around(boundsUm, RunSections.DOSE_MAP_PIXELS), low, high);
        }
    }

    /**
     * {@return what pieces of a tile give}
     *
     * @param frame what all tiles have in common
     * @param pieces the pieces, at least one
     * @param factors dose factor of each of their units
     */
    public static TilePictures of(Frame frame, Pieces pieces, double[] factors) {
        DoseHistogram histogram = new DoseHistogram(frame.low, frame.high);
        histogram.add(pieces, factors);
        return new TilePictures(DoseRaster.of(frame.area, pieces, factors), histogram);
    }

    /**
     * {@return nothing, to which tiles are added}
     *
     * @param frame what all tiles have in common
     */
    public static TilePictures none(Frame frame) {
        return new TilePictures(DoseRaster.empty(frame.area), new DoseHistogram(frame.low, frame.high));
    }

    /**
     * Adds a tile.
     *
     * @param tile what it gives
     * @param dxUm how far to the right of where it says it lies, um
     * @param dyUm how far above, um
     */
    public void add(TilePictures tile, double dxUm, double dyUm) {
        map.add(tile.map, dxUm, dyUm);
        histogram.add(tile.histogram);
    }
}
