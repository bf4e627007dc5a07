package evendose.cli;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.tiles.TileRunner;
import evendose.tiles.TilesOnDisk;
import java.nio.file.Path;
import java.util.Optional;

/** Where the tiles of a correction are worked on. */
public interface TileSite {
    /** This machine, where a layout may do without tiles. */
    TileSite HERE = TilesOnDisk::new;

    /**
     * {@return a runner for tiles without a state, to be closed}
     *
     * @param tiles number of tiles
     * @param work folder for what is needed as long as the run lasts, which exists
     * @param workers threads to compute on
     * @param progress hears how far the work is
     */
    TileRunner runner(int tiles, Path work, Workers workers, Progress progress);

    /** {@return what is written of each tile beside its table, for who works on at the site} */
    default Optional<TileTable> alsoWritten() {
        return Optional.empty();
    }
}
