package evendose.report;

import evendose.pieces.Pieces;
import evendose.verification.Exposure;
import java.awt.image.BufferedImage;

/**
 * The dose factors of a whole layout as a picture: each pixel has the mean factor of what is exposed in it, weighted by area;
 * pixels without any are white.
 */
final class DoseMap {
    private static final int WHITE = 0xffffff;
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
    public static Picture of(Exposure exposure, int mostPixels) {
        Overview o = overview(exposure.pieces(), exposure.factors(), mostPixels);
        MapFrame frame = new MapFrame(o.x0, o.y0, o.x1, o.y1, o.image.getWidth(), o.image.getHeight(), PAGE_WIDTH);
        frame.map(o.image);
        byte[] png = frame.finish("Dose factor", "dose factor", o.colours.high(), o.colours.low(), Double.NaN);
        return new Picture(
                "dose-map",
                "Dose factors of the whole layout; each pixel shows the mean over what is exposed in it.",
                png,
                "");
    }

    /** The map without its frame: its sides, um, its colours and its pixels, the first row at the top. */
    record Overview(double x0, double y0, double x1, double y1, DoseColours colours, BufferedImage image) {}

    static Overview overview(Pieces p, double[] factors, int mostPixels) {
        double[] b = p.boundsUm();
        double margin = 0.02 * Math.max(b[2] - b[0], b[3] - b[1]);
        double x0 = b[0] - margin;
        double y0 = b[1] - margin;
        double x1 = b[2] + margin;
        double y1 = b[3] + margin;
        double scale = mostPixels / Math.max(x1 - x0, y1 - y0);
        int width = Math.max(80, (int) Math.round(scale * (x1 - x0)));
        int height = Math.max(80, (int) Math.round(scale * (y1 - y0)));
        // Thin layouts get room on their short side instead of distorted pixels.
        double halfWidth = 0.5 * width / scale;
        double halfHeight = 0.5 * height / scale;
        double cx = 0.5 * (x0 + x1);
        double cy = 0.5 * (y0 + y1);
        x0 = cx - halfWidth;
        x1 = cx + halfWidth;
        y0 = cy - halfHeight;
        y1 = cy + halfHeight;

        Raster raster = new Raster(width, height);
        double low = Double.MAX_VALUE;
        double high = 0;
        for (int u = 0; u < p.units(); u++) {
            double factor = factors[u];
            low = Math.min(low, factor);
            high = Math.max(high, factor);
            for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                raster.add(p, i, factor, x0, y0, scale);
            }
        }
        DoseColours colours = DoseColours.over(low, high);
        BufferedImage image = new BufferedImage(width, height, BufferedImage.TYPE_INT_RGB);
        for (int r = 0; r < height; r++) {
            for (int c = 0; c < width; c++) {
                int k = r * width + c;
                int rgb = raster.area[k] > 0 ? colours.rgb(raster.dose[k] / raster.area[k]) : WHITE;
                image.setRGB(c, height - 1 - r, rgb);
            }
        }
        return new Overview(x0, y0, x1, y1, colours, image);
    }

    /** Sums of area, and of area times factor, by pixel. */
    private static final class Raster {
        final int width;
        final int height;
        final double[] area;
        final double[] dose;

        Raster(int width, int height) {
            this.width = width;
            this.height = height;
            this.area = new double[width * height];
            this.dose = new double[width * height];
        }

        void add(Pieces p, int i, double factor, double x0, double y0, double scale) {
            // In the piece's own frame: v across its parallel sides, u along them.
            boolean standing = p.standing(i);
            double u0 = standing ? y0 : x0;
            double v0 = standing ? x0 : y0;
            int lastU = (standing ? height : width) - 1;
            int lastV = (standing ? width : height) - 1;
            double low = (p.lowUm()[i] - v0) * scale;
            double high = (p.highUm()[i] - v0) * scale;
            int v1 = Math.min(lastV, (int) high);
            for (int v = Math.max(0, (int) low); v <= v1; v++) {
                double from = Math.max(low, v);
                double to = Math.min(high, v + 1);
                double t = (0.5 * (from + to) - low) / (high - low);
                double begin = p.fromLowUm()[i] + t * (p.fromHighUm()[i] - p.fromLowUm()[i]);
                double end = p.toLowUm()[i] + t * (p.toHighUm()[i] - p.toLowUm()[i]);
                double left = (begin - u0) * scale;
                double right = (end - u0) * scale;
                int u1 = Math.min(lastU, (int) right);
                for (int u = Math.max(0, (int) left); u <= u1; u++) {
                    double share = Math.max(0, Math.min(right, u + 1) - Math.max(left, u)) * (to - from);
                    int k = standing ? u * width + v : v * width + u;
                    area[k] += share;
                    dose[k] += share * factor;
                }
            }
        }
    }
}
