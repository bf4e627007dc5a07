package evendose.report;

import evendose.files.BadInputException;
import java.io.BufferedOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.io.Writer;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Locale;

/** Energy rasters as plain numbers for scripts. */
public final class RawMap {
    private RawMap() {}

    /**
     * Writes a NumPy file (format version 1.0): little-endian 32-bit floats of shape (rows, columns), the first row the lowest.
     *
     * @param raster the energies
     * @param file the file to write
     * @throws BadInputException if the file cannot be written
     */
    public static void writeNpy(EnergyRaster raster, Path file) {
        String header = String.format(
                Locale.ROOT,
                "{'descr': '<f4', 'fortran_order': False, 'shape': (%d, %d), }",
                raster.rows(),
                raster.columns());
        // Magic, version and length take 10 bytes; all of the head is a multiple of 64 and ends with a line feed.
        int padded = (10 + header.length() + 1 + 63) / 64 * 64 - 10;
        StringBuilder text = new StringBuilder(header);
        while (text.length() < padded - 1) {
            text.append(' ');
        }
        text.append('\n');
        try (OutputStream out = new BufferedOutputStream(Files.newOutputStream(file), 1 << 16)) {
            out.write(0x93);
            out.write("NUMPY".getBytes(StandardCharsets.US_ASCII));
            out.write(new byte[] {1, 0, (byte) padded, (byte) (padded >> 8)});
            out.write(text.toString().getBytes(StandardCharsets.US_ASCII));
            ByteBuffer row = ByteBuffer.allocate(4 * raster.columns()).order(ByteOrder.LITTLE_ENDIAN);
            for (int r = 0; r < raster.rows(); r++) {
                row.clear();
                for (int c = 0; c < raster.columns(); c++) {
                    row.putFloat(raster.value(c, r));
                }
                out.write(row.array());
            }
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
    }

    /**
     * Writes a table: a header row {@code y_um\x_um} and x of each column, then y and energies of each row from the lowest.
     *
     * @param raster the energies
     * @param file the file to write
     * @throws BadInputException if the file cannot be written
     */
    public static void writeCsv(EnergyRaster raster, Path file) {
        try (Writer out = Files.newBufferedWriter(file, StandardCharsets.US_ASCII)) {
            out.write("y_um\\x_um");
            for (int c = 0; c < raster.columns(); c++) {
                out.write(',');
                out.write(coordinate(raster.xUm(c)));
            }
            out.write('\n');
            for (int r = 0; r < raster.rows(); r++) {
                out.write(coordinate(raster.yUm(r)));
                for (int c = 0; c < raster.columns(); c++) {
                    out.write(',');
                    out.write(Float.toString(raster.value(c, r)));
                }
                out.write('\n');
            }
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
    }

    private static String coordinate(double um) {
        return Double.toString(Math.rint(um * 1e9) / 1e9);
    }
}
