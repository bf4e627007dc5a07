package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.atomic.AtomicLong;
import java.util.stream.Stream;
import java.util.zip.GZIPInputStream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Rows against text that is put together here. */
class DoseTableCsvTest {
    @TempDir
    private Path folder;

    private static String row(DoseTable t, int i, String dose) {
        return String.format(
                java.util.Locale.ROOT,
                "%d,%d,%d,7,3,%d.0,0.0,%d.0,0.0,%d.0,1.0,%d.0,1.0,%s,%s,%d,%s,%s,%s",
                i,
                i,
                i,
                2 * i,
                2 * i + 1,
                2 * i + 1,
                2 * i,
                nine(t.factor(i)),
                dose,
                t.level(i),
                nine(t.energyUncorrected(i)),
                nine(t.energyCorrected(i)),
                t.status(i).word());
    }

    private static String nine(double value) {
        return String.format(java.util.Locale.ROOT, "%.9f", value);
    }

    /** Numbers as whole as they are given, whatever stands behind their point. */
    private static String canonical(String row) {
        StringBuilder text = new StringBuilder();
        for (String value : row.split(",", -1)) {
            boolean number = !value.isEmpty() && value.chars().allMatch(c -> "0123456789.-".indexOf(c) >= 0);
            text.append(number ? Double.toString(Double.parseDouble(value)) : value)
                    .append(',');
        }
        return text.toString();
    }

    private static HandMadeDoses many(int n) {
        HandMadeDoses doses = HandMadeDoses.squares(n);
        doses.levels = DoseLevels.of(new double[] {0.5, 1, 2});
        for (int i = 0; i < n; i++) {
            doses.factor[i] = 0.5 + i * 1e-5;
            doses.level[i] = i % 3;
            doses.before[i] = 0.25 + i * 1e-6;
            doses.after[i] = 0.75 - i * 1e-6;
            doses.status[i] = DoseStatus.values()[i % DoseStatus.values().length];
        }
        return doses;
    }

    /** More rows than one thread writes at once, and than all of them do before the first is asked again. */
    @Test
    void manyRowsComeInTheirOrder() throws IOException {
        int n = 75_000;
        DoseTable table = many(n).build();
        Path file = folder.resolve("doses.csv");
        AtomicLong told = new AtomicLong();
        AtomicLong of = new AtomicLong();
        Progress progress = new Progress() {
            @Override
            public void begin(String stage, long total) {
                assertEquals("writing the dose table", stage);
                of.set(total);
            }

            @Override
            public void advance(long done) {
                told.addAndGet(done);
            }
        };
        try (Workers workers = Workers.of(2)) {
            DoseTableCsv.write(table, file, workers, progress);
        }
        List<String> lines = Files.readAllLines(file);
        assertEquals(DoseTableCsv.HEADER, lines.get(0));
        assertEquals(n + 1, lines.size());
        for (int i = 0; i < n; i++) {
            assertEquals(canonical(row(table, i, "")), canonical(lines.get(i + 1)), "row " + i);
        }
        assertEquals(n, told.get());
        assertEquals(n, of.get());
        // By the public way, with the threads of the options.
        Path again = folder.resolve("again.csv");
        DoseTableCsv.write(table, again);
        assertEquals(-1, Files.mismatch(file, again));
    }

    /** Whoever else has the file goes on with what it was; beside it nothing is left. */
    @Test
    void aCompressedTableTakesThePlaceOfAnotherAsAWhole() throws IOException {
        Path file = folder.resolve("part.csv.gz");
        Files.writeString(file, "before");
        Files.createLink(folder.resolve("former"), file);
        DoseTableCsv.writeCompressed(many(3).build(), file);
        assertEquals("before", Files.readString(folder.resolve("former")));
        try (Stream<Path> files = Files.list(folder)) {
            assertEquals(2, files.count());
        }
        try (BufferedReader rows = new BufferedReader(
                new InputStreamReader(new GZIPInputStream(Files.newInputStream(file)), StandardCharsets.UTF_8))) {
            assertEquals(4, rows.lines().count());
        }
    }

    @Test
    void absoluteDosesAreFactorsTimesTheBaseDose() throws IOException {
        HandMadeDoses doses = many(5);
        doses.options = doses.options.toBuilder().baseDoseUcPerCm2(300).build();
        DoseTable table = doses.build();
        Path file = folder.resolve("doses.csv");
        DoseTableCsv.write(table, file);
        List<String> lines = Files.readAllLines(file);
        for (int i = 0; i < 5; i++) {
            assertEquals(canonical(row(table, i, nine(300 * table.factor(i)))), canonical(lines.get(i + 1)));
        }
    }

    /** Numbers of ten digits and more in every column: rows longer than the usual ones, which the buffers are made for. */
    @Test
    void longRowsFit() throws IOException {
        int n = 9_000;
        double[][] boxes = new double[n][];
        for (int i = 0; i < n; i++) {
            double x = -(1e5 + i + Math.PI / 4);
            boxes[i] = new double[] {x, x - Math.E / 10, x + 1 / 3.0, x + 1 / 7.0};
        }
        HandMadeDoses doses = new HandMadeDoses(evendose.pieces.HandMadePieces.rectangles(boxes));
        doses.options = doses.options.toBuilder().baseDoseUcPerCm2(98_765.4321).build();
        java.util.Arrays.fill(doses.status, DoseStatus.BACKGROUND);
        java.util.Arrays.fill(doses.before, 1_234.567_890_123);
        java.util.Arrays.fill(doses.after, 1_234.567_890_123);
        Path file = folder.resolve("doses.csv");
        DoseTable table = doses.build();
        DoseTableCsv.write(table, file);
        assertTrue(Files.size(file) > 200L * n, "rows of " + Files.size(file) / n + " bytes");
        StoredDoses read = DoseTableReader.read(file);
        assertEquals(n, read.pieces().size());
        for (int i = 0; i < n; i++) {
            assertEquals(boxes[i][0], read.pieces().leftUm(i));
            assertEquals(boxes[i][3], read.pieces().topUm(i));
            assertEquals(DoseStatus.BACKGROUND, read.status(i));
        }
    }

    /** Levels that are not used are left out; pieces and areas are counted. */
    @Test
    void theLevelTable() throws IOException {
        HandMadeDoses doses = many(7);
        doses.levels = DoseLevels.of(new double[] {0.5, 1, 1.5, 2});
        doses.level = new int[] {0, 3, 3, 1, 0, 3, 3};
        Path file = folder.resolve("levels.csv");
        DoseTableCsv.writeLevels(doses.build(), file);
        assertEquals(
                DoseTableCsv.LEVEL_HEADER + "\n0,0.500000000,,2,2.00000000\n1,1.000000000,,1,1.00000000\n"
                        + "3,2.000000000,,4,4.00000000\n",
                Files.readString(file));
        doses.options = doses.options.toBuilder().baseDoseUcPerCm2(250).build();
        DoseTableCsv.writeLevels(doses.build(), file);
        assertEquals(
                "3,2.000000000,500.000000,4,4.00000000",
                Files.readAllLines(file).get(3));
    }
}
