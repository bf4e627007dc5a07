package evendose.files;

import java.io.IOException;
import java.nio.channels.FileChannel;
import java.nio.channels.FileLock;
import java.nio.channels.OverlappingFileLockException;
import java.nio.charset.StandardCharsets;
import java.nio.file.AccessDeniedException;
import java.nio.file.DirectoryNotEmptyException;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.FileSystemException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import java.util.UUID;
import java.util.concurrent.ConcurrentHashMap;
import java.util.regex.Pattern;
import java.util.stream.Stream;

/**
 * A folder whose files appear whole or not at all, and together: either all files of a former run are there or all of the new
 * one, also if the process is killed at any moment. Other files in the folder stay as they are.
 *
 * <p>Files are written to a hidden folder, inside the target or, if that does not exist yet, beside it. {@link #commit} makes
 * a new target by renaming the hidden folder. Into an existing target it goes in two steps: the hidden folder is renamed to
 * {@value #JOURNAL}, and from that moment the new result counts; then its files are moved into the target one by one. While
 * {@value #JOURNAL} is there, the target's files may be of two runs; {@link #settle} moves the rest, and opening the folder for
 * another run does so first.
 *
 * <p>Closing without commit leaves nothing behind, not even the parents that were made. What a killed run left is removed by
 * the next one in that place. One run at a time writes into a folder. This holds for the end of the process, not for a failure
 * of power: nothing is forced to the disk.
 */
public final class OutputFolder implements AutoCloseable {
    /** A folder of this name in the target holds files of a result that is complete but not all moved in place. */
    public static final String JOURNAL = ".evendose-commit";

    private static final String STAGING = ".evendose-unfinished-";
    private static final int UUID_LENGTH = 36;
    /** A hidden folder, whatever its target. */
    private static final Pattern HIDDEN =
            Pattern.compile(Pattern.quote(STAGING) + "(.*-)?[0-9a-f-]{" + UUID_LENGTH + "}");

    /** Begins the name of an empty file in the journal that stands for a file to remove. */
    private static final String REMOVE = ".remove-";
    /** Locked as long as the run that writes into the hidden folder lives. */
    private static final String LOCK = ".lock";
    /** More than a run takes from making its hidden folder to locking it. */
    private static final Duration START = Duration.ofMinutes(1);
    /** More than the files that a result has. */
    private static final int REMOVALS = 1000;

    /**
     * Hidden folders of this process. Their locks must not be looked at: closing any file of that name would free the lock, as POSIX wants it.
     */
    private static final Set<Path> OWN = ConcurrentHashMap.newKeySet();

    private final Path target;
    private final Path staging;
    private final FileChannel lock;
    private final boolean force;
    private final List<Path> parentsMade;
    private final List<Path> removedLeftovers = new ArrayList<>();
    private final Set<String> names = new LinkedHashSet<>();
    private final Set<String> unwanted = new LinkedHashSet<>();
    private boolean closed;

    private OutputFolder(Path target, Path staging, FileChannel lock, boolean force, List<Path> parentsMade) {
        this.target = target;
        this.staging = staging;
        this.lock = lock;
        this.force = force;
        this.parentsMade = parentsMade;
    }

    /**
     * Prepares to write into {@code target}, which is made by the commit if it does not exist; its parents are made at once.
     *
     * @param target the folder that files are to appear in
     * @param force whether files of the same names may be replaced
     * @return the output, to be closed
     * @throws BadInputException if the folder cannot be made or written to, or another run is writing into it
     */
    public static OutputFolder open(Path target, boolean force) {
        Path absolute = target.toAbsolutePath().normalize();
        if (Files.exists(absolute) && !Files.isDirectory(absolute)) {
            throw new BadInputException(target.toString(), "", "is a file; name a folder for the output");
        }
        List<Path> made = new ArrayList<>();
        try {
            Path parent = absolute.getParent() == null ? absolute : absolute.getParent();
            makeParents(parent, made, target);
            settle(absolute);
            boolean exists = Files.isDirectory(absolute);
            Path place = exists ? absolute : parent;
            // Not a temporary directory of Java's, which only its owner may enter.
            Path staging = Files.createDirectory(
                    place.resolve((exists ? STAGING : prefixBeside(absolute)) + UUID.randomUUID()));
            OWN.add(staging);
            FileChannel lock =
                    FileChannel.open(staging.resolve(LOCK), StandardOpenOption.CREATE_NEW, StandardOpenOption.WRITE);
            lock.lock();
            OutputFolder output = new OutputFolder(absolute, staging, lock, force, made);
            // After its own lock: of two runs that begin at once none misses the other.
            if (output.isWrittenByAnother()) {
                output.giveUp();
                throw new BadInputException(
                        target.toString(),
                        "",
                        "is being written into by another run; wait until that ends, or name another folder");
            }
            output.removeLeftovers(parent);
            if (exists) {
                output.removeLeftovers(absolute);
            }
            return output;
        } catch (IOException e) {
            removeEmpty(made);
            throw new BadInputException(target.toString(), "", "cannot be written to (" + reason(e) + ")", e);
        }
    }

    private static void makeParents(Path parent, List<Path> made, Path target) throws IOException {
        Path there = parent;
        while (!Files.exists(there)) {
            made.add(there);
            there = there.getParent();
        }
        if (!Files.isDirectory(there)) {
            throw new BadInputException(target.toString(), "", "cannot be made: " + there + " is a file");
        }
        Files.createDirectories(parent);
    }

    /** Removes folders, the deepest first, as long as they hold nothing. */
    private static void removeEmpty(List<Path> folders) {
        try {
            for (Path folder : folders) {
                Files.deleteIfExists(folder);
            }
        } catch (IOException e) {
            // Somebody else uses it.
        }
    }

    private static String prefixBeside(Path target) {
        return STAGING + target.getFileName() + "-";
    }

    private boolean isWrittenByAnother() throws IOException {
        return isAlive(target, STAGING)
                || target.getParent() != null && isAlive(target.getParent(), prefixBeside(target));
    }

    private boolean isAlive(Path place, String prefix) throws IOException {
        if (!Files.isDirectory(place)) {
            return false;
        }
        for (Path folder : hidden(place)) {
            String name = String.valueOf(folder.getFileName());
            Path itsLock = folder.resolve(LOCK);
            if (!folder.equals(staging)
                    && name.startsWith(prefix)
                    && name.length() == prefix.length() + UUID_LENGTH
                    && Files.exists(itsLock)
                    && isLocked(itsLock)) {
                return true;
            }
        }
        return false;
    }

    /** {@return the hidden folders of killed runs that were found in this place and removed} */
    public List<Path> removedLeftovers() {
        return List.copyOf(removedLeftovers);
    }

    /** {@return the folder itself, absolute} */
    public Path folder() {
        return target;
    }

    /** {@return names of the files asked for so far, in their order} */
    public synchronized List<String> names() {
        return List.copyOf(names);
    }

    /**
     * {@return where a file will appear that is written to a hidden folder now, for messages; any other path as it is}
     *
     * @param file a file
     */
    public static Path destination(Path file) {
        Path hidden = file.getParent();
        String name = hidden == null || hidden.getFileName() == null
                ? ""
                : hidden.getFileName().toString();
        if (!name.startsWith(STAGING) || hidden.getParent() == null) {
            return file;
        }
        int end = name.length() - UUID_LENGTH - 1;
        Path target = end > STAGING.length()
                ? hidden.resolveSibling(name.substring(STAGING.length(), end))
                : hidden.getParent();
        return target.resolve(file.getFileName());
    }

    /**
     * Finishes what a run began that was killed in the middle of its commit; does nothing to a folder where that is not so.
     * Whoever reads several files of a result and wants them to be of the same run calls this first.
     *
     * @param folder the folder that a run wrote into
     * @throws BadInputException if the files cannot be moved
     */
    public static void settle(Path folder) {
        Path journal = folder.resolve(JOURNAL);
        if (!Files.isDirectory(journal)) {
            return;
        }
        try {
            moveInPlace(journal, folder);
        } catch (IOException e) {
            throw new BadInputException(
                    folder.toString(),
                    "",
                    "holds the files of two runs, the newer ones in " + JOURNAL + ", which cannot be moved ("
                            + reason(e) + ")",
                    e);
        }
    }

    /**
     * {@return where to write the file {@code name} until it is committed}
     *
     * @param name name of the file
     * @throws BadInputException if the folder has such a file already and may not replace it
     */
    public Path file(String name) {
        refuseExisting(name);
        names.add(name);
        unwanted.remove(name);
        return staging.resolve(name);
    }

    /**
     * Lets the commit remove the file {@code name}, which would not belong to the new result, unless {@link #file} asks for it
     * later.
     *
     * @param name name of the file
     * @throws BadInputException if the folder has such a file and may not lose it
     */
    public void without(String name) {
        refuseExisting(name);
        unwanted.add(name);
    }

    private void refuseExisting(String name) {
        if (!force && Files.exists(target.resolve(name))) {
            throw new BadInputException(
                    target.resolve(name).toString(), "", "exists already; use --force to replace it");
        }
    }

    /**
     * {@return a folder for files and folders that are needed as long as the run lasts, beside the others; the commit removes them}
     */
    public Path workFolder() {
        return staging;
    }

    /**
     * Writes a whole file.
     *
     * @param name name of the file
     * @param content what it is to hold
     * @throws BadInputException if that fails, or the folder has such a file already and may not replace it
     */
    public void write(String name, byte[] content) {
        Path file = file(name);
        try {
            Files.write(file, content);
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
    }

    /**
     * As above, a text in UTF-8.
     *
     * @param name name of the file
     * @param content what it is to hold
     */
    public void write(String name, String content) {
        write(name, content.getBytes(StandardCharsets.UTF_8));
    }

    /** Where the file {@code name} will be after the commit. */
    Path finalPlace(String name) {
        return target.resolve(name);
    }

    /**
     * Moves all files in place.
     *
     * @throws BadInputException if that fails
     */
    public synchronized void commit() {
        if (closed) {
            throw new IllegalStateException("the output was given up before it was complete");
        }
        try {
            for (String name : names) {
                if (!Files.isRegularFile(staging.resolve(name))) {
                    throw new NoSuchFileException(name, null, name + " was not written");
                }
            }
            // First the lock's file, since a folder with a lock that nobody holds counts as left behind.
            Files.deleteIfExists(staging.resolve(LOCK));
            lock.close();
            for (Path file : list(staging)) {
                if (!names.contains(String.valueOf(file.getFileName()))) {
                    removeWhole(file);
                }
            }
            if (Files.isDirectory(target)) {
                if (!staging.getParent().equals(target)) {
                    // It came while this run was at work.
                    names.forEach(this::refuseExisting);
                }
                for (String name : unwanted) {
                    Files.createFile(staging.resolve(REMOVE + name));
                }
                Path journal = target.resolve(JOURNAL);
                Files.move(staging, journal, StandardCopyOption.ATOMIC_MOVE);
                moveInPlace(journal, target);
            } else {
                Files.move(staging, target, StandardCopyOption.ATOMIC_MOVE);
            }
            closed = true;
            OWN.remove(staging);
        } catch (IOException e) {
            throw new BadInputException(target.toString(), "", "cannot be written to (" + reason(e) + ")", e);
        }
    }

    /** Drops what was not committed. */
    @Override
    public void close() {
        giveUp();
    }

    /**
     * Drops what was not committed, also while another thread writes it: that one can make no more files then.
     *
     * @return whether this was neither committed nor closed before
     */
    public synchronized boolean giveUp() {
        if (closed) {
            return false;
        }
        closed = true;
        try {
            lock.close();
            boolean removed = false;
            for (int attempt = 0; !removed && attempt < REMOVALS; attempt++) {
                removed = remove(staging);
            }
            removeEmpty(parentsMade);
        } catch (IOException e) {
            // The next run removes it.
        } finally {
            OWN.remove(staging);
        }
        return true;
    }

    /** May be interrupted at any point and done again, also by several at once. */
    private static void moveInPlace(Path journal, Path folder) throws IOException {
        try {
            for (Path file : list(journal)) {
                String name = String.valueOf(file.getFileName());
                if (name.startsWith(REMOVE)) {
                    Files.deleteIfExists(folder.resolve(name.substring(REMOVE.length())));
                    Files.deleteIfExists(file);
                } else {
                    Files.move(
                            file,
                            folder.resolve(name),
                            StandardCopyOption.REPLACE_EXISTING,
                            StandardCopyOption.ATOMIC_MOVE);
                }
            }
            Files.delete(journal);
        } catch (NoSuchFileException e) {
            // Another run may have moved the same files.
            if (Files.exists(journal)) {
                moveInPlace(journal, folder);
            }
        }
    }

    /** Removes hidden folders of runs that live no more, whatever folder they wanted to make. */
    private void removeLeftovers(Path place) throws IOException {
        for (Path folder : hidden(place)) {
            try {
                if (!isLocked(folder.resolve(LOCK)) && remove(folder)) {
                    removedLeftovers.add(folder);
                }
            } catch (IOException e) {
                // Perhaps another user's; it does no harm.
            }
        }
    }

    private static List<Path> hidden(Path place) throws IOException {
        return list(place).stream()
                .filter(f -> HIDDEN.matcher(String.valueOf(f.getFileName())).matches() && Files.isDirectory(f))
                .toList();
    }

    private static boolean isLocked(Path file) throws IOException {
        if (!Files.exists(file)) {
            // A run makes its folder, then the lock.
            Instant made = Files.getLastModifiedTime(file.getParent()).toInstant();
            return made.isAfter(Instant.now().minus(START));
        }
        if (OWN.contains(file.getParent())) {
            return true;
        }
        try (FileChannel channel = FileChannel.open(file, StandardOpenOption.WRITE);
                FileLock lock = channel.tryLock()) {
            return lock == null;
        } catch (OverlappingFileLockException e) {
            // Held within this process, by classes loaded a second time.
            return true;
        }
    }

    /** Returns false if files came while others went. */
    private static boolean remove(Path folder) throws IOException {
        try {
            for (Path file : list(folder)) {
                removeWhole(file);
            }
            Files.deleteIfExists(folder);
            return true;
        } catch (DirectoryNotEmptyException e) {
            return false;
        }
    }

    /** A file, or a folder with all in it. */
    private static void removeWhole(Path file) throws IOException {
        if (Files.isDirectory(file, LinkOption.NOFOLLOW_LINKS)) {
            for (Path inside : list(file)) {
                removeWhole(inside);
            }
        }
        Files.deleteIfExists(file);
    }

    private static List<Path> list(Path folder) throws IOException {
        try (Stream<Path> files = Files.list(folder)) {
            return files.toList();
        }
    }

    /**
     * {@return a short reason for a person: why a file operation failed}
     *
     * @param e how the operation failed
     */
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
