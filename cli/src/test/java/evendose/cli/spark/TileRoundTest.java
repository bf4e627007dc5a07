package evendose.cli.spark;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.cli.CommandLineTool;
import evendose.cli.TileSite;
import evendose.tiles.TileRunner;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.io.Serializable;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.function.BiConsumer;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Work on tiles as Spark does it, without Spark: sent as bytes, and done again where a worker is lost. */
class TileRoundTest {
    private static final Path LAYOUT = Path.of("../testdata/layouts/cd-500nm.gds");

    @TempDir
    Path folder;

    private int run(TileSite place, String out, PrintStream err, String... more) {
        List<String> words = new ArrayList<>(
                List.of("correct", LAYOUT.toString(), "--alpha-um", "0.02", "--beta-um", "9.5", "--eta", "0.6"));
        words.addAll(List.of("--out", folder.resolve(out).toString()));
        words.addAll(List.of(more));
        return CommandLineTool.run(words.toArray(String[]::new), new ByteArrayOutputStream(), err, place);
    }

    /** Each work is done three times, the last time from copies of all that it was sent. */
    private static final class Thrice implements TileRunner {
        private final int tiles;
        private final String work;
        private final List<Map<String, Integer>> newest = new ArrayList<>();
        private final List<TileRound.Seen> seen = new ArrayList<>();
        private int round;

        Thrice(int tiles, Path work) {
            this.tiles = tiles;
            this.work = work.toString();
            for (int t = 0; t < tiles; t++) {
                newest.add(new HashMap<>());
                seen.add(new TileRound.Seen(t, new HashMap<>()));
            }
        }

        @Override
        public int tiles() {
            return tiles;
        }

        @Override
        @SuppressWarnings("unchecked")
        public <I, R> List<R> each(String stage, List<I> inputs, Work<I, R> work) {
            TileRound<I, R> here = new TileRound<>(
                    work,
                    new ArrayList<>(inputs.stream().map(SerialState::bytes).toList()),
                    new ArrayList<>(newest.stream().map(HashMap::new).toList()),
                    this.work);
            byte[] sent = SerialState.bytes(here);
            TileRound<I, R> there = (TileRound<I, R>) SerialState.read(sent);
            List<R> results = new ArrayList<>();
            for (int t = 0; t < tiles; t++) {
                TileRound.Put put = there.visit(seen.get(t));
                isSame(put, there.visit(seen.get(t)));
                TileRound<I, R> later = (TileRound<I, R>) SerialState.read(sent);
                isSame(put, later.visit((TileRound.Seen) SerialState.read(SerialState.bytes(seen.get(t)))));
                assertNull(put.refused());
                seen.set(t, seen.get(t).and(round, put));
                newest.get(t).keySet().removeAll(put.taken());
                for (String kind : put.told().values().keySet()) {
                    newest.get(t).put(kind, round);
                }
                results.add((R) SerialState.read(put.result()));
            }
            round++;
            return results;
        }

        private static void isSame(TileRound.Put one, TileRound.Put other) {
            assertEquals(one.values().keySet(), other.values().keySet());
            one.values()
                    .forEach((kind, value) ->
                            assertArrayEquals(value, other.values().get(kind), kind));
            assertEquals(one.taken(), other.taken());
            assertTrue(Arrays.equals(one.result(), other.result()));
        }

        @Override
        public <T extends Serializable> void fetch(Class<T> kind, BiConsumer<Integer, T> use) {
            for (int t = 0; t < tiles; t++) {
                Integer when = newest.get(t).remove(kind.getName());
                if (when != null) {
                    use.accept(t, kind.cast(SerialState.read(seen.get(t).value(when, kind.getName()))));
                }
            }
        }

        @Override
        public void close() {
            seen.clear();
        }
    }

    private static Map<String, byte[]> files(Path out) throws IOException {
        Map<String, byte[]> files = new TreeMap<>();
        try (Stream<Path> all = Files.list(out)) {
            for (Path file : all.toList()) {
                files.put(String.valueOf(file.getFileName()), Files.readAllBytes(file));
            }
        }
        return files;
    }

    /** A report, but for the command that repeats the run and how long it took. */
    private static String withoutCommand(byte[] report) {
        String text = new String(report, StandardCharsets.UTF_8);
        return text.substring(0, text.indexOf("<section id=\"repeat\">"));
    }

    @Test
    void whatIsDoneAgainGivesTheSame() throws IOException {
        ByteArrayOutputStream err = new ByteArrayOutputStream();
        PrintStream told = new PrintStream(err, true, StandardCharsets.UTF_8);
        List<Thrice> runners = new ArrayList<>();
        TileSite thrice = (tiles, work, workers, progress) -> {
            runners.add(new Thrice(tiles, work));
            return runners.get(0);
        };
        String[] words = {
            "--tiles", "4", "--fogging-percent", "2", "--fogging-range-mm", "1", "--base-dose-uc-per-cm2", "300"
        };
        assertEquals(0, run(thrice, "thrice", told, words), err::toString);
        assertEquals(0, run(TileSite.HERE, "once", told, words), err::toString);
        assertTrue(runners.get(0).round > 3, "rounds");
        Map<String, byte[]> once = files(folder.resolve("once"));
        Map<String, byte[]> again = files(folder.resolve("thrice"));
        assertEquals(once.keySet(), again.keySet());
        once.remove("summary.json");
        assertEquals(withoutCommand(once.remove("report.html")), withoutCommand(again.get("report.html")));
        once.forEach((name, bytes) -> assertArrayEquals(bytes, again.get(name), name));
    }

    @Test
    void valuesAreNewEachTime() {
        SerialState state = new SerialState(Map.of(int[].class.getName(), SerialState.bytes(new int[] {1})));
        state.get(int[].class)[0] = 2;
        assertEquals(1, state.get(int[].class)[0]);
        state.put(new int[] {3});
        assertEquals(3, state.take(int[].class)[0]);
        assertNull(state.get(int[].class));
        assertEquals(Set.of(int[].class.getName()), state.taken());
        assertEquals(Map.of(), state.put());
        state.put(new int[] {4});
        assertEquals(4, state.get(int[].class)[0]);
    }

    @Test
    void aFolderThatAWorkerDoesNotSeeIsTold() {
        TileRunner.Work<String, String> work = (tile, state, input, workers) -> input;
        List<byte[]> inputs = List.of(SerialState.bytes("x"));
        Path away = folder.resolve("out/.evendose-unfinished-01234567-89ab-cdef-0123-456789abcdef");
        TileRound<String, String> round = new TileRound<>(work, inputs, List.of(Map.of()), away.toString());
        TileRound.Seen seen = new TileRound.Seen(0, Map.of());
        String told = round.visit(seen).refused().getMessage();
        assertTrue(told.startsWith(folder.resolve("out") + ": is not seen by the worker on "), told);
        assertTrue(told.contains("storage that all workers and this machine share"), told);
        assertNull(new TileRound<>(work, inputs, List.of(Map.of()), folder.toString())
                .visit(seen)
                .refused());
    }

    @Test
    void whatDoesNotGoOnSparkIsRefused() {
        TileSite none = (tiles, work, workers, progress) -> {
            throw new AssertionError("nothing is to be begun");
        };
        for (String[] words : List.of(
                new String[] {"--bias-nm", "auto", "--bias-nm auto does not go in tiles yet, and so not on Spark"},
                new String[] {"--tiles", "off", "--tiles off leaves Spark nothing to share out"},
                new String[] {"--memory-gb", "3", "--memory-gb is for tiles on one machine"},
                new String[] {"--tiles", "3", "--resume", "--resume is for tiles on one machine"})) {
            ByteArrayOutputStream err = new ByteArrayOutputStream();
            String[] options = Arrays.copyOf(words, words.length - 1);
            assertEquals(2, run(none, "out", new PrintStream(err, true, StandardCharsets.UTF_8), options));
            assertTrue(err.toString(StandardCharsets.UTF_8).contains(words[words.length - 1]), err::toString);
        }
    }

    @Test
    void withoutSparkItSaysHowItIsStarted() {
        ByteArrayOutputStream err = new ByteArrayOutputStream();
        int code = OnSpark.run(
                new String[] {"correct"},
                new ByteArrayOutputStream(),
                new PrintStream(err, true, StandardCharsets.UTF_8));
        assertEquals(2, code);
        assertTrue(
                err.toString(StandardCharsets.UTF_8).contains("spark-submit --class evendose.cli.spark.OnSpark"),
                err::toString);
    }
}
