package evendose.report;

import java.awt.Color;
import java.awt.geom.Path2D;
import java.awt.image.BufferedImage;
import java.util.List;
import java.util.Locale;

/** An energy raster as a picture, with the threshold contour (white) and the drawn outline (black). */
public final class EnergyMap {
    /** Size of a map that has a page's or screen's width to itself, pixels. */
    public static final int ALONE = 780;

    /** Size of a map beside another one, pixels. */
    public static final int IN_A_PAIR = 340;

    private static final int SMALLEST = 600;

    private EnergyMap() {}

    /**
     * Draws the map.
     *
     * @param raster the energies
     * @param name file name without its ending
     * @param title title above the map
     * @param threshold energy of the contour
     * @param high energy of the lightest colour, positive; 0 is the darkest
     * @param contours the developed outline
     * @param drawn rings of the drawn outline, x0, y0, x1, y1, ... in um
     * @param shownAt size in pixels at which the map will be looked at, for instance {@link #ALONE} or {@link #IN_A_PAIR}
     * @return the map
     */
    public static Picture of(
            EnergyRaster raster,
            String name,
            String title,
            double threshold,
            double high,
            Contours contours,
            List<double[]> drawn,
            int shownAt) {
        int columns = raster.columns();
        int rows = raster.rows();
        BufferedImage image = new BufferedImage(columns, rows, BufferedImage.TYPE_INT_RGB);
        for (int r = 0; r < rows; r++) {
            for (int c = 0; c < columns; c++) {
                image.setRGB(c, rows - 1 - r, ColourScale.rgb(raster.value(c, r) / high));
            }
        }
        int zoom = Math.max(1, (int) Math.ceil((double) SMALLEST / Math.max(columns, rows)));
        double x1 = raster.leftUm() + columns * raster.pixelUm();
        double y1 = raster.bottomUm() + rows * raster.pixelUm();
        MapFrame frame = new MapFrame(raster.leftUm(), raster.bottomUm(), x1, y1, zoom * columns, zoom * rows, shownAt);
        frame.map(image);
        frame.clip();
        frame.graphics.setColor(Color.WHITE);
        frame.graphics.setStroke(frame.stroke(2.2));
        draw(frame, contours.rings());
        frame.graphics.setColor(Color.BLACK);
        frame.graphics.setStroke(frame.stroke(0.8));
        draw(frame, drawn);
        byte[] png = frame.finish(
                title,
                String.format(Locale.ROOT, "energy (1 = plane at factor 1); white mark: threshold %.3g", threshold),
                0,
                high,
                threshold,
                List.of(new MapFrame.Line(Color.WHITE, "develops to"), new MapFrame.Line(Color.BLACK, "drawn")));
        return new Picture(
                name,
                title + ": absorbed energy. White: the threshold, up to which a positive resist clears and a"
                        + " negative one stays (white mark on the bar); black: the drawn outline.",
                png,
                "");
    }

    private static void draw(MapFrame frame, List<double[]> rings) {
        for (double[] ring : rings) {
            Path2D path = new Path2D.Double();
            path.moveTo(ring[0], ring[1]);
            for (int i = 2; i < ring.length; i += 2) {
                path.lineTo(ring[i], ring[i + 1]);
            }
            path.closePath();
            frame.graphics.draw(path.createTransformedShape(frame.toPixels()));
        }
    }
}
