package evendose.cli.spark;

import evendose.cli.LimitException;
import evendose.correction.MemoryLimitException;
import evendose.files.BadInputException;
import evendose.parallel.Progress;
import evendose.tiles.TileRunner;
import java.io.Serializable;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.Iterator;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.function.BiConsumer;
import java.util.stream.Collectors;
import java.util.stream.IntStream;
import org.apache.spark.SparkConf;
import org.apache.spark.api.java.JavaRDD;
import org.apache.spark.api.java.JavaSparkContext;
import org.apache.spark.broadcast.Broadcast;
import org.apache.spark.storage.StorageLevel;

/**
 * Tiles on Apache Spark, one partition a tile. Each round of work gives a data set of what tiles have put since, which stays where it was made, in memory or on
 * the worker's disk; a tile's state is what the newest rounds say of each kind. So what a round does not change is neither written nor sent again. A
 * round's work and its inputs go to the workers as one broadcast; results are collected in the order of the tiles.
 *
 * <p>A worker that is lost takes its part of the data sets along. Spark does the rounds again that led to them, for the tiles that were there: states are kept
 * as bytes, so each work begins with values of its own and may change them. Every few rounds what tiles put is written to the output's storage,
 * so that these ways stay short.
 */
final class TilesOnSpark implements TileRunner {
    /** Rounds between those that are written to shared storage. */
    private static final int ROUNDS_AT_MOST = 8;

    private static final int POLL_MS = 100;

    private final JavaSparkContext spark;
    private final int tiles;
    private final Path work;
    private final Progress progress;

    /** For each tile the round that last put a value of each kind. */
    private final List<Map<String, Integer>> newest = new ArrayList<>();

    /** Rounds that hold any of these values. */
    private final Map<Integer, JavaRDD<TileRound.Put>> rounds = new TreeMap<>();

    private int round;

    private TilesOnSpark(JavaSparkContext spark, int tiles, Path work, Progress progress) {
        this.spark = spark;
        this.tiles = tiles;
        this.work = work.toAbsolutePath();
        this.progress = progress;
        for (int t = 0; t < tiles; t++) {
            newest.add(new HashMap<>());
        }
        spark.setCheckpointDir(work.resolve("rounds").toUri().toString());
    }

    /** Connects to the cluster that {@code spark-submit} was told of; {@link #close} ends the connection. */
    static TileRunner start(int tiles, Path work, Progress progress) {
        progress.begin("starting on Spark", 0);
        JavaSparkContext spark = new JavaSparkContext(new SparkConf().setIfMissing("spark.app.name", "evendose"));
        awaitWorker(spark);
        return new TilesOnSpark(spark, tiles, work, progress);
    }

    /** Waits for the first worker: where there is no master Spark ends by itself after a minute, and work given meanwhile may never return. */
    private static void awaitWorker(JavaSparkContext spark) {
        try {
            // The first is this machine itself.
            while (!spark.isLocal()
                    && !spark.sc().isStopped()
                    && spark.sc().statusTracker().getExecutorInfos().length < 2) {
                Thread.sleep(POLL_MS);
            }
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            throw new IllegalStateException("interrupted while Spark started", e);
        } catch (RuntimeException e) {
            if (!spark.sc().isStopped()) {
                throw e;
            }
        }
        if (spark.sc().isStopped()) {
            throw ended("starting on Spark", null);
        }
    }

    private static LimitException ended(String stage, Exception cause) {
        return new LimitException(
                "Spark ended at '" + stage + "' and logged why; is " + System.getProperty("spark.master")
                        + " there, and are its workers large enough for --executor-memory?",
                cause);
    }

    /** What some rounds say of all tiles, not computed before it is asked for. */
    private JavaRDD<TileRound.Seen> seen(Set<Integer> wanted) {
        List<Integer> numbers = IntStream.range(0, tiles).boxed().toList();
        JavaRDD<TileRound.Seen> seen =
                spark.parallelize(numbers, tiles).map(tile -> new TileRound.Seen(tile, new HashMap<>()));
        for (int r : wanted) {
            seen = seen.zipPartitions(rounds.get(r), (before, put) -> {
                List<TileRound.Seen> one = new ArrayList<>();
                while (before.hasNext()) {
                    one.add(before.next().and(r, put.next()));
                }
                return one.iterator();
            });
        }
        return seen;
    }

    @Override
    public int tiles() {
        return tiles;
    }

    @Override
    public <I, R> List<R> each(String stage, List<I> inputs, Work<I, R> work) {
        progress.begin(stage, tiles);
        spark.setJobDescription(stage);
        List<byte[]> sent = inputs.stream().map(SerialState::bytes).collect(Collectors.toCollection(ArrayList::new));
        List<Map<String, Integer>> now = newest.stream()
                .<Map<String, Integer>>map(HashMap::new)
                .collect(Collectors.toCollection(ArrayList::new));
        int number = round++;
        List<TileRound.Put> results =
                run(stage, () -> visit(number, new TileRound<>(work, sent, now, this.work.toString())));
        List<R> returned = new ArrayList<>();
        for (int t = 0; t < tiles; t++) {
            TileRound.Put result = results.get(t);
            if (result.refused() != null) {
                throw result.refused();
            }
            newest.get(t).keySet().removeAll(result.taken());
            for (String kind : result.values().keySet()) {
                newest.get(t).put(kind, number);
            }
            @SuppressWarnings("unchecked")
            R value = (R) SerialState.read(result.result());
            returned.add(value);
        }
        forget();
        progress.advance(tiles);
        return returned;
    }

    /** Has all tiles visited, and tells of it in their order. */
    private <I, R> List<TileRound.Put> visit(int number, TileRound<I, R> round) {
        Broadcast<TileRound<I, R>> told = spark.broadcast(round);
        JavaRDD<TileRound.Put> put =
                seen(rounds.keySet()).map(tile -> told.value().visit(tile)).persist(StorageLevel.MEMORY_AND_DISK());
        if (number % ROUNDS_AT_MOST == ROUNDS_AT_MOST - 1) {
            put.checkpoint();
        }
        List<TileRound.Put> results = put.map(TileRound.Put::told).collect();
        // Who has to do the round again fetches it again.
        told.unpersist();
        rounds.put(number, put);
        return results;
    }

    /** Drops rounds whose values were all put anew or taken. */
    private void forget() {
        Set<Integer> needed = newest.stream().flatMap(m -> m.values().stream()).collect(Collectors.toSet());
        rounds.entrySet().removeIf(entry -> {
            boolean isOver = !needed.contains(entry.getKey());
            if (isOver) {
                entry.getValue().unpersist(false);
            }
            return isOver;
        });
    }

    @Override
    public <T extends Serializable> void fetch(Class<T> kind, BiConsumer<Integer, T> use) {
        String name = kind.getName();
        Set<Integer> holding = newest.stream()
                .filter(m -> m.containsKey(name))
                .map(m -> m.get(name))
                .collect(Collectors.toCollection(TreeSet::new));
        List<Integer> where = newest.stream().map(m -> m.get(name)).collect(Collectors.toCollection(ArrayList::new));
        spark.setJobDescription("fetching");
        // One tile after the other, so that this machine holds one only.
        Iterator<byte[]> values = run(
                "fetching",
                () -> seen(holding)
                        .map(seen -> where.get(seen.tile()) == null ? null : seen.value(where.get(seen.tile()), name))
                        .toLocalIterator());
        for (int t = 0; t < tiles; t++) {
            byte[] value = run("fetching", values::next);
            if (value != null) {
                use.accept(t, kind.cast(SerialState.read(value)));
            }
            newest.get(t).remove(name);
        }
        forget();
    }

    private interface Job<T> {
        T get() throws Exception;
    }

    /** What Spark gives up is told in one line. */
    private <T> T run(String stage, Job<T> job) {
        try {
            return job.get();
        } catch (Exception e) {
            for (Throwable cause = e; cause != null; cause = cause.getCause()) {
                if (cause instanceof BadInputException || cause instanceof MemoryLimitException) {
                    throw (RuntimeException) cause;
                }
            }
            if (spark.sc().isStopped()) {
                throw ended(stage, e);
            }
            throw new LimitException(
                    "Spark gave up at '" + stage + "' ("
                            + String.valueOf(e.getMessage()).lines().findFirst().orElse("")
                            + "); where workers are lost, more --tiles or more --executor-memory may help",
                    e);
        }
    }

    @Override
    public void close() {
        spark.close();
    }
}
