package evendose.benchmark;

import evendose.geometry.Polygons;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.gdsii.GdsiiWriter;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;

/**
 * A chip as a generator of photonic layouts draws it: rings of 5 to 200 um, 450 nm wide, with vertices every 5 nm on a grid of 1 nm,
 * and straight guides at all angles. Rings are drawn in sectors that abut, since a polygon of a GDSII file holds 8,000 points.
 *
 * <pre>java -cp core/target/benchmarks.jar evendose.benchmark.RingChip VERTICES FILE</pre>
 */
public final class RingChip {
    private static final double FIELD_NM = 9e6;
    private static final double HALF_WIDTH_NM = 225;
    private static final double APART_NM = 5;
    private static final double SMALLEST_NM = 5000;
    private static final double LARGEST_NM = 200_000;
    private static final int GUIDES = 180;
    private static final double GUIDE_NM = 100_000;

    /** Points of a sector's outline, at most about. */
    private static final int SECTOR_POINTS = 7000;

    private final Polygons polygons = new Polygons();
    private long vertices;

    private RingChip() {}

    /** Takes about how many vertices to draw, and the file to write. */
    public static void main(String[] args) throws IOException {
        if (args.length != 2) {
            throw new IllegalArgumentException("wanted: VERTICES FILE");
        }
        RingChip chip = new RingChip();
        chip.draw(Long.parseLong(args[0]));
        chip.write(Path.of(args[1]));
        System.out.println(chip.vertices + " vertices in " + chip.polygons.size() + " polygons");
    }

    private void draw(long wanted) {
        double x = 0;
        double y = 0;
        double row = 0;
        for (int k = 0; vertices < wanted; k++) {
            // Sizes in a scrambled geometric series.
            double radius = SMALLEST_NM * Math.pow(LARGEST_NM / SMALLEST_NM, k * 0.618033988749895 % 1);
            double side = 2 * radius + 10_000;
            if (x + side > FIELD_NM) {
                x = 0;
                y += row;
                row = 0;
            }
            row = Math.max(row, side);
            ring(x + 0.5 * side, y + 0.5 * side, radius);
            x += side;
        }
        y += row + GUIDE_NM;
        for (int k = 0; k < GUIDES; k++) {
            guide(k % 60 * 1.5 * GUIDE_NM, y + k / 60 * 1.5 * GUIDE_NM, Math.PI * k / GUIDES);
        }
    }

    private void ring(double x, double y, double radius) {
        double outer = radius + HALF_WIDTH_NM;
        double inner = radius - HALF_WIDTH_NM;
        int n = (int) Math.round(2 * Math.PI * radius / APART_NM);
        int sectors = Math.max(2, (2 * n + SECTOR_POINTS - 1) / SECTOR_POINTS);
        for (int s = 0; s < sectors; s++) {
            int from = (int) ((long) n * s / sectors);
            int to = (int) ((long) n * (s + 1) / sectors);
            long[] xy = new long[4 * (to - from + 1)];
            int at = 0;
            for (int i = from; i <= to; i++, at += 2) {
                point(xy, at, x, y, outer, 2 * Math.PI * (i % n) / n);
            }
            for (int i = to; i >= from; i--, at += 2) {
                point(xy, at, x, y, inner, 2 * Math.PI * (i % n) / n);
            }
            polygons.addPolygon(0, xy, xy.length / 2);
        }
        vertices += 2L * n;
    }

    private static void point(long[] xy, int at, double x, double y, double radius, double angle) {
        xy[at] = Math.round(x + radius * Math.cos(angle));
        xy[at + 1] = Math.round(y + radius * Math.sin(angle));
    }

    private void guide(double x, double y, double angle) {
        double c = Math.cos(angle);
        double s = Math.sin(angle);
        long[] xy = new long[8];
        double[][] corners = {{-0.5, -1}, {0.5, -1}, {0.5, 1}, {-0.5, 1}};
        for (int k = 0; k < 4; k++) {
            double u = corners[k][0] * GUIDE_NM;
            double v = corners[k][1] * HALF_WIDTH_NM;
            xy[2 * k] = Math.round(x + u * c - v * s);
            xy[2 * k + 1] = Math.round(y + u * s + v * c);
        }
        polygons.addPolygon(0, xy, 4);
        vertices += 4;
    }

    private void write(Path file) throws IOException {
        try (OutputStream stream = Files.newOutputStream(file);
                GdsiiWriter writer = new GdsiiWriter(stream, file.toString(), "RINGS", DatabaseUnit.NANOMETRE)) {
            writer.beginCell("RINGS");
            writer.layer(new Layer(1, 0));
            polygons.forEach(new Polygons.Visitor() {
                @Override
                public void rectangle(int group, long x0, long y0, long x1, long y1) {
                    write(new long[] {x0, y0, x1, y0, x1, y1, x0, y1}, 0, 4);
                }

                @Override
                public void polygon(int group, long[] xy, int from, int count) {
                    write(xy, from, count);
                }

                private void write(long[] xy, int from, int count) {
                    try {
                        writer.polygon(java.util.Arrays.copyOfRange(xy, from, from + 2 * count), count);
                    } catch (IOException e) {
                        throw new java.io.UncheckedIOException(e);
                    }
                }
            });
            writer.endCell();
        }
    }
}
