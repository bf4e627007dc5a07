package evendose.cli.spark;

import evendose.files.BadInputException;
import evendose.files.OutputFolder;
import evendose.parallel.Workers;
import evendose.tiles.TileRunner;
import java.io.Serializable;
import java.net.InetAddress;
import java.net.UnknownHostException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;

/**
 * What all tiles are sent in a round.
 *
 * @param work the work
 * @param inputs what it takes for each tile, serialised
 * @param newest for each tile the round that last put a value of each kind
 * @param folder a folder that is there as long as the run lasts
 */
record TileRound<I, R>(
        TileRunner.Work<I, R> work, List<byte[]> inputs, List<Map<String, Integer>> newest, String folder)
        implements Serializable {

    /** What a tile put and took in a round, and what the work returned or refused. Kinds are names of classes; values are serialised. */
    record Put(Map<String, byte[]> values, Set<String> taken, byte[] result, BadInputException refused)
            implements Serializable {
        /** Without the values, which stay where they are. */
        Put told() {
            Map<String, byte[]> kinds = new HashMap<>();
            values.keySet().forEach(kind -> kinds.put(kind, null));
            return new Put(kinds, taken, result, refused);
        }
    }

    /** What rounds say of a tile. */
    record Seen(int tile, Map<Integer, Map<String, byte[]>> byRound) implements Serializable {
        /** With another round. */
        Seen and(int round, Put put) {
            byRound.put(round, put.values);
            return this;
        }

        byte[] value(int round, String kind) {
            return byRound.get(round).get(kind);
        }
    }

    /** Works on a tile. */
    Put visit(Seen seen) {
        int tile = seen.tile;
        // No other folder has its name.
        if (!Files.isDirectory(Path.of(folder))) {
            return new Put(Map.of(), Set.of(), null, unseen());
        }
        Map<String, byte[]> values = new TreeMap<>();
        newest.get(tile).forEach((kind, round) -> values.put(kind, seen.value(round, kind)));
        SerialState state = new SerialState(values);
        try (Workers one = Workers.of(1)) {
            @SuppressWarnings("unchecked")
            I input = (I) SerialState.read(inputs.get(tile));
            R result = work.of(tile, state, input, one);
            return new Put(state.put(), state.taken(), SerialState.bytes(result), null);
        } catch (BadInputException e) {
            // It would be so again.
            return new Put(Map.of(), Set.of(), null, e);
        }
    }

    private BadInputException unseen() {
        String host;
        try {
            host = InetAddress.getLocalHost().getHostName();
        } catch (UnknownHostException e) {
            host = "a machine without a name";
        }
        return new BadInputException(
                String.valueOf(OutputFolder.destination(Path.of(folder, "any")).getParent()),
                "",
                "is not seen by the worker on " + host
                        + "; on Spark --out must lie on storage that all workers and this machine share, under one name");
    }
}
