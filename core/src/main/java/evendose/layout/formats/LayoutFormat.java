package evendose.layout.formats;

import evendose.Internal;
import evendose.Supported;
import evendose.layout.DatabaseUnit;
import evendose.layout.LayoutWriter;
import evendose.layout.gdsii.GdsiiWriter;
import evendose.layout.oasis.OasisWriter;
import java.io.IOException;
import java.io.OutputStream;

/** The formats in which layouts are written. */
@Supported
public enum LayoutFormat {
    /** GDSII Stream: understood everywhere, 32-bit coordinates. */
    GDSII("gds"),
    /** OASIS: a small part of the size. */
    OASIS("oas");

    private final String extension;

    LayoutFormat(String extension) {
        this.extension = extension;
    }

    /** {@return the usual end of file names, without the dot} */
    public String extension() {
        return extension;
    }

    /** {@return largest magnitude of a coordinate that a file can hold, dbu} */
    public long largestCoordinate() {
        return this == GDSII ? Integer.MAX_VALUE : Long.MAX_VALUE;
    }

    /**
     * Begins a file.
     *
     * @param out where the bytes go; closed with the writer, need not be buffered
     * @param file the file's name for messages
     * @param library name of the library, which only GDSII keeps
     * @param unit database unit
     * @return the writer, to be closed
     * @throws IOException if the stream cannot be written to
     */
    @Internal
    public LayoutWriter writer(OutputStream out, String file, String library, DatabaseUnit unit) throws IOException {
        return switch (this) {
            case GDSII -> new GdsiiWriter(out, file, library, unit);
            case OASIS -> new OasisWriter(out, file, unit);
        };
    }
}
