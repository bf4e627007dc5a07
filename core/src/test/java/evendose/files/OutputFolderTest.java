package evendose.files;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.util.Map;
import java.util.TreeMap;
import java.util.UUID;
import java.util.concurrent.CountDownLatch;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class OutputFolderTest {
    @TempDir
    Path parent;

    private static Map<String, String> contents(Path folder) throws IOException {
        Map<String, String> contents = new TreeMap<>();
        try (Stream<Path> files = Files.list(folder)) {
            for (Path file : files.toList()) {
                contents.put(
                        file.getFileName().toString(), Files.isDirectory(file) ? "(folder)" : Files.readString(file));
            }
        }
        return contents;
    }

    private static void write(OutputFolder output, String text) throws IOException {
        for (String name : new String[] {"a", "b", "c"}) {
            Files.writeString(output.file(name), name + text);
        }
    }

    private Path former() throws IOException {
        Path target = parent.resolve("out");
        try (OutputFolder output = OutputFolder.open(target, false)) {
            write(output, "1");
            output.commit();
        }
        Files.writeString(target.resolve("mine"), "keep");
        return target;
    }

    @Test
    void nothingIsSeenBeforeTheCommit() throws IOException {
        Path target = parent.resolve("out");
        try (OutputFolder output = OutputFolder.open(target, false)) {
            write(output, "1");
            assertFalse(Files.exists(target));
            output.commit();
        }
        assertEquals(Map.of("a", "a1", "b", "b1", "c", "c1"), contents(target));
        assertEquals(Map.of("out", "(folder)"), contents(parent));
    }

    /** Messages name the place that the user asked for, not the hidden one. */
    /** Also folders, and files that lost workers began. */
    @Test
    void whatNobodyAskedForGoesWithTheCommitOrWithout() throws IOException {
        for (boolean isCommitted : new boolean[] {true, false}) {
            Path target = parent.resolve("out" + isCommitted);
            try (OutputFolder output = OutputFolder.open(target, false)) {
                write(output, "1");
                Files.writeString(output.workFolder().resolve("a-begun"), "half");
                Path deep = Files.createDirectories(output.workFolder().resolve("rounds/7"));
                Files.writeString(deep.resolve("part-0"), "x");
                if (isCommitted) {
                    output.commit();
                    assertEquals(Map.of("a", "a1", "b", "b1", "c", "c1"), contents(target));
                }
            }
        }
        assertEquals(Map.of("outtrue", "(folder)"), contents(parent));
    }

    @Test
    void aFileKnowsWhereItWillAppear() throws IOException {
        Path target = parent.resolve("out");
        try (OutputFolder output = OutputFolder.open(target, true)) {
            assertEquals(target.resolve("doses.csv"), OutputFolder.destination(output.file("doses.csv")));
        }
        Files.createDirectory(target);
        try (OutputFolder output = OutputFolder.open(target, true)) {
            assertEquals(target.resolve("doses.csv"), OutputFolder.destination(output.file("doses.csv")));
        }
        Path other = Path.of("somewhere", "doses.csv");
        assertEquals(other, OutputFolder.destination(other));
        assertEquals(Path.of("doses.csv"), OutputFolder.destination(Path.of("doses.csv")));
    }

    @Test
    void aFormerResultIsReplacedAndOtherFilesStay() throws IOException {
        Path target = former();
        try (OutputFolder output = OutputFolder.open(target, true)) {
            write(output, "2");
            assertEquals("a1", Files.readString(target.resolve("a")));
            output.commit();
        }
        assertEquals(Map.of("a", "a2", "b", "b2", "c", "c2", "mine", "keep"), contents(target));
    }

    @Test
    void withoutForceNothingIsReplaced() throws IOException {
        Path target = former();
        try (OutputFolder output = OutputFolder.open(target, false)) {
            BadInputException e = assertThrows(BadInputException.class, () -> output.file("b"));
            assertEquals(target.resolve("b") + ": exists already; use --force to replace it", e.getMessage());
            assertThrows(BadInputException.class, () -> output.without("a"));
        }
        assertEquals(Map.of("a", "a1", "b", "b1", "c", "c1", "mine", "keep"), contents(target));
    }

    @Test
    void filesThatDoNotBelongToTheNewResultGo() throws IOException {
        Path target = former();
        try (OutputFolder output = OutputFolder.open(target, true)) {
            Files.writeString(output.file("a"), "a2");
            output.without("b");
            output.without("never was");
            output.commit();
        }
        assertEquals(Map.of("a", "a2", "c", "c1", "mine", "keep"), contents(target));
    }

    @Test
    void closingWithoutCommitLeavesNothing() throws IOException {
        Path target = former();
        try (OutputFolder output = OutputFolder.open(target, true)) {
            write(output, "2");
        }
        try (OutputFolder output = OutputFolder.open(parent.resolve("other"), true)) {
            write(output, "2");
        }
        assertEquals(Map.of("a", "a1", "b", "b1", "c", "c1", "mine", "keep"), contents(target));
        assertEquals(Map.of("out", "(folder)"), contents(parent));
    }

    /** As when Ctrl-C comes just before the commit. */
    @Test
    void whatWasGivenUpIsNotCommitted() throws IOException {
        OutputFolder output = OutputFolder.open(parent.resolve("out"), true);
        write(output, "1");
        output.close();
        assertThrows(IllegalStateException.class, output::commit);
        assertEquals(Map.of(), contents(parent));
    }

    /** As when Ctrl-C comes while files are being written. */
    @Test
    void whatIsWrittenMeanwhileIsGivenUpToo() throws IOException, InterruptedException {
        for (int round = 0; round < 50; round++) {
            OutputFolder output = OutputFolder.open(parent.resolve("out"), true);
            CountDownLatch writing = new CountDownLatch(3);
            Thread writer = new Thread(() -> {
                try {
                    for (int i = 0; i < 500; i++) {
                        Files.writeString(output.file("file" + i), "text");
                        writing.countDown();
                    }
                } catch (IOException e) {
                    // The folder is gone.
                }
            });
            writer.start();
            writing.await();
            assertTrue(output.giveUp());
            writer.join();
            assertFalse(output.giveUp());
            assertEquals(Map.of(), contents(parent));
        }
    }

    @Test
    void aFileThatWasNotWrittenIsNoResult() throws IOException {
        try (OutputFolder output = OutputFolder.open(parent.resolve("out"), true)) {
            output.file("a");
            BadInputException e = assertThrows(BadInputException.class, output::commit);
            assertEquals(parent.resolve("out") + ": cannot be written to (a was not written)", e.getMessage());
        }
        assertEquals(Map.of(), contents(parent));
    }

    /** All states in which a killed commit can leave the folder: the next run, or a reader, makes the new result whole. */
    @Test
    void aKilledCommitIsFinished() throws IOException {
        for (int moved = 0; moved <= 4; moved++) {
            Path target = parent.resolve("out" + moved);
            try (OutputFolder output = OutputFolder.open(target, false)) {
                write(output, "1");
                output.commit();
            }
            Files.writeString(target.resolve("mine"), "keep");
            Path journal = Files.createDirectory(target.resolve(OutputFolder.JOURNAL));
            String[] names = {"a", "b"};
            for (int i = 0; i < 2; i++) {
                Files.writeString((i < moved ? target : journal).resolve(names[i]), names[i] + "2");
            }
            if (moved < 3) {
                Files.createFile(journal.resolve(".remove-c"));
            }
            if (moved >= 2) {
                Files.deleteIfExists(target.resolve("c"));
            }
            if (moved % 2 == 0) {
                OutputFolder.settle(target);
            } else {
                OutputFolder.open(target, false).close();
            }
            assertEquals(Map.of("a", "a2", "b", "b2", "mine", "keep"), contents(target), moved + " moved");
        }
    }

    @Test
    void whatAKilledRunLeftIsRemovedAndWhatALivingOneWritesIsNot() throws IOException {
        Path target = former();
        for (Path place : new Path[] {
            target.resolve(".evendose-unfinished-" + UUID.randomUUID()),
            parent.resolve(".evendose-unfinished-out-" + UUID.randomUUID()),
            parent.resolve(".evendose-unfinished-out-2-" + UUID.randomUUID())
        }) {
            Files.createDirectory(place);
            Files.writeString(place.resolve("a"), "half");
            Files.createFile(place.resolve(".lock"));
        }
        Path bare = Files.createDirectory(target.resolve(".evendose-unfinished-" + UUID.randomUUID()));
        Files.setLastModifiedTime(bare, FileTime.fromMillis(System.currentTimeMillis() - 100_000));
        Path fresh = Files.createDirectory(target.resolve(".evendose-unfinished-" + UUID.randomUUID()));
        Path mine = Files.createDirectory(parent.resolve(".evendose-unfinished-notes"));
        try (OutputFolder living = OutputFolder.open(parent.resolve("other"), true)) {
            assertEquals(2, living.removedLeftovers().size());
            write(living, "3");
            try (OutputFolder output = OutputFolder.open(target, true)) {
                assertEquals(2, output.removedLeftovers().size());
                write(output, "2");
                output.commit();
            }
            living.commit();
        }
        assertFalse(Files.exists(bare));
        assertTrue(Files.exists(fresh));
        assertTrue(Files.exists(mine));
        Files.delete(fresh);
        Files.delete(mine);
        assertEquals(Map.of("a", "a2", "b", "b2", "c", "c2", "mine", "keep"), contents(target));
        assertEquals(Map.of("out", "(folder)", "other", "(folder)"), contents(parent));
    }

    /** Whether the folder was there when the first began or not. */
    @Test
    void oneRunAtATimeWritesIntoAFolder() throws IOException {
        former();
        for (String name : new String[] {"out", "new/deep"}) {
            Path target = parent.resolve(name);
            try (OutputFolder living = OutputFolder.open(target, true)) {
                BadInputException e = assertThrows(BadInputException.class, () -> OutputFolder.open(target, true));
                assertEquals(
                        target + ": is being written into by another run; wait until that ends, or name another folder",
                        e.getMessage());
                write(living, "2");
                living.commit();
            }
            assertEquals("a2", Files.readString(target.resolve("a")));
            OutputFolder.open(target, true).close();
        }
    }

    /** A folder that somebody made during the run keeps its files. */
    @Test
    void aFolderThatCameMeanwhile() throws IOException {
        Path target = parent.resolve("out");
        try (OutputFolder output = OutputFolder.open(target, false)) {
            write(output, "1");
            Files.writeString(Files.createDirectory(target).resolve("mine"), "keep");
            output.commit();
        }
        assertEquals(Map.of("a", "a1", "b", "b1", "c", "c1", "mine", "keep"), contents(target));
        Path second = parent.resolve("second");
        try (OutputFolder output = OutputFolder.open(second, false)) {
            write(output, "1");
            Files.writeString(Files.createDirectory(second).resolve("b"), "keep");
            assertThrows(BadInputException.class, output::commit);
        }
        assertEquals(Map.of("b", "keep"), contents(second));
        assertEquals(Map.of("out", "(folder)", "second", "(folder)"), contents(parent));
    }

    @Test
    void parentsAreMadeAndGoAgainIfTheRunFails() throws IOException {
        Path target = parent.resolve("no/such/folder");
        OutputFolder.open(target, false).close();
        assertEquals(Map.of(), contents(parent));
        try (OutputFolder output = OutputFolder.open(target, false)) {
            write(output, "1");
            assertFalse(Files.exists(target));
            output.commit();
        }
        assertEquals(Map.of("a", "a1", "b", "b1", "c", "c1"), contents(target));
        assertEquals(Map.of("folder", "(folder)"), contents(target.getParent()));
    }

    @Test
    void whatIsNoFolder() throws IOException {
        Path file = Files.writeString(parent.resolve("file"), "");
        assertEquals(
                file + ": is a file; name a folder for the output",
                assertThrows(BadInputException.class, () -> OutputFolder.open(file, true))
                        .getMessage());
        Path below = file.resolve("no/such");
        assertEquals(
                below + ": cannot be made: " + file + " is a file",
                assertThrows(BadInputException.class, () -> OutputFolder.open(below, true))
                        .getMessage());
    }

    /** Another run, in a process of its own: makes a folder with one file beside others. */
    static final class AnotherRun {
        private AnotherRun() {}

        public static void main(String[] args) throws IOException {
            try (OutputFolder output = OutputFolder.open(Path.of(args[0]), false)) {
                Files.writeString(output.file("other"), "removed " + output.removedLeftovers());
                output.commit();
            }
        }
    }

    private static void runAnother(Path target) throws IOException, InterruptedException {
        Process another = new ProcessBuilder(
                        Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                        "-cp",
                        System.getProperty("java.class.path"),
                        AnotherRun.class.getName(),
                        target.toString())
                .inheritIO()
                .start();
        assertEquals(0, another.waitFor());
    }

    /** Scripts start several runs at once; each leaves alone what the others have not finished. */
    @Test
    void runsInOneFolderDoNotRemoveEachOther() throws IOException, InterruptedException {
        Path target = parent.resolve("out");
        try (OutputFolder output = OutputFolder.open(target, false);
                OutputFolder second = OutputFolder.open(parent.resolve("second"), false)) {
            write(output, "1");
            write(second, "2");
            runAnother(parent.resolve("another"));
            assertEquals(Map.of("other", "removed []"), contents(parent.resolve("another")));
            output.commit();
            runAnother(parent.resolve("yet-another"));
            assertEquals(Map.of("other", "removed []"), contents(parent.resolve("yet-another")));
            second.commit();
        }
        assertEquals(Map.of("a", "a1", "b", "b1", "c", "c1"), contents(target));
        assertEquals(Map.of("a", "a2", "b", "b2", "c", "c2"), contents(parent.resolve("second")));
    }
}
