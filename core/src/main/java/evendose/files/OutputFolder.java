package evendose.files;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.AccessDeniedException;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.FileSystemException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.util.LinkedHashSet;
import java.util.Set;
import java.util.stream.Stream;

/**
 * A folder whose files appear whole or not at all. Files are written to a hidden folder beside it; {@link #commit} moves
 * them in place. Closing without commit leaves nothing behind, and files that the folder held before stay as they were.
 */
public final class OutputFolder implements AutoCloseable {
    private final Path target;
    private final Path staging;
    private final boolean force;
    private final Set<String> names = new LinkedHashSet<>();
    private boolean committed;

    private OutputFolder(Path target, Path staging, boolean force) {
        this.target = target;
        this.staging = staging;
        this.force = force;
    }

    /**
     * Prepares to write into {@code target}, which is made if it does not exist.
     *
     * @param force whether files of the same names may be replaced
     * @throws BadInputException if the folder cannot be made or written to
     */
    public static OutputFolder open(Path target, boolean force) {
        Path absolute = target.toAbsolutePath().normalize();
        if (Files.exists(absolute) && !Files.isDirectory(absolute)) {
            throw new BadInputException(target.toString(), "", "is a file; name a folder for the output");
        }
        try {
            Path parent = absolute.getParent() == null ? absolute : absolute.getParent();
            if (!Files.isDirectory(parent)) {
                throw new BadInputException(target.toString(), "", "its parent folder does not exist; make it first");
            }
            Path beside = Files.isDirectory(absolute) ? absolute : parent;
            Path staging = Files.createTempDirectory(beside, ".evendose-unfinished-");
            return new OutputFolder(absolute, staging, force);
        } catch (IOException e) {
            throw new BadInputException(target.toString(), "", "cannot be written to (" + reason(e) + ")", e);
        }
    }

    /**
     * Where to write the file {@code name} until it is committed.
     *
     * @throws BadInputException if the folder has such a file already and may not replace it
     */
    public Path file(String name) {
        if (!force && Files.exists(target.resolve(name))) {
            throw new BadInputException(
                    target.resolve(name).toString(), "", "exists already; use --force to replace it");
        }
        names.add(name);
        return staging.resolve(name);
    }

    /**
     * Writes a whole file.
     *
     * @throws BadInputException if that fails, or the folder has such a file already and may not replace it
     */
    public void write(String name, byte[] content) {
        Path file = file(name);
        try {
            Files.write(file, content);
        } catch (IOException e) {
            throw new BadInputException(
                    target.resolve(name).toString(), "", "cannot be written (" + reason(e) + ")", e);
        }
    }

    /** As above, a text in UTF-8. */
    public void write(String name, String content) {
        write(name, content.getBytes(StandardCharsets.UTF_8));
    }

    /** Where the file {@code name} will be after the commit. */
    public Path finalPlace(String name) {
        return target.resolve(name);
    }

    /**
     * Moves all files in place.
     *
     * @throws BadInputException if that fails
     */
    public void commit() {
        try {
            if (Files.isDirectory(target)) {
                for (String name : names) {
                    Files.move(
                            staging.resolve(name),
                            target.resolve(name),
                            StandardCopyOption.REPLACE_EXISTING,
                            StandardCopyOption.ATOMIC_MOVE);
                }
            } else {
                // createTempDirectory gives rights to the owner alone; a folder made by hand would follow the umask.
                Path made = Files.createDirectory(target);
                for (String name : names) {
                    Files.move(staging.resolve(name), made.resolve(name), StandardCopyOption.ATOMIC_MOVE);
                }
            }
            committed = true;
        } catch (IOException e) {
            throw new BadInputException(target.toString(), "", "cannot be written to (" + reason(e) + ")", e);
        }
    }

    /** Drops what was not committed. */
    @Override
    public void close() {
        if (!Files.exists(staging)) {
            return;
        }
        try (Stream<Path> left = Files.list(staging)) {
            for (Path file : left.toList()) {
                Files.deleteIfExists(file);
            }
            Files.deleteIfExists(staging);
        } catch (IOException e) {
            if (committed) {
                throw new BadInputException(staging.toString(), "", "cannot be removed (" + reason(e) + ")", e);
            }
        }
    }

    /** A short reason for a person: why a file operation failed. */
    public static String reason(IOException e) {
        if (e instanceof AccessDeniedException) {
            return "permission denied";
        }
        if (e instanceof FileAlreadyExistsException) {
            return "it exists already";
        }
        if (e instanceof FileSystemException f && f.getReason() != null) {
            return f.getReason();
        }
        return e.getMessage() == null ? e.getClass().getSimpleName() : e.getMessage();
    }
}
