package evendose.benchmark;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.json.JsonMapper;
import evendose.parallel.Workers;
import java.io.IOException;
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
 * stages, and for each run how long the machine would take at best for what a stage cannot do without ({@link Machine}).
 *
 * <pre>java -cp core/target/benchmarks.jar evendose.benchmark.WholeRun cli/target/evendose.jar FOLDER \
 *     100000:300 1000000:1000 [-- further options of correct]</pre>
 */
public final class WholeRun {
    private static final double[] PSF = {0.012, 31, 0.6};

    /** Bytes of a piece and its samples. */
    private static final double PIECE_BYTES = 300;

    /** Arrays of one number a unit that the iteration reads: five steps and residuals, doses, criteria, targets. */
    private static final double HISTORY = 14;

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
            // With a Java of more heap that the first one has begun.
            double second = process.descendants()
                    .mapToDouble(child -> residentMb(child.pid()))
                    .sum();
            resident = Math.max(resident, residentMb(process.pid()) + second);
        }
        double wall = (System.nanoTime() - begun) * 1e-9;
        if (process.exitValue() != 0) {
            throw new IOException("exit code " + process.exitValue() + ": " + String.join(" ", command));
        }
        JsonNode summary = new JsonMapper().readTree(out.resolve("summary.json").toFile());
        return new Run(rectangles, wall, resident, summary, layout, out);
    }

    /** Largest resident memory of a process so far, as Linux counts it. */
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
        try (Workers workers = Workers.of(Runtime.getRuntime().availableProcessors())) {
            double read = Machine.readingMemory(workers);
            double fresh = Machine.freshMemory(workers);
            System.out.printf(
                    Locale.ROOT, "%nMemory: %.1f GB/s read, %.1f GB/s taken and written%n", read * 1e-9, fresh * 1e-9);
            for (Run r : runs) {
                yardsticks(r, read, fresh);
            }
        }
    }

    private static void yardsticks(Run run, double readPerSecond, double freshPerSecond) throws IOException {
        JsonNode s = run.summary;
        double pieces = s.get("pieces").asDouble();
        double far = 0;
        double near = 0;
        for (JsonNode term : s.get("evaluators")) {
            if (term.get("evaluator").asText().equals("far")) {
                far += term.get("bytes").asDouble();
            } else {
                // All near terms share one matrix.
                near = term.get("bytes").asDouble();
            }
        }
        double history = 8.0 * HISTORY * s.get("units").asDouble();
        int evaluations = s.get("iterations").asInt() + 1;
        System.out.printf(
                Locale.ROOT, "%n| %,d rectangles | s | at best | s | ratio |%n|---|---|---|---|---|%n", run.rectangles);
        yardstick(run, "reading the layout", "reading the plain file", Machine.reading(run.layout));
        yardstick(run, "merging shapes", "sorting two heights a rectangle", Machine.sorting((int)
                Math.min(1 << 28, 2 * run.rectangles)));
        yardstick(
                run,
                "cutting shapes into pieces",
                "new memory for pieces and samples",
                PIECE_BYTES * pieces / freshPerSecond);
        yardstick(run, "planning the energy model", "reading the pieces", PIECE_BYTES * pieces / readPerSecond);
        yardstick(run, "grid weights", "new memory for the weights", far / freshPerSecond);
        yardstick(
                run,
                "near field",
                "reading the pieces, new memory for the matrix",
                PIECE_BYTES * pieces / readPerSecond + near / freshPerSecond);
        yardstick(
                run,
                "correcting doses",
                "reading weights and former rounds in each round",
                evaluations * (far + near + history) / readPerSecond);
        yardstick(
                run, "writing the dose table", "writing the plain file", Machine.writing(run.out.resolve("doses.csv")));
        yardstick(
                run, "writing the layout", "writing the plain file", Machine.writing(run.out.resolve("corrected.gds")));
    }

    private static void yardstick(Run run, String stage, String best, double seconds) {
        double time = run.summary.get("seconds_by_stage").path(stage).asDouble();
        System.out.printf(
                Locale.ROOT, "| %s | %.2f | %s | %.3f | %.1f |%n", stage, time, best, seconds, time / seconds);
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
}
