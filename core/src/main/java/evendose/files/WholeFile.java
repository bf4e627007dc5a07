package evendose.files;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.util.UUID;

/** A file that appears whole, also where several processes write it at once; what one leaves that is killed has another name. */
public final class WholeFile {
    private WholeFile() {}

    /** Writes what a file is to hold. */
    @FunctionalInterface
    public interface Content {
        /**
         * Writes it.
         *
         * @param file the file to write, of another name
         * @throws IOException if that fails
         */
        void writeTo(Path file) throws IOException;
    }

    /**
     * Writes a file.
     *
     * @param file the file
     * @param content what it is to hold
     * @throws BadInputException if it cannot be written
     */
    public static void write(Path file, Content content) {
        Path beside = file.resolveSibling(file.getFileName() + "-" + UUID.randomUUID());
        try {
            content.writeTo(beside);
            Files.move(beside, file, StandardCopyOption.ATOMIC_MOVE);
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
    }
}
