package evendose.report.scattering;

import evendose.files.ColumnTable;
import evendose.files.NumberText;
import evendose.report.Picture;
import evendose.scattering.LayerStack;
import evendose.scattering.Trajectory;
import java.awt.BasicStroke;
import java.awt.Color;
import java.awt.Font;
import java.awt.FontMetrics;
import java.awt.Graphics2D;
import java.awt.RenderingHints;
import java.awt.Shape;
import java.awt.geom.AffineTransform;
import java.awt.geom.Path2D;
import java.awt.geom.Rectangle2D;
import java.awt.image.BufferedImage;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;

/** Paths of electrons over a section of the stack: all of it to the left, the surroundings of the resist to the right. */
public final class TrajectoryPicture {
    private static final int PANEL = 720;
    private static final int TOP = 90;
    private static final int LEFT = 110;
    private static final int GAP = 130;
    private static final int BOTTOM = 90;
    private static final Color[] TINTS = {
        new Color(0xFBE8C8), new Color(0xDCEBF5), new Color(0xE3F1E6), new Color(0xF3E1EB), new Color(0xEEEEEE)
    };
    private static final Font TEXT = new Font(Font.SANS_SERIF, Font.PLAIN, 18);
    private static final Font TITLE = new Font(Font.SANS_SERIF, Font.BOLD, 20);

    private TrajectoryPicture() {}

    /**
     * {@return paths as a table: a row a corner} Corners nearer to the one before than a fiftieth of their distance from where
     * the beam falls in are left out, and so are fast secondaries that go no farther: finer than the picture shows at any of its scales.
     *
     * @param paths the paths
     */
    public static ColumnTable table(List<Trajectory> paths) {
        ColumnTable table = new ColumnTable();
        int number = 0;
        for (Trajectory path : paths) {
            number++;
            int last = -1;
            for (int i = 0; i < path.size(); i++) {
                boolean end = path.primary() && i == path.size() - 1;
                int next = last < 0 ? 0 : last;
                double step = Math.hypot(path.xUm(i) - path.xUm(next), path.zUm(i) - path.zUm(next));
                double limit = Math.hypot(path.xUm(i), path.zUm(i)) / 50;
                if (end || path.primary() && i == 0 || step > limit) {
                    if (last < 0 && i > 0) {
                        row(table, number, path, 0);
                    }
                    row(table, number, path, i);
                    last = i;
                }
            }
        }
        return table;
    }

    private static void row(ColumnTable table, int number, Trajectory path, int i) {
        table.row()
                .put("path", number)
                .put("beam_electron", path.primary())
                .put("x_um", path.xUm(i))
                .put("z_um", path.zUm(i));
    }

    /**
     * Draws paths, as a PNG file.
     *
     * @param stack the layers of the sample
     * @param energyKev beam energy for the title, keV
     * @param paths the paths
     * @return the bytes of the file
     */
    public static byte[] png(LayerStack stack, double energyKev, List<Trajectory> paths) {
        BufferedImage image =
                new BufferedImage(LEFT + 2 * PANEL + GAP + 40, TOP + PANEL + BOTTOM, BufferedImage.TYPE_INT_RGB);
        Graphics2D g = image.createGraphics();
        g.setRenderingHint(RenderingHints.KEY_ANTIALIASING, RenderingHints.VALUE_ANTIALIAS_ON);
        g.setRenderingHint(RenderingHints.KEY_STROKE_CONTROL, RenderingHints.VALUE_STROKE_PURE);
        g.setColor(Color.WHITE);
        g.fillRect(0, 0, image.getWidth(), image.getHeight());
        long primaries = paths.stream().filter(Trajectory::primary).count();
        g.setColor(Color.BLACK);
        g.setFont(TITLE);
        g.drawString(
                String.format(
                        Locale.ROOT,
                        "%s, %s keV: %d electrons (blue) and the fast secondaries they set free (red)",
                        stack.describe(),
                        NumberText.plain(energyKev, 6),
                        primaries),
                LEFT,
                40);
        double extent = extentUm(paths);
        double resistTop = 0;
        for (int i = 0; i < stack.resistIndex(); i++) {
            resistTop += stack.layers().get(i).thicknessNm() * 1e-3;
        }
        double thickness = stack.layers().get(stack.resistIndex()).thicknessNm() * 1e-3;
        double zoom = Double.isInfinite(thickness) ? extent / 10 : 2.5 * (resistTop + thickness);
        panel(g, stack, paths, LEFT, extent);
        panel(g, stack, paths, LEFT + PANEL + GAP, Math.min(zoom, extent));
        g.dispose();
        return Picture.png(image);
    }

    /** Depth to show: that of the deepest point, or what it takes to have all but 2 % of the points within the sides. */
    private static double extentUm(List<Trajectory> paths) {
        double deepest = 0;
        double[] aside = new double[paths.stream().mapToInt(Trajectory::size).sum()];
        int n = 0;
        for (Trajectory path : paths) {
            for (int i = 0; i < path.size(); i++) {
                deepest = Math.max(deepest, path.zUm(i));
                aside[n++] = Math.abs(path.xUm(i));
            }
        }
        Arrays.sort(aside);
        return 1.05 * Math.max(deepest, 2 / 1.1 * aside[(int) (0.98 * (n - 1))]);
    }

    private static void panel(Graphics2D g, LayerStack stack, List<Trajectory> paths, int left, double depthUm) {
        // A tenth of the height shows what is above the surface.
        double above = 0.1 * depthUm;
        double scale = PANEL / (depthUm + above);
        double surface = TOP + above * scale;
        Rectangle2D frame = new Rectangle2D.Double(left, TOP, PANEL, PANEL);
        Shape clip = g.getClip();
        g.setClip(frame);
        g.setFont(TEXT);
        FontMetrics metrics = g.getFontMetrics();
        double z = surface;
        for (int i = 0; i < stack.layers().size(); i++) {
            LayerStack.Layer layer = stack.layers().get(i);
            double height = Math.min(layer.thicknessNm() * 1e-3 * scale, TOP + PANEL - z);
            if (height > 0) {
                g.setColor(layer.resist() ? TINTS[0] : TINTS[1 + i % (TINTS.length - 1)]);
                g.fill(new Rectangle2D.Double(left, z, PANEL, height));
                z += height;
            }
        }
        g.setStroke(new BasicStroke(1f, BasicStroke.CAP_ROUND, BasicStroke.JOIN_ROUND));
        AffineTransform toPixels = new AffineTransform(scale, 0, 0, scale, left + PANEL / 2.0, surface);
        for (boolean primary : new boolean[] {true, false}) {
            Color colour = primary ? ScatterCharts.BLUE : ScatterCharts.VERMILION;
            g.setColor(new Color(colour.getRed(), colour.getGreen(), colour.getBlue(), primary ? 120 : 255));
            for (Trajectory path : paths) {
                if (path.primary() == primary) {
                    g.draw(toPixels.createTransformedShape(shape(path, above)));
                }
            }
        }
        z = surface;
        for (LayerStack.Layer layer : stack.layers()) {
            double height = Math.min(layer.thicknessNm() * 1e-3 * scale, TOP + PANEL - z);
            if (height > metrics.getHeight()) {
                String name = layer.material().name() + (layer.resist() ? " (resist)" : "");
                g.setColor(new Color(255, 255, 255, 200));
                g.fill(new Rectangle2D.Double(left + 8, z + 4, metrics.stringWidth(name) + 12, metrics.getHeight()));
                g.setColor(Color.BLACK);
                g.drawString(name, left + 14, (float) z + 2 + metrics.getAscent());
            }
            z += Math.max(0, height);
        }
        g.setClip(clip);
        g.setStroke(new BasicStroke(1.5f));
        g.setColor(Color.BLACK);
        g.draw(frame);
        axes(g, left, scale, surface, depthUm);
    }

    private static Path2D shape(Trajectory path, double above) {
        Path2D shape = new Path2D.Double();
        shape.moveTo(path.xUm(0), path.primary() ? -above : path.zUm(0));
        for (int i = 0; i < path.size(); i++) {
            shape.lineTo(path.xUm(i), path.zUm(i));
        }
        int last = path.size() - 1;
        if (last > 0 && path.zUm(last) == 0) {
            // It left through the surface: show where to.
            double dx = path.xUm(last) - path.xUm(last - 1);
            double dz = path.zUm(last) - path.zUm(last - 1);
            if (dz < 0) {
                shape.lineTo(path.xUm(last) - dx / dz * above, -above);
            }
        }
        return shape;
    }

    private static void axes(Graphics2D g, int left, double scale, double surface, double depthUm) {
        FontMetrics metrics = g.getFontMetrics();
        double step = step(depthUm);
        int low = TOP + PANEL;
        for (int k = 0; k * step <= depthUm; k++) {
            float y = (float) (surface + k * step * scale);
            g.drawLine(left - 6, Math.round(y), left, Math.round(y));
            String label = label(k * step);
            g.drawString(label, left - 12 - metrics.stringWidth(label), y + metrics.getAscent() / 2f - 2);
        }
        double half = PANEL / scale / 2;
        for (int k = (int) Math.ceil(-half / step); k * step <= half; k++) {
            float x = (float) (left + PANEL / 2.0 + k * step * scale);
            g.drawLine(Math.round(x), low, Math.round(x), low + 6);
            String label = label(k * step);
            g.drawString(label, x - metrics.stringWidth(label) / 2f, low + 10 + metrics.getAscent());
        }
        String across = "along the surface (um)";
        g.drawString(across, left + (PANEL - metrics.stringWidth(across)) / 2, low + 40 + metrics.getAscent());
        AffineTransform upright = g.getTransform();
        String down = "depth (um)";
        g.rotate(-Math.PI / 2, left - 78, TOP + PANEL / 2.0);
        g.drawString(down, left - 78 - metrics.stringWidth(down) / 2, TOP + PANEL / 2);
        g.setTransform(upright);
    }

    private static double step(double extent) {
        double decade = Math.pow(10, Math.floor(Math.log10(extent / 3)));
        double ratio = extent / 3 / decade;
        return decade * (ratio >= 5 ? 5 : ratio >= 2 ? 2 : 1);
    }

    private static String label(double value) {
        String text = String.format(Locale.ROOT, "%.4f", value).replaceAll("\\.?0+$", "");
        return text.isEmpty() || text.equals("-0") ? "0" : text;
    }
}
