package evendose.report;

import java.awt.BasicStroke;
import java.awt.Color;
import java.awt.Font;
import java.awt.FontMetrics;
import java.awt.Graphics2D;
import java.awt.RenderingHints;
import java.awt.geom.AffineTransform;
import java.awt.image.BufferedImage;
import java.util.List;

/** The frame around a map: axes in um, a colour bar, a scale bar, a title. The map is drawn in um through {@link #toPixels}. */
final class MapFrame {
    private static final Color INK = new Color(0x20262c);
    private static final Color LEGEND_GROUND = new Color(0x8a949e);

    private final double x0;
    private final double y0;
    private final double x1;
    private final double y1;
    private final int width;
    private final int height;
    private final int left;
    private final int top;
    private final float unit;
    private final BufferedImage image;
    final Graphics2D graphics;

    /**
     * A frame around the window from ({@code x0}, {@code y0}) to ({@code x1}, {@code y1}), um, whose map is {@code width} by
     * {@code height} pixels.
     *
     * @param shownAt size in pixels at which the map will be looked at; text and lines are drawn to be legible then
     */
    MapFrame(double x0, double y0, double x1, double y1, int width, int height, int shownAt) {
        this.x0 = x0;
        this.y0 = y0;
        this.x1 = x1;
        this.y1 = y1;
        this.width = width;
        this.height = height;
        this.unit = Math.max(1f, Math.max(width, height) / (float) shownAt);
        this.left = px(66);
        this.top = px(38);
        image = new BufferedImage(left + width + px(112), top + height + px(52), BufferedImage.TYPE_INT_RGB);
        graphics = image.createGraphics();
        graphics.setRenderingHint(RenderingHints.KEY_ANTIALIASING, RenderingHints.VALUE_ANTIALIAS_ON);
        graphics.setRenderingHint(RenderingHints.KEY_TEXT_ANTIALIASING, RenderingHints.VALUE_TEXT_ANTIALIAS_ON);
        graphics.setRenderingHint(RenderingHints.KEY_STROKE_CONTROL, RenderingHints.VALUE_STROKE_PURE);
        graphics.setColor(Color.WHITE);
        graphics.fillRect(0, 0, image.getWidth(), image.getHeight());
    }

    private int px(double size) {
        return Math.round((float) size * unit);
    }

    /** Width of a line of {@code size} pixels in a picture of usual size. */
    BasicStroke stroke(double size) {
        return new BasicStroke((float) size * unit, BasicStroke.CAP_ROUND, BasicStroke.JOIN_ROUND);
    }

    /** Puts the map's pixels in place; the first row is the top one. */
    void map(BufferedImage pixels) {
        graphics.drawImage(pixels, left, top, width, height, null);
    }

    /** From um to the picture's pixels. */
    AffineTransform toPixels() {
        AffineTransform t = new AffineTransform();
        t.translate(left, top + height);
        t.scale(width / (x1 - x0), -height / (y1 - y0));
        t.translate(-x0, -y0);
        return t;
    }

    /** Keeps what is drawn next inside the map. */
    void clip() {
        graphics.setClip(left, top, width, height);
    }

    /**
     * Draws axes, bars and title, and gives the file's bytes.
     *
     * @param dark value of the darkest colour
     * @param light value of the lightest colour; may be below that of the darkest
     * @param mark value to mark on the colour bar, or NaN
     */
    byte[] finish(String title, String barLabel, double dark, double light, double mark) {
        return finish(title, barLabel, dark, light, mark, List.of());
    }

    /** What a colour of lines stands for. */
    record Line(Color colour, String what) {}

    /** The same with a legend of lines beside the title. */
    byte[] finish(String title, String barLabel, double dark, double light, double mark, List<Line> lines) {
        graphics.setClip(null);
        graphics.setStroke(stroke(1));
        graphics.setColor(INK);
        graphics.drawRect(left, top, width, height);
        graphics.setFont(font(15, Font.BOLD));
        graphics.drawString(title, left, top - px(14));
        graphics.setFont(font(12.5, Font.PLAIN));
        legend(lines);
        axes();
        scaleBar();
        colourBar(barLabel, dark, light, mark);
        graphics.dispose();
        return Picture.png(image);
    }

    private Font font(double size, int style) {
        return new Font(Font.SANS_SERIF, style, Math.round((float) size * unit));
    }

    /** Above the map, from its right end: swatches on grey, on which white shows. */
    private void legend(List<Line> lines) {
        FontMetrics metrics = graphics.getFontMetrics();
        int x = left + width;
        int y = top - px(14);
        for (int k = lines.size() - 1; k >= 0; k--) {
            x -= metrics.stringWidth(lines.get(k).what());
            graphics.setColor(INK);
            graphics.drawString(lines.get(k).what(), x, y);
            x -= px(28);
            graphics.setColor(LEGEND_GROUND);
            graphics.fillRect(x, y - px(9), px(22), px(11));
            graphics.setColor(lines.get(k).colour());
            graphics.setStroke(stroke(2));
            graphics.drawLine(x + px(2), y - px(4), x + px(20), y - px(4));
            x -= px(14);
        }
        graphics.setStroke(stroke(1));
        graphics.setColor(INK);
    }

    private void axes() {
        FontMetrics metrics = graphics.getFontMetrics();
        double stepX = Ticks.step(x1 - x0, Math.max(2, width / px(110)));
        for (double x = Math.ceil(x0 / stepX - 1e-9) * stepX; x <= x1 + 1e-9 * stepX; x += stepX) {
            int px = left + (int) Math.round((x - x0) / (x1 - x0) * width);
            graphics.drawLine(px, top + height, px, top + height + px(5));
            String text = Ticks.text(x, stepX);
            graphics.drawString(text, px - metrics.stringWidth(text) / 2, top + height + px(20));
        }
        double stepY = Ticks.step(y1 - y0, Math.max(2, height / px(80)));
        for (double y = Math.ceil(y0 / stepY - 1e-9) * stepY; y <= y1 + 1e-9 * stepY; y += stepY) {
            int py = top + height - (int) Math.round((y - y0) / (y1 - y0) * height);
            graphics.drawLine(left - px(5), py, left, py);
            String text = Ticks.text(y, stepY);
            graphics.drawString(text, left - px(9) - metrics.stringWidth(text), py + metrics.getAscent() / 2 - px(1));
        }
        String label = "x, um";
        graphics.drawString(label, left + (width - metrics.stringWidth(label)) / 2, top + height + px(40));
        turned("y, um", px(15), top + height / 2);
    }

    private void turned(String text, int x, int y) {
        AffineTransform upright = graphics.getTransform();
        graphics.rotate(-Math.PI / 2, x, y);
        graphics.drawString(text, x - graphics.getFontMetrics().stringWidth(text) / 2, y);
        graphics.setTransform(upright);
    }

    private void scaleBar() {
        double length = Ticks.step(x1 - x0, 5);
        int bar = (int) Math.round(length / (x1 - x0) * width);
        String text = length < 1 ? Ticks.text(1e3 * length, 1e3 * length) + " nm" : Ticks.text(length, length) + " um";
        FontMetrics metrics = graphics.getFontMetrics();
        int right = left + width;
        int y = top + height + px(36);
        graphics.fillRect(right - bar, y - px(3), bar, px(4));
        graphics.drawString(text, right - bar - px(8) - metrics.stringWidth(text), y + px(4));
    }

    private void colourBar(String label, double dark, double light, double mark) {
        double low = Math.min(dark, light);
        double high = Math.max(dark, light);
        int x = left + width + px(18);
        int bar = px(16);
        for (int k = 0; k < height; k++) {
            double share = (k + 0.5) / height;
            graphics.setColor(ColourScale.colour(dark < light ? 1 - share : share));
            graphics.fillRect(x, top + k, bar, 1);
        }
        graphics.setColor(INK);
        graphics.drawRect(x, top, bar, height);
        FontMetrics metrics = graphics.getFontMetrics();
        double step = Ticks.step(high - low, Math.max(2, height / px(70)));
        for (double v = Math.ceil(low / step - 1e-9) * step; v <= high + 1e-9 * step; v += step) {
            int y = top + height - (int) Math.round((v - low) / (high - low) * height);
            graphics.drawLine(x + bar, y, x + bar + px(4), y);
            graphics.drawString(Ticks.text(v, step), x + bar + px(8), y + metrics.getAscent() / 2 - px(1));
        }
        if (mark > low && mark < high) {
            int y = top + height - (int) Math.round((mark - low) / (high - low) * height);
            graphics.setStroke(stroke(2));
            graphics.setColor(Color.WHITE);
            graphics.drawLine(x + 1, y, x + bar - 1, y);
            graphics.setStroke(stroke(1));
            graphics.setColor(INK);
        }
        turned(label, x + bar + px(64), top + height / 2);
    }
}
