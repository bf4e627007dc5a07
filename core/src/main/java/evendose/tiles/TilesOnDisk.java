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
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.function.BiConsumer;

/**
 * Tiles on this machine: as many at a time as there are threads, each on one thread, and all they remember in files of a folder. So memory
 * holds a few tiles only, however many there are.
 */
public final class TilesOnDisk implements TileRunner {
    private static final String PREFIX = "tile-";

    private static final int BUFFER = 1 << 20;

    private final int tiles;
    private final Path folder;
    private final Workers workers;
    private final Progress progress;

    /**
     * Tiles without a state.
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
    }

    @Override
    public int tiles() {
        return tiles;
    }

    @Override
    public <I, R> List<R> each(String stage, List<I> inputs, Work<I, R> work) {
        progress.begin(stage, tiles);
        List<R> results = new ArrayList<>(Collections.nCopies(tiles, null));
        workers.run(tiles, tile -> {
            try (Workers one = Workers.of(1)) {
                R result = work.of(tile, new OnDisk(tile), inputs.get(tile), one);
                synchronized (results) {
                    results.set(tile, result);
                }
            }
            progress.advance(1);
        });
        return results;
    }

    @Override
    public <T extends Serializable> void fetch(Class<T> kind, BiConsumer<Integer, T> use) {
        for (int tile = 0; tile < tiles; tile++) {
            T value = new OnDisk(tile).take(kind);
            if (value != null) {
                use.accept(tile, value);
            }
        }
    }

    private final class OnDisk implements State {
        private final int tile;

        OnDisk(int tile) {
            this.tile = tile;
        }

        private Path file(Class<?> kind) {
            return folder.resolve(PREFIX + tile + "-" + kind.getSimpleName());
        }

        @Override
        public <T extends Serializable> T get(Class<T> kind) {
            Path file = file(kind);
            if (!Files.exists(file)) {
                return null;
            }
            try (ObjectInputStream in =
                    new ObjectInputStream(new BufferedInputStream(Files.newInputStream(file), BUFFER))) {
                return kind.cast(in.readObject());
            } catch (IOException | ClassNotFoundException e) {
                throw new IllegalStateException("what tile " + tile + " remembers cannot be read: " + file, e);
            }
        }

        @Override
        public <T extends Serializable> T take(Class<T> kind) {
            T value = get(kind);
            try {
                Files.deleteIfExists(file(kind));
            } catch (IOException e) {
                throw BadInputException.unwritable(file(kind), e);
            }
            return value;
        }

        @Override
        public void put(Serializable value) {
            Path file = file(value.getClass());
            try (ObjectOutputStream out =
                    new ObjectOutputStream(new BufferedOutputStream(Files.newOutputStream(file), BUFFER))) {
                out.writeObject(value);
            } catch (IOException e) {
                throw BadInputException.unwritable(file, e);
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
