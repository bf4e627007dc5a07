package evendose.report;

import evendose.pieces.Pieces;
import java.awt.image.BufferedImage;
import java.io.Serializable;

/**
 * Dose factors of a layout or a part of it by pixel, as sums that can be added: area, and area times factor.
 *
 * @serial exclude
 */
public final class DoseRaster implements Serializable {
    private static final long serialVersionUID = 1L;
    private static final int WHITE = 0xffffff;
    private static final int FEWEST_PIXELS = 80;

    private final Area all;
    private final int column;
    private final int row;
    private final int width;
    private final int height;
    private final double[] area;
    private final double[] dose;

    /**
     * A layout and its pixels.
     *
     * @param x0 left end, um
     * @param y0 lower end, um
     * @param x1 right end, um
     * @param y1 upper end, um
     * @param scale pixels in a um
     * @param width pixels along x
     * @param height pixels along y
     * @serial exclude
     */
    public record Area(double x0, double y0, double x1, double y1, double scale, int width, int height)
            implements Serializable {
        /**
         * {@return an area around some bounds}
         *
         * @param b smallest x, smallest y, largest x, largest y, um
         * @param mostPixels largest width and height, pixels
         */
        public static Area around(double[] b, int mostPixels) {
            double margin = 0.02 * Math.max(b[2] - b[0], b[3] - b[1]);
            double x0 = b[0] - margin;
            double y0 = b[1] - margin;
            double x1 = b[2] + margin;
            double y1 = b[3] + margin;
            double scale = mostPixels / Math.max(x1 - x0, y1 - y0);
            int width = Math.max(FEWEST_PIXELS, (int) Math.round(scale * (x1 - x0)));
            int height = Math.max(FEWEST_PIXELS, (int) Math.round(scale * (y1 - y0)));
            // Thin layouts get room on their short side instead of distorted pixels.
            double halfWidth = 0.5 * width / scale;
            double halfHeight = 0.5 * height / scale;
            double cx = 0.5 * (x0 + x1);
            double cy = 0.5 * (y0 + y1);
            return new Area(cx - halfWidth, cy - halfHeight, cx + halfWidth, cy + halfHeight, scale, width, height);
        }
    }

    private DoseRaster(Area all, int column, int row, int width, int height) {
        this.all = all;
        this.column = column;
        this.row = row;
        this.width = width;
        this.height = height;
        this.area = new double[width * height];
        this.dose = new double[width * height];
    }

    /**
     * {@return nothing, in all of an area}
     *
     * @param all the area
     */
    public static DoseRaster empty(Area all) {
        return new DoseRaster(all, 0, 0, all.width, all.height);
    }

    /**
     * {@return pieces with a dose factor for each of their units, in as many pixels as they cover}
     *
     * @param all the area that they lie in
     * @param p the pieces, at least one
     * @param factors the factors
     */
    public static DoseRaster of(Area all, Pieces p, double[] factors) {
        double[] b = p.boundsUm();
        int column = within(all.scale * (b[0] - all.x0), all.width);
        int row = within(all.scale * (b[1] - all.y0), all.height);
        DoseRaster raster = new DoseRaster(
                all,
                column,
                row,
                within(all.scale * (b[2] - all.x0), all.width) + 1 - column,
                within(all.scale * (b[3] - all.y0), all.height) + 1 - row);
        for (int u = 0; u < p.units(); u++) {
            for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                raster.add(p, i, factors[u]);
            }
        }
        return raster;
    }

    private static int within(double pixel, int size) {
        return (int) Math.max(0, Math.min(size - 1, Math.floor(pixel)));
    }

    private void add(Pieces p, int i, double factor) {
        // In the piece's own frame: v across its parallel sides, u along them.
        boolean standing = p.standing(i);
        double u0 = standing ? all.y0 + row / all.scale : all.x0 + column / all.scale;
        double v0 = standing ? all.x0 + column / all.scale : all.y0 + row / all.scale;
        int lastU = (standing ? height : width) - 1;
        int lastV = (standing ? width : height) - 1;
        double low = (p.lowUm()[i] - v0) * all.scale;
        double high = (p.highUm()[i] - v0) * all.scale;
        int v1 = Math.min(lastV, (int) high);
        for (int v = Math.max(0, (int) low); v <= v1; v++) {
            double from = Math.max(low, v);
            double to = Math.min(high, v + 1);
            double t = (0.5 * (from + to) - low) / (high - low);
            double begin = p.fromLowUm()[i] + t * (p.fromHighUm()[i] - p.fromLowUm()[i]);
            double end = p.toLowUm()[i] + t * (p.toHighUm()[i] - p.toLowUm()[i]);
            double left = (begin - u0) * all.scale;
            double right = (end - u0) * all.scale;
            int u1 = Math.min(lastU, (int) right);
            for (int u = Math.max(0, (int) left); u <= u1; u++) {
                double share = Math.max(0, Math.min(right, u + 1) - Math.max(left, u)) * (to - from);
                int k = standing ? u * width + v : v * width + u;
                area[k] += share;
                dose[k] += share * factor;
            }
        }
    }

    /**
     * Adds another part of the same area.
     *
     * @param part the part
     * @param dxUm how far to the right of where it says it lies, um: to the nearest pixel
     * @param dyUm how far above, um
     */
    public void add(DoseRaster part, double dxUm, double dyUm) {
        int right = part.column + (int) Math.rint(all.scale * dxUm) - column;
        int up = part.row + (int) Math.rint(all.scale * dyUm) - row;
        for (int r = Math.max(0, -up); r < part.height && r + up < height; r++) {
            for (int c = Math.max(0, -right); c < part.width && c + right < width; c++) {
                area[(r + up) * width + c + right] += part.area[r * part.width + c];
                dose[(r + up) * width + c + right] += part.dose[r * part.width + c];
            }
        }
    }

    /** The mean factor of what is exposed in each pixel, in colours; white where nothing is. The first row is the top one. */
    BufferedImage image(DoseColours colours) {
        BufferedImage image = new BufferedImage(width, height, BufferedImage.TYPE_INT_RGB);
        for (int r = 0; r < height; r++) {
            for (int c = 0; c < width; c++) {
                int k = r * width + c;
                image.setRGB(c, height - 1 - r, area[k] > 0 ? colours.rgb(dose[k] / area[k]) : WHITE);
            }
        }
        return image;
    }

    Area all() {
        return all;
    }
}
