package evendose.layout.formats;

import evendose.Internal;
import evendose.Supported;
import evendose.files.BadInputException;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layout;
import evendose.layout.ReadLimits;
import evendose.layout.csv.CsvReader;
import evendose.layout.gdsii.GdsiiReader;
import evendose.layout.oasis.OasisReader;
import java.io.EOFException;
import java.io.IOException;
import java.io.InputStream;
import java.io.PushbackInputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.zip.GZIPInputStream;
import java.util.zip.ZipException;

/**
 * Reads a layout file of any known format: GDSII Stream, OASIS or a CSV table, each also compressed with gzip. The format is found
 * from the content; the name plays no part.
 */
@Supported
public final class LayoutFiles {
    private static final int START = 16;

    private LayoutFiles() {}

    /**
     * Reads a layout; a table's coordinates are rounded to 1 nm.
     *
     * @param file the layout file
     * @return the layout
     * @throws BadInputException if the file cannot be read or is not a sound layout; the message names file and place
     */
    public static Layout read(Path file) {
        return read(file, DatabaseUnit.NANOMETRE);
    }

    /**
     * Reads a layout.
     *
     * @param file the layout file
     * @param tableUnit database unit to which a table's coordinates are rounded; other formats bring their own
     * @return the layout
     * @throws BadInputException if the file cannot be read or is not a sound layout; the message names file and place
     */
    public static Layout read(Path file, DatabaseUnit tableUnit) {
        return read(file, tableUnit, ReadLimits.usual());
    }

    /**
     * Reads a layout that may not ask for more than {@code limits}.
     *
     * @param file the layout file
     * @param tableUnit database unit to which a table's coordinates are rounded; other formats bring their own
     * @param limits how much a file may ask for
     * @return the layout
     * @throws BadInputException if the file cannot be read, is not a sound layout or exceeds the limits; the message names file
     *     and place
     */
    @Internal
    public static Layout read(Path file, DatabaseUnit tableUnit, ReadLimits limits) {
        String source = file.toString();
        if (!Files.exists(file)) {
            throw new BadInputException(source, "", "there is no such file");
        }
        if (Files.isDirectory(file)) {
            throw new BadInputException(source, "", "is a directory; name a layout file in it");
        }
        try (InputStream in = Files.newInputStream(file)) {
            return read(in, source, tableUnit, limits, false);
        } catch (EOFException e) {
            throw new BadInputException(
                    source, "", "the compressed data end too early; the file was cut short, get a complete copy", e);
        } catch (ZipException e) {
            throw new BadInputException(source, "", "the compressed data are damaged; get a sound copy", e);
        } catch (IOException e) {
            throw BadInputException.unreadable(file, e);
        }
    }

    private static Layout read(
            InputStream raw, String source, DatabaseUnit tableUnit, ReadLimits limits, boolean unpacked)
            throws IOException {
        PushbackInputStream in = new PushbackInputStream(raw, START);
        byte[] start = in.readNBytes(START);
        in.unread(start);
        if (start.length == 0) {
            throw new BadInputException(source, "", "the file is empty");
        }
        if (start.length >= 2 && start[0] == 0x1f && start[1] == (byte) 0x8b) {
            if (unpacked) {
                throw new BadInputException(source, "", "is compressed more than once; decompress it before");
            }
            InputStream unpacking = new LimitedStream(
                    new GZIPInputStream(in, 1 << 16),
                    limits.decompressedBytes(),
                    () -> new BadInputException(
                            source, "", "unpacks to more than the limit of " + limits.decompressedBytes() + " bytes"));
            return read(unpacking, source, tableUnit, limits, true);
        }
        if (GdsiiReader.recognises(start)) {
            return GdsiiReader.read(in, source);
        }
        if (OasisReader.recognises(start)) {
            return OasisReader.read(in, source, limits);
        }
        if (looksLikeText(start)) {
            return CsvReader.read(in, source, tableUnit);
        }
        throw new BadInputException(source, "byte 0", "is no layout that can be read; GDSII, OASIS and CSV files can");
    }

    /**
     * {@return whether a file begins like a text rather than like a binary format}
     *
     * @param file a file that can be read
     * @throws BadInputException if the file cannot be read
     */
    public static boolean looksLikeText(Path file) {
        try (InputStream in = Files.newInputStream(file)) {
            return looksLikeText(in.readNBytes(START));
        } catch (IOException e) {
            throw BadInputException.unreadable(file, e);
        }
    }

    private static boolean looksLikeText(byte[] start) {
        for (byte b : start) {
            if (b >= 0 && b < ' ' && b != '\t' && b != '\r' && b != '\n') {
                return false;
            }
        }
        return true;
    }
}
