package evendose.cli.spark;

import evendose.cli.TileSite;
import evendose.cli.TileTable;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.tiles.TileRunner;
import java.nio.file.Path;
import java.util.Optional;

/** The cluster that {@code spark-submit} was told of. Doses are written for Spark to read as well. */
final class SparkSite implements TileSite {
    @Override
    public TileRunner runner(int tiles, Path work, Workers workers, Progress progress) {
        return TilesOnSpark.start(tiles, work, progress);
    }

    @Override
    public Optional<TileTable> alsoWritten() {
        return Optional.of(new ParquetDoses());
    }
}
