package evendose.cluster;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.BufferedWriter;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.MethodOrderer;
import org.junit.jupiter.api.Order;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestMethodOrder;
import org.junit.jupiter.api.io.TempDir;

/** The runnable jar on a cluster beside the same jar without one: the same bytes. */
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
        assertEquals(names(alone), names(out), "and nothing else is left behind");
        assertTrue(names(out).contains("doses-part-000008.csv.gz"));
        for (String name : names(out)) {
            if (name.equals("summary.json") || name.equals("report.html")) {
                assertEquals(untimed(alone.resolve(name)), untimed(out.resolve(name)));
            } else {
                assertArrayEquals(Files.readAllBytes(alone.resolve(name)), Files.readAllBytes(out.resolve(name)), name);
            }
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
