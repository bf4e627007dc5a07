package evendose.benchmark;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.json.JsonMapper;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Iterator;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.concurrent.TimeUnit;

/**
 * Times whole runs of {@code correct}, as a user has them: start of the JVM, reading and writing included. Prints a table of
 * stages beside what the machine does at best: plain reading and writing of the same files, and moving memory.
 *
 * <pre>java -cp core/target/benchmarks.jar evendose.benchmark.WholeRun cli/target/evendose.jar FOLDER \
 *     100000:300 1000000:1000 [-- further options of correct]</pre>
 */
public final class WholeRun {
    private static final double[] PSF = {0.012, 31, 0.6};

    private WholeRun() {}

    private record Run(long rectangles, double wall, double residentMb, JsonNode summary, Path layout, Path out) {}

    /** Takes the jar, a folder for files, sizes as RECTANGLES:FIELD_UM, and after {@code --} further options. */
    public static void main(String[] args) throws IOException, InterruptedException {
        Path jar = Path.of(args[0]);
        Path folder = Files.createDirectories(Path.of(args[1]));
        List<String> more = new ArrayList<>();
        List<Run> runs = new ArrayList<>();
        int end = List.of(args).indexOf("--");
        if (end >= 0) {
            more.addAll(List.of(args).subList(end + 1, args.length));
        }
        for (int k = 2; k < (end < 0 ? args.length : end); k++) {
            String[] size = args[k].split(":");
            runs.add(run(jar, folder, Long.parseLong(size[0]), Long.parseLong(size[1]), more));
        }
        print(runs);
    }

    private static Run run(Path jar, Path folder, long rectangles, long fieldUm, List<String> more)
            throws IOException, InterruptedException {
        Path layout = folder.resolve(rectangles + ".gds");
        if (!Files.exists(layout)) {
            BenchmarkLayout.write(rectangles, fieldUm, layout);
        }
        Path out = folder.resolve(rectangles + "-doses");
        List<String> command = new ArrayList<>(List.of(
                Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                "-jar",
                jar.toString(),
                "correct",
                layout.toString(),
                "--out",
                out.toString(),
                "--force"));
        if (!more.contains("--psf")) {
            command.addAll(List.of("--alpha-um", "" + PSF[0], "--beta-um", "" + PSF[1], "--eta", "" + PSF[2]));
        }
        command.addAll(more);
        long begun = System.nanoTime();
        Process process = new ProcessBuilder(command)
                .redirectOutput(ProcessBuilder.Redirect.DISCARD)
                .redirectError(ProcessBuilder.Redirect.INHERIT)
                .start();
        double resident = 0;
        while (!process.waitFor(20, TimeUnit.MILLISECONDS)) {
            resident = Math.max(resident, residentMb(process.pid()));
        }
        double wall = (System.nanoTime() - begun) * 1e-9;
        if (process.exitValue() != 0) {
            throw new IOException("exit code " + process.exitValue() + ": " + String.join(" ", command));
        }
        JsonNode summary = new JsonMapper().readTree(out.resolve("summary.json").toFile());
        return new Run(rectangles, wall, resident, summary, layout, out);
    }

    /** Largest resident memory so far, as Linux counts it. */
    private static double residentMb(long pid) {
        try {
            for (String line : Files.readAllLines(Path.of("/proc", Long.toString(pid), "status"))) {
                if (line.startsWith("VmHWM:")) {
                    return Long.parseLong(line.replaceAll("\\D", "")) / 1024.0;
                }
            }
        } catch (IOException e) {
            // The process has just ended.
        }
        return 0;
    }

    private static void print(List<Run> runs) throws IOException {
        row("rectangles", runs, r -> String.format(Locale.ROOT, "%,d", r.rectangles));
        System.out.println("|---|" + "---|".repeat(runs.size()));
        Iterator<Map.Entry<String, JsonNode>> stages =
                runs.get(0).summary.get("seconds_by_stage").fields();
        while (stages.hasNext()) {
            String stage = stages.next().getKey();
            row(
                    stage + ", s",
                    runs,
                    r -> seconds(r.summary.get("seconds_by_stage").path(stage).asDouble()));
        }
        row("whole process, s", runs, r -> seconds(r.wall));
        row("per piece, us", runs, r -> seconds(r.wall * 1e6 / r.rectangles));
        row("resident, MB", runs, r -> String.format(Locale.ROOT, "%,.0f", r.residentMb));
        row(
                "pieces",
                runs,
                r -> String.format(Locale.ROOT, "%,d", r.summary.get("pieces").asLong()));
        row("rounds", runs, r -> r.summary.get("iterations").asText());
        for (Run r : runs) {
            double read = plainRead(r.layout);
            double write = plainWrite(r.out.resolve("doses.csv")) + plainWrite(r.out.resolve("corrected.gds"));
            JsonNode s = r.summary.get("seconds_by_stage");
            System.out.printf(
                    Locale.ROOT,
                    "%n%,d rectangles: reading takes %.1f x, writing %.1f x the time of the plain files (%.2f s, %.2f s)%n",
                    r.rectangles,
                    s.path("reading the layout").asDouble() / read,
                    (s.path("writing the dose table").asDouble()
                                    + s.path("writing the layout").asDouble())
                            / write,
                    read,
                    write);
        }
    }

    private interface Cell {
        String of(Run run);
    }

    private static void row(String name, List<Run> runs, Cell cell) {
        StringBuilder text = new StringBuilder("| ").append(name).append(" |");
        runs.forEach(r -> text.append(' ').append(cell.of(r)).append(" |"));
        System.out.println(text);
    }

    private static String seconds(double s) {
        return String.format(Locale.ROOT, "%.2f", s);
    }

    private static double plainRead(Path file) throws IOException {
        byte[] buffer = new byte[1 << 20];
        long begun = System.nanoTime();
        try (InputStream in = Files.newInputStream(file)) {
            long sum = 0;
            for (int n = in.read(buffer); n >= 0; n = in.read(buffer)) {
                sum += n;
            }
            if (sum != Files.size(file)) {
                throw new IOException("file changed: " + file);
            }
        }
        return (System.nanoTime() - begun) * 1e-9;
    }

    private static double plainWrite(Path like) throws IOException {
        byte[] content = Files.readAllBytes(like);
        Path copy = Files.createTempFile(like.getParent(), "plain", null);
        try {
            long begun = System.nanoTime();
            try (OutputStream out = Files.newOutputStream(copy)) {
                for (int at = 0; at < content.length; at += 1 << 20) {
                    out.write(content, at, Math.min(1 << 20, content.length - at));
                }
            }
            return (System.nanoTime() - begun) * 1e-9;
        } finally {
            Files.delete(copy);
        }
    }
}
