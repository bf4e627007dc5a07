package evendose.demo;

import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.gdsii.GdsiiWriter;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;

/**
 * Writes the demo layout: chip 3 of the Tidepool series, an invented grating spectrometer that watches the water of a rock
 * pool. It has what lab layouts have: coarse gratings of several densities, an array of curved teeth, waveguides with bends,
 * lone lines of several widths, dots, contact pads, crosses and a label. All names and sizes are made up.
 *
 * <p>Run with the path of the file to write; {@code TidepoolChipTest} holds that the bundled file is what this writes.
 */
final class TidepoolChip {
    static final Layer PATTERN = new Layer(1, 0);
    static final Layer FRAME = new Layer(63, 0);

    /** 5 x 7 block letters, one row a byte, the lowest bit on the right. */
    private static final String LETTERS = "TIDEPOL3";

    private static final int[][] FONT = {
        {31, 4, 4, 4, 4, 4, 4},
        {14, 4, 4, 4, 4, 4, 14},
        {30, 17, 17, 17, 17, 17, 30},
        {31, 16, 16, 30, 16, 16, 31},
        {30, 17, 17, 30, 16, 16, 16},
        {14, 17, 17, 17, 17, 17, 14},
        {16, 16, 16, 16, 16, 16, 31},
        {30, 1, 1, 14, 1, 1, 30},
    };

    private final GdsiiWriter out;

    private TidepoolChip(GdsiiWriter out) {
        this.out = out;
    }

    public static void main(String[] args) throws IOException {
        write(Path.of(args[0]));
    }

    static void write(Path file) throws IOException {
        try (OutputStream stream = Files.newOutputStream(file);
                GdsiiWriter writer = new GdsiiWriter(stream, file.toString(), "TIDEPOOL", DatabaseUnit.NANOMETRE)) {
            writer.beginCell("TIDEPOOL_3");
            new TidepoolChip(writer).draw();
            writer.endCell();
        }
    }

    private void draw() throws IOException {
        out.layer(FRAME);
        box(0, 0, 1200, 900);
        out.layer(PATTERN);
        grating(40, 60, 180, 160, 1.0, 0.2);
        grating(260, 60, 180, 160, 1.0, 0.5);
        grating(480, 60, 180, 160, 1.0, 0.8);
        box(840, 60, 1140, 360);
        for (int k = 0; k < 4; k++) {
            box(700, 60 + 90 * k, 760, 120 + 90 * k);
            box(728, 120 + 90 * k - 0.5, 732, 120 + 90 * k + 12);
        }
        for (int k = 0; k < 6; k++) {
            waveguide(40, 280 + 8 * k, 400 - 8 * k, 60 + 4 * k, 0.5);
        }
        echelle(420, 420);
        double[] widths = {0.05, 0.1, 0.2, 0.5, 1.0};
        for (int k = 0; k < widths.length; k++) {
            box(60 + 25 * k, 560, 60 + 25 * k + widths[k], 760);
            // The same width again in a group of five, with gaps of its own width.
            for (int m = 0; m < 5; m++) {
                double x = 220 + 25 * k + 2 * m * widths[k];
                box(x, 560, x + widths[k], 760);
            }
        }
        dots(400, 600, 60, 60, 0.5, 0.1);
        dots(460, 600, 30, 30, 1.0, 0.2);
        discs(400, 680, 12, 4.0, 0.6);
        label("TIDEPOOL 3", 560, 640, 6);
        for (int k = 0; k < 4; k++) {
            double x = (k & 1) == 0 ? 20 : 1180;
            double y = (k & 2) == 0 ? 20 : 880;
            box(x - 10, y - 1, x + 10, y + 1);
            box(x - 1, y - 10, x + 1, y + 10);
        }
        coupler(900, 480);
    }

    /** Vertical lines of the given period and density. */
    private void grating(double x, double y, double width, double height, double period, double density)
            throws IOException {
        for (int k = 0; k < Math.round(width / period); k++) {
            box(x + k * period, y, x + k * period + density * period, y + height);
        }
    }

    /** A line to the right, a quarter of a circle, and a line upwards. */
    private void waveguide(double x, double y, double straight, double up, double width) throws IOException {
        double radius = 20;
        box(x, y - width / 2, x + straight, y + width / 2);
        ring(x + straight, y + radius, radius - width / 2, radius + width / 2, -Math.PI / 2, 0, 48);
        box(x + straight + radius - width / 2, y + radius, x + straight + radius + width / 2, y + radius + up);
    }

    /** Curved teeth of slowly changing pitch around a slab. */
    private void echelle(double cx, double cy) throws IOException {
        for (int k = 0; k < 60; k++) {
            double r = 30 + 0.9 * k + 0.004 * k * k;
            ring(cx + 120, cy - 30, r, r + 0.45, 0.25 * Math.PI, 0.6 * Math.PI, 40);
        }
    }

    /** A fan of arcs with a taper, as light is coupled into a waveguide. */
    private void coupler(double x, double y) throws IOException {
        polygon(x, y - 0.25, x + 18, y - 5, x + 18, y + 5, x, y + 0.25);
        box(x - 60, y - 0.25, x, y + 0.25);
        for (int k = 0; k < 24; k++) {
            double r = 20 + 0.62 * k;
            ring(x, y, r, r + 0.31, -0.26, 0.26, 24);
        }
    }

    private void dots(double x, double y, int columns, int rows, double pitch, double side) throws IOException {
        for (int i = 0; i < columns; i++) {
            for (int j = 0; j < rows; j++) {
                box(x + i * pitch, y + j * pitch, x + i * pitch + side, y + j * pitch + side);
            }
        }
    }

    private void discs(double x, double y, int count, double pitch, double radius) throws IOException {
        for (int k = 0; k < count; k++) {
            int n = 32;
            double[] xy = new double[2 * n];
            for (int i = 0; i < n; i++) {
                xy[2 * i] = x + k * pitch + radius * Math.cos(2 * Math.PI * i / n);
                xy[2 * i + 1] = y + radius * Math.sin(2 * Math.PI * i / n);
            }
            polygon(xy);
        }
    }

    /** A sector of a ring between two angles, in {@code n} steps. */
    private void ring(double cx, double cy, double inner, double outer, double from, double to, int n)
            throws IOException {
        double[] xy = new double[4 * (n + 1)];
        for (int i = 0; i <= n; i++) {
            double a = from + (to - from) * i / n;
            int j = 2 * n + 1 - i;
            xy[2 * i] = cx + outer * Math.cos(a);
            xy[2 * i + 1] = cy + outer * Math.sin(a);
            xy[2 * j] = cx + inner * Math.cos(a);
            xy[2 * j + 1] = cy + inner * Math.sin(a);
        }
        polygon(xy);
    }

    private void label(String text, double x, double y, double pixel) throws IOException {
        for (int k = 0; k < text.length(); k++) {
            int letter = LETTERS.indexOf(text.charAt(k));
            for (int row = 0; letter >= 0 && row < 7; row++) {
                for (int column = 0; column < 5; column++) {
                    if ((FONT[letter][row] >> (4 - column) & 1) != 0) {
                        double px = x + (6 * k + column) * pixel;
                        double py = y + (6 - row) * pixel;
                        box(px, py, px + pixel, py + pixel);
                    }
                }
            }
        }
    }

    private void box(double x0, double y0, double x1, double y1) throws IOException {
        out.rectangle(nm(x0), nm(y0), nm(x1), nm(y1));
    }

    private void polygon(double... xy) throws IOException {
        long[] points = new long[xy.length];
        for (int i = 0; i < xy.length; i++) {
            points[i] = nm(xy[i]);
        }
        out.polygon(points, xy.length / 2);
    }

    private static long nm(double um) {
        return Math.round(um * 1000);
    }
}
