package evendose.report;

import evendose.pieces.Pieces;
import evendose.verification.Exposure;
import java.awt.image.BufferedImage;
import java.util.Arrays;

/**
 * The dose factors of a whole layout as a picture: each pixel has the mean factor of what is exposed in it, weighted by area;
 * pixels without any are white.
 */
final class DoseMap {
    /** Maps are looked at in a page: this many pixels of it. */
    private static final int PAGE_WIDTH = 780;

    private DoseMap() {}

    /**
     * Draws the map.
     *
     * @param exposure the doses and what they expose
     * @param mostPixels largest width and height of the map, pixels
     * @return the map
     */
    static Picture of(Exposure exposure, int mostPixels) {
        double[] factors = exposure.factors();
        double low = Arrays.stream(factors).min().orElse(0);
        double high = Arrays.stream(factors).max().orElse(0);
        return of(whole(exposure.pieces(), factors, mostPixels), DoseColours.over(low, high));
    }

    /** Draws a map that may have been put together of parts. */
    static Picture of(DoseRaster raster, DoseColours colours) {
        DoseRaster.Area a = raster.all();
        MapFrame frame = new MapFrame(a.x0(), a.y0(), a.x1(), a.y1(), a.width(), a.height(), PAGE_WIDTH);
        frame.map(raster.image(colours));
        byte[] png = frame.finish("Dose factor", "dose factor", colours.high(), colours.low(), Double.NaN);
        return new Picture(
                "dose-map",
                "Dose factors of the whole layout; each pixel shows the mean over what is exposed in it.",
                png,
                "");
    }

    /** The map without its frame: its area, its colours and its pixels, the first row at the top. */
    record Overview(DoseRaster.Area area, DoseColours colours, BufferedImage image) {}

    static Overview overview(Pieces p, double[] factors, DoseColours colours, int mostPixels) {
        DoseRaster raster = whole(p, factors, mostPixels);
        return new Overview(raster.all(), colours, raster.image(colours));
    }

    private static DoseRaster whole(Pieces p, double[] factors, int mostPixels) {
        DoseRaster.Area area = DoseRaster.Area.around(p.boundsUm(), mostPixels);
        DoseRaster all = DoseRaster.empty(area);
        all.add(DoseRaster.of(area, p, factors), 0, 0);
        return all;
    }
}
