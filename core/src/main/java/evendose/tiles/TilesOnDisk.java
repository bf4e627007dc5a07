package evendose.tiles;

import evendose.files.BadInputException;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.io.BufferedInputStream;
import java.io.BufferedOutputStream;
import java.io.IOException;
import java.io.ObjectInputStream;
import java.io.ObjectOutputStream;
import java.io.Serializable;
import java.nio.file.DirectoryStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.Queue;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.ConcurrentLinkedQueue;
import java.util.function.BiConsumer;

/**
 * Tiles on this machine: as many at a time as there are threads, each on one thread, and all they remember in files of a folder. So memory
 * holds a few tiles only, however many there are.
 *
 * <p>The folder also keeps what each work returned. A runner on the folder of one that was killed gives these results again, without working, up
 * to the last work that was done on all tiles; whoever asks for the same works in the same order goes on from there. A work counts as done when the
 * next begins: so the last one, which writes files elsewhere, is always done again. A file's name ends with the number of the work that wrote
 * it, and it stays until the next work that replaces it is done.
 */
public final class TilesOnDisk implements TileRunner {
    private static final String PREFIX = "tile-";
    private static final String RESULTS = PREFIX + "results";
    private static final String PENDING = "-pending";

    private static final int BUFFER = 1 << 20;

    private final int tiles;
    private final Path folder;
    private final Workers workers;
    private final Progress progress;

    /** For what tiles remember: number of the work that wrote it. */
    private final Map<String, Integer> written = new ConcurrentHashMap<>();

    private final Queue<Path> obsolete = new ConcurrentLinkedQueue<>();

    /** Number of works that are done and need not be done again. */
    private final int done;

    private int work = -1;

    /**
     * Tiles without a state, or those of a run that was killed.
     *
     * @param tiles number of tiles
     * @param folder folder for their states, which exists; files of other names there stay
     * @param workers threads to compute on
     * @param progress hears one step a tile
     */
    public TilesOnDisk(int tiles, Path folder, Workers workers, Progress progress) {
        this.tiles = tiles;
        this.folder = folder;
        this.workers = workers;
        this.progress = progress;
        int known = 0;
        while (Files.exists(numbered(RESULTS, known))) {
            known++;
        }
        done = known;
        try (DirectoryStream<Path> files = Files.newDirectoryStream(folder, PREFIX + "*")) {
            for (Path file : files) {
                String name = String.valueOf(file.getFileName());
                int dot = name.lastIndexOf('.');
                int by = Integer.parseInt(name.substring(dot + 1));
                String what = name.substring(0, dot);
                if (by >= done) {
                    Files.delete(file);
                } else if (!what.equals(RESULTS)) {
                    written.merge(what, by, Math::max);
                }
            }
        } catch (IOException e) {
            throw BadInputException.unwritable(folder, e);
        }
    }

    private Path numbered(String what, int number) {
        return folder.resolve(what + "." + number);
    }

    @Override
    public int tiles() {
        return tiles;
    }

    @Override
    public <I, R> List<R> each(String stage, List<I> inputs, Work<I, R> toDo) {
        endWork();
        work++;
        progress.begin(stage, tiles);
        if (work < done) {
            progress.advance(tiles);
            @SuppressWarnings("unchecked")
            List<R> known = read(ArrayList.class, numbered(RESULTS, work));
            return known;
        }
        ArrayList<R> results = new ArrayList<>(Collections.nCopies(tiles, null));
        workers.run(tiles, tile -> {
            try (Workers one = Workers.of(1)) {
                R result = toDo.of(tile, new OnDisk(tile), inputs.get(tile), one);
                synchronized (results) {
                    results.set(tile, result);
                }
            }
            progress.advance(1);
        });
        write(results, numbered(RESULTS + PENDING, work));
        return results;
    }

    /** From here on the last work need not be done again. */
    private void endWork() {
        if (work < done) {
            return;
        }
        try {
            Files.move(numbered(RESULTS + PENDING, work), numbered(RESULTS, work), StandardCopyOption.ATOMIC_MOVE);
            for (Path file = obsolete.poll(); file != null; file = obsolete.poll()) {
                Files.deleteIfExists(file);
            }
        } catch (IOException e) {
            throw BadInputException.unwritable(folder, e);
        }
    }

    @Override
    public <T extends Serializable> void fetch(Class<T> kind, BiConsumer<Integer, T> use) {
        for (int tile = 0; tile < tiles; tile++) {
            T value = new OnDisk(tile).get(kind);
            if (value != null) {
                use.accept(tile, value);
            }
        }
    }

    private static <T> T read(Class<T> kind, Path file) {
        try (ObjectInputStream in =
                new ObjectInputStream(new BufferedInputStream(Files.newInputStream(file), BUFFER))) {
            return kind.cast(in.readObject());
        } catch (IOException | ClassNotFoundException e) {
            throw new IllegalStateException("what tiles remember cannot be read: " + file, e);
        }
    }

    private static void write(Serializable value, Path file) {
        try (ObjectOutputStream out = new StateStream(new BufferedOutputStream(Files.newOutputStream(file), BUFFER))) {
            out.writeObject(value);
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
    }

    private final class OnDisk implements State {
        private final int tile;

        OnDisk(int tile) {
            this.tile = tile;
        }

        private String what(Class<?> kind) {
            return PREFIX + tile + "-" + kind.getSimpleName();
        }

        @Override
        public <T extends Serializable> T get(Class<T> kind) {
            Integer by = written.get(what(kind));
            return by == null ? null : read(kind, numbered(what(kind), by));
        }

        @Override
        public <T extends Serializable> T take(Class<T> kind) {
            T value = get(kind);
            forget(what(kind));
            return value;
        }

        @Override
        public void put(Serializable value) {
            String what = what(value.getClass());
            write(value, numbered(what, work));
            Integer before = written.put(what, work);
            if (before != null && before != work) {
                obsolete.add(numbered(what, before));
            }
        }

        private void forget(String what) {
            Integer by = written.remove(what);
            if (by != null) {
                obsolete.add(numbered(what, by));
            }
        }
    }

    @Override
    public void close() {
        try (DirectoryStream<Path> files = Files.newDirectoryStream(folder, PREFIX + "*")) {
            for (Path file : files) {
                Files.deleteIfExists(file);
            }
        } catch (IOException e) {
            throw BadInputException.unwritable(folder, e);
        }
    }
}
