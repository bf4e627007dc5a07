package evendose.cluster;

import static java.nio.charset.StandardCharsets.US_ASCII;
import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.BufferedReader;
import java.io.BufferedWriter;
import java.io.IOException;
import java.io.InputStreamReader;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;
import java.util.zip.GZIPInputStream;
import org.apache.parquet.example.data.Group;
import org.apache.parquet.hadoop.ParquetReader;
import org.apache.parquet.hadoop.api.ReadSupport;
import org.apache.parquet.hadoop.example.GroupReadSupport;
import org.apache.parquet.io.InputFile;
import org.apache.parquet.io.LocalInputFile;
import org.apache.parquet.schema.PrimitiveType.PrimitiveTypeName;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.MethodOrderer;
import org.junit.jupiter.api.Order;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestMethodOrder;
import org.junit.jupiter.api.io.TempDir;

/** The runnable jar on a cluster beside the same jar without one: the same bytes, and the same rows for Spark to read. */
@Tag("slow")
@TestMethodOrder(MethodOrderer.OrderAnnotation.class)
class TilesOnSparkIT {
    private static final int ROWS = 316;

    @TempDir
    static Path folder;

    private static SparkCluster cluster;
    private static Path layout;
    private static Path alone;

    @BeforeAll
    static void begin() throws Exception {
        layout = folder.resolve("layout.csv");
        writeLayout();
        alone = folder.resolve("alone");
        List<String> command = new ArrayList<>(List.of(
                Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                "-jar",
                Path.of("../target/evendose.jar").toString()));
        command.addAll(List.of(words(alone)));
        Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
        String text = new String(process.getInputStream().readAllBytes());
        assertEquals(0, process.waitFor(), text);
        // What lives for seconds is not worth Java's second compiler.
        cluster = new SparkCluster(Files.createDirectory(folder.resolve("cluster")), "768m", "-XX:TieredStopAtLevel=1");
    }

    @AfterAll
    static void end() {
        if (cluster != null) {
            cluster.close();
        }
    }

    /** 100,000 rectangles of many densities, and lines that cross all tiles. */
    private static void writeLayout() throws IOException {
        try (BufferedWriter out = Files.newBufferedWriter(layout)) {
            out.write("x_min_um,y_min_um,x_max_um,y_max_um\n");
            for (int k = 0; k < ROWS * ROWS; k++) {
                long x = k % ROWS * 900L;
                long y = k / ROWS * 900L;
                rectangle(out, x, y, 200 + 50 * (x / 9000 % 13), 300 + 40 * (y / 9000 % 11));
            }
            for (int k = 0; k < 8; k++) {
                rectangle(out, 0, (ROWS + 2 * k) * 900L, ROWS * 900L, 700);
            }
        }
    }

    private static void rectangle(BufferedWriter out, long xNm, long yNm, long widthNm, long heightNm)
            throws IOException {
        out.write(xNm / 1e3 + "," + yNm / 1e3 + "," + (xNm + widthNm) / 1e3 + "," + (yNm + heightNm) / 1e3 + "\n");
    }

    /** The tolerance asks for more rounds than Spark keeps the way of. */
    private static String[] words(Path out) {
        return new String[] {
            "correct",
            layout.toString(),
            "--psf",
            "si-100kv",
            "--base-dose-uc-per-cm2",
            "450",
            "--tolerance",
            "1e-6",
            "--tiles",
            "9",
            "--out",
            out.toString()
        };
    }

    private static List<String> names(Path out) throws IOException {
        try (Stream<Path> files = Files.list(out)) {
            return files.map(f -> f.getFileName().toString()).sorted().toList();
        }
    }

    private static void isTheSame(Path out) throws IOException {
        List<String> tables =
                names(out).stream().filter(n -> n.endsWith(".parquet")).toList();
        assertEquals(
                names(alone).stream()
                        .filter(n -> n.endsWith(".csv.gz"))
                        .map(n -> n.replace(".csv.gz", ".parquet"))
                        .toList(),
                tables);
        List<String> same = new ArrayList<>(names(out));
        same.removeAll(tables);
        assertEquals(names(alone), same, "and nothing else is left behind");
        assertTrue(same.contains("doses-part-000008.csv.gz"));
        for (String name : tables) {
            hasTheRows(out.resolve(name), alone.resolve(name.replace(".parquet", ".csv.gz")));
        }
        for (String name : same) {
            if (name.equals("summary.json") || name.equals("report.html")) {
                assertEquals(untimed(alone.resolve(name)), untimed(out.resolve(name)));
            } else {
                assertArrayEquals(Files.readAllBytes(alone.resolve(name)), Files.readAllBytes(out.resolve(name)), name);
            }
        }
    }

    /** Column by column what the text says, factors and energies to their nine decimals. */
    private static void hasTheRows(Path parquet, Path text) throws IOException {
        try (BufferedReader rows = new BufferedReader(
                        new InputStreamReader(new GZIPInputStream(Files.newInputStream(text)), US_ASCII));
                ParquetReader<Group> groups = new Groups(new LocalInputFile(parquet)).build()) {
            String[] columns = rows.readLine().split(",");
            int n = 0;
            for (String row = rows.readLine(); row != null; row = rows.readLine()) {
                Group group = groups.read();
                assertNotNull(group, "row " + n + " of " + parquet);
                String[] values = row.split(",", -1);
                assertEquals(columns.length, group.getType().getFieldCount());
                for (int c = 0; c < columns.length; c++) {
                    assertEquals(columns[c], group.getType().getFieldName(c));
                    if (group.getFieldRepetitionCount(c) == 0) {
                        assertEquals("", values[c], columns[c]);
                    } else if (columns[c].equals("status")) {
                        assertEquals(values[c], group.getString(c, 0));
                    } else if (columns[c].endsWith("_um")) {
                        assertEquals(Double.parseDouble(values[c]), group.getDouble(c, 0));
                    } else if (group.getType().getType(c).asPrimitiveType().getPrimitiveTypeName()
                            == PrimitiveTypeName.DOUBLE) {
                        assertEquals(Double.parseDouble(values[c]), group.getDouble(c, 0), 5.01e-10, columns[c]);
                    } else {
                        assertEquals(Integer.parseInt(values[c]), group.getInteger(c, 0));
                    }
                }
                n++;
            }
            assertNull(groups.read(), "no row but those");
            assertTrue(n > 5000, n + " rows");
        }
    }

    /** What the reader has no builder for: a file without Hadoop's ways to it. */
    private static final class Groups extends ParquetReader.Builder<Group> {
        Groups(InputFile file) {
            super(file);
        }

        @Override
        protected ReadSupport<Group> getReadSupport() {
            return new GroupReadSupport();
        }
    }

    /** How long stages took, and the command that repeats the run, are another matter. */
    private static String untimed(Path file) throws IOException {
        return Files.readString(file)
                .replaceAll("(?s)<section id=\"repeat\">.*", "")
                .replaceAll("(?s)\"seconds_by_stage\" : \\{.*?\\}", "");
    }

    @Test
    @Order(1)
    void dosesAreThoseOfOneMachine() throws Exception {
        Path out = folder.resolve("out");
        String text = cluster.submit("whole", words(out)).ends(0);
        assertTrue(text.contains("on Spark, corrected in 9 tiles"), text);
        isTheSame(out);
    }

    @Test
    @Order(2)
    void aKilledWorkerChangesNothing() throws Exception {
        Path out = folder.resolve("killed");
        SparkCluster.Run run = cluster.submit("killed", words(out));
        run.waitFor("Starting job: collect", 5);
        cluster.killWorker(0);
        String text = run.ends(0);
        assertTrue(text.contains("Lost executor"), text);
        isTheSame(out);
    }
}
