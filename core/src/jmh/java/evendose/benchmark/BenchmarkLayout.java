package evendose.benchmark;

import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.gdsii.GdsiiWriter;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;

/**
 * Writes the layout that whole runs are measured on: a square field in tiles of 50 um, each with a grating of some density,
 * an array of dots, a pad drawn as abutting squares, or lone lines among dots. The number of rectangles is exact, and the
 * same number and field always give the same file.
 *
 * <pre>java -cp core/target/benchmarks.jar evendose.benchmark.BenchmarkLayout RECTANGLES FIELD_UM FILE</pre>
 */
public final class BenchmarkLayout {
    private static final long TILE_NM = 50_000;

    private final GdsiiWriter out;

    private BenchmarkLayout(GdsiiWriter out) {
        this.out = out;
    }

    /** Takes the number of rectangles, the field's side in um, and the file to write. */
    public static void main(String[] args) throws IOException {
        if (args.length != 3) {
            throw new IllegalArgumentException("wanted: RECTANGLES FIELD_UM FILE");
        }
        write(Long.parseLong(args[0]), Long.parseLong(args[1]), Path.of(args[2]));
    }

    /** Writes {@code rectangles} rectangles within a square of {@code fieldUm} um. */
    public static void write(long rectangles, long fieldUm, Path file) throws IOException {
        try (OutputStream stream = Files.newOutputStream(file);
                GdsiiWriter writer = new GdsiiWriter(stream, file.toString(), "BENCHMARK", DatabaseUnit.NANOMETRE)) {
            writer.beginCell("FIELD");
            writer.layer(new Layer(1, 0));
            new BenchmarkLayout(writer).draw(rectangles, fieldUm * 1000);
            writer.endCell();
        }
    }

    private void draw(long rectangles, long field) throws IOException {
        long side = field / TILE_NM;
        long tiles = side * side;
        for (long t = 0; t < tiles; t++) {
            long quota = rectangles * (t + 1) / tiles - rectangles * t / tiles;
            long x = t % side * TILE_NM;
            long y = t / side * TILE_NM;
            // A fixed scramble of the tile's number, so that neighbours differ.
            long hash = (t * 0x9E3779B97F4A7C15L) >>> 40;
            switch ((int) (hash % 5)) {
                case 0, 1 -> grating(x, y, quota, 100 + hash / 5 % 9 * 100);
                case 2 -> dots(x, y, 48_000, quota, 0);
                case 3 -> pad(x, y, quota);
                default -> linesAmongDots(x, y, quota, hash);
            }
        }
    }

    /** Lines of 1 um period, broken into short ones; {@code width} of the period is covered. */
    private void grating(long x, long y, long quota, long width) throws IOException {
        long perLine = (quota + 47) / 48;
        long pitch = 48_000 / perLine;
        for (long k = 0; k < quota; k++) {
            long left = x + k / perLine * 1000;
            long bottom = y + k % perLine * pitch;
            out.rectangle(left, bottom, left + width, bottom + pitch - pitch / 10);
        }
    }

    private void dots(long x, long y, long extent, long quota, long skip) throws IOException {
        long perSide = (long) Math.ceil(Math.sqrt(quota));
        long pitch = extent / perSide;
        for (long k = 0; k < quota; k++) {
            long left = x + k % perSide * pitch;
            long bottom = y + skip + k / perSide * pitch;
            out.rectangle(left, bottom, left + pitch / 3, bottom + pitch / 3);
        }
    }

    private void pad(long x, long y, long quota) throws IOException {
        long perSide = (long) Math.ceil(Math.sqrt(quota));
        long pitch = 40_000 / perSide;
        for (long k = 0; k < quota; k++) {
            long left = x + k % perSide * pitch;
            long bottom = y + k / perSide * pitch;
            out.rectangle(left, bottom, left + pitch, bottom + pitch);
        }
    }

    private void linesAmongDots(long x, long y, long quota, long hash) throws IOException {
        long lines = Math.min(4, quota);
        for (long k = 0; k < lines; k++) {
            out.rectangle(x, y + 5000 * k, x + 45_000, y + 5000 * k + 100 + hash % 7 * 100);
        }
        if (quota > lines) {
            dots(x, y, 25_000, quota - lines, 22_000);
        }
    }
}
