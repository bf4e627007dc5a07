package evendose.writing;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Locale;
import java.util.stream.Collectors;

/** Dose tables for tests, written and read back as a user's would be. */
final class TestDoses {
    private final StringBuilder text =
            new StringBuilder("shape,x1_um,y1_um,x2_um,y2_um,x3_um,y3_um,x4_um,y4_um,dose_factor,level\n");

    TestDoses rectangle(int shape, double x0, double y0, double x1, double y1, double factor, int level) {
        return trapezoid(shape, y0, y1, x0, x1, x0, x1, factor, level);
    }

    TestDoses trapezoid(
            int shape, double y0, double y1, double xl0, double xr0, double xl1, double xr1, double factor, int level) {
        return row(shape, factor, level, xl0, y0, xr0, y0, xr1, y1, xl1, y1);
    }

    /** The same with x and y exchanged. */
    TestDoses standing(
            int shape, double x0, double x1, double yl0, double yr0, double yl1, double yr1, double factor, int level) {
        return row(shape, factor, level, x0, yl0, x1, yl1, x1, yr1, x0, yr0);
    }

    private TestDoses row(int shape, double factor, int level, double... corners) {
        String row = Arrays.stream(corners).mapToObj(Double::toString).collect(Collectors.joining(","));
        text.append(String.format(Locale.ROOT, "%d,%s,%s,%d%n", shape, row, factor, level));
        return this;
    }

    DosedPieces build() {
        try {
            Path file = Files.createTempFile("doses", ".csv");
            try {
                Files.writeString(file, text);
                return DosedPieces.read(file);
            } finally {
                Files.delete(file);
            }
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }
}
