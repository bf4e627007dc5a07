package evendose.writing;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Locale;

/** Dose tables for tests, written and read back as a user's would be. */
final class TestDoses {
    private final StringBuilder text = new StringBuilder(
            "shape,y_bottom_um,y_top_um,x_left_bottom_um,x_right_bottom_um,x_left_top_um,x_right_top_um,dose_factor,level\n");

    TestDoses rectangle(int shape, double x0, double y0, double x1, double y1, double factor, int level) {
        return trapezoid(shape, y0, y1, x0, x1, x0, x1, factor, level);
    }

    TestDoses trapezoid(
            int shape, double y0, double y1, double xl0, double xr0, double xl1, double xr1, double factor, int level) {
        text.append(String.format(
                Locale.ROOT, "%d,%s,%s,%s,%s,%s,%s,%s,%d%n", shape, y0, y1, xl0, xr0, xl1, xr1, factor, level));
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
