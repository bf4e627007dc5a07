package evendose.cluster;

import java.io.File;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.function.Predicate;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.apache.spark.launcher.JavaModuleOptions;

/** A Spark master and two workers, each a process of this machine that hears this machine only. Closing ends all of them and what they began. */
final class SparkCluster implements AutoCloseable {
    private static final Path RUNNABLE =
            Path.of("../target/evendose.jar").toAbsolutePath().normalize();
    private static final Pattern ADDRESS = Pattern.compile("spark://127\\.0\\.0\\.1:\\d+");
    private static final long PATIENCE_S = 120;

    private final Path folder;
    private final Path home;
    private final List<Process> processes = new ArrayList<>();
    private final String master;
    private final String memory;
    private final List<String> javaOptions;

    /**
     * Begins all three.
     *
     * @param folder for whatever they write
     * @param memory heap of an executor, of which there is one a worker, and of the driver, as Java takes it
     * @param javaOptions for all of them
     */
    SparkCluster(Path folder, String memory, String... javaOptions) throws IOException, InterruptedException {
        this.folder = folder;
        this.memory = memory;
        this.javaOptions = List.of(javaOptions);
        this.home = Files.createDirectories(folder.resolve("spark"));
        // What a Spark that was unpacked somewhere looks like: workers begin theirs with the jars there.
        Path jars = Files.createDirectory(home.resolve("jars"));
        for (String entry : System.getProperty("java.class.path").split(File.pathSeparator)) {
            Path jar = Path.of(entry);
            if (entry.endsWith(".jar")) {
                Files.createSymbolicLink(jars.resolve(jar.getFileName()), jar);
            }
        }
        // Also where the tests are interrupted.
        Runtime.getRuntime().addShutdownHook(new Thread(this::end));
        try {
            Path log = folder.resolve("master.log");
            begin(
                    log,
                    "org.apache.spark.deploy.master.Master",
                    "--host",
                    "127.0.0.1",
                    "--port",
                    "0",
                    "--webui-port",
                    "0");
            Matcher found = ADDRESS.matcher(waitFor(log, text -> text.contains("New state: ALIVE")));
            if (!found.find()) {
                throw new IllegalStateException("no address in " + log);
            }
            master = found.group();
            for (int w = 0; w < 2; w++) {
                beginWorker(w);
            }
        } catch (IOException | InterruptedException | RuntimeException e) {
            close();
            throw e;
        }
    }

    private void beginWorker(int number) throws IOException, InterruptedException {
        Path log = folder.resolve("worker-" + number + ".log");
        begin(
                log,
                "org.apache.spark.deploy.worker.Worker",
                "--host",
                "127.0.0.1",
                "--webui-port",
                "0",
                "--cores",
                "1",
                "--memory",
                "64g",
                "--work-dir",
                folder.resolve("worker-" + number).toString(),
                master);
        waitFor(log, text -> text.contains("Successfully registered with master"));
    }

    private Process begin(Path log, String... words) throws IOException {
        List<String> command = new ArrayList<>(
                List.of(Path.of(System.getProperty("java.home"), "bin", "java").toString(), "-Xmx" + memory));
        command.addAll(javaOptions);
        command.addAll(Arrays.stream(JavaModuleOptions.defaultModuleOptions().split(" "))
                .filter(option -> !option.isBlank())
                .toList());
        command.addAll(List.of("-cp", home.resolve("jars") + "/*"));
        command.addAll(List.of(words));
        ProcessBuilder builder = new ProcessBuilder(command)
                .redirectErrorStream(true)
                .redirectOutput(log.toFile())
                .directory(folder.toFile());
        builder.environment().put("SPARK_HOME", home.toString());
        builder.environment().put("SPARK_SCALA_VERSION", "2.13");
        builder.environment().put("SPARK_LOCAL_IP", "127.0.0.1");
        builder.environment().put("SPARK_LOCAL_DIRS", folder.toString());
        Process process = builder.start();
        processes.add(process);
        return process;
    }

    private static String waitFor(Path log, Predicate<String> isThere) throws IOException, InterruptedException {
        long end = System.nanoTime() + TimeUnit.SECONDS.toNanos(PATIENCE_S);
        String text = "";
        while (System.nanoTime() < end) {
            text = Files.readString(log);
            if (isThere.test(text)) {
                return text;
            }
            Thread.sleep(50);
        }
        throw new IllegalStateException("waited in vain for " + log + ":\n" + text);
    }

    /** Begins a command on the cluster, as {@code spark-submit} does. */
    Run submit(String name, String... words) throws IOException {
        Path log = folder.resolve(name + ".log");
        List<String> command = new ArrayList<>(List.of(
                "org.apache.spark.deploy.SparkSubmit",
                "--master",
                master,
                "--executor-memory",
                memory,
                "--conf",
                "spark.ui.enabled=false",
                "--conf",
                "spark.executor.extraJavaOptions=" + String.join(" ", javaOptions),
                "--class",
                "evendose.cli.spark.OnSpark",
                RUNNABLE.toString()));
        command.addAll(List.of(words));
        return new Run(begin(log, command.toArray(String[]::new)), log);
    }

    /** Kills a worker and what it began, as a machine that fails does. */
    void killWorker(int number) {
        Process worker = processes.get(1 + number);
        List<ProcessHandle> all = worker.descendants().toList();
        worker.destroyForcibly();
        all.forEach(ProcessHandle::destroyForcibly);
    }

    /** A command under way. */
    record Run(Process process, Path log) {
        /** Waits until a text has been logged so many times. */
        void waitFor(String text, int times) throws IOException, InterruptedException {
            SparkCluster.waitFor(log, all -> all.split(Pattern.quote(text), -1).length > times);
        }

        /** What it printed, once it has ended. */
        String ends(int code) throws IOException, InterruptedException {
            if (!process.waitFor(PATIENCE_S, TimeUnit.SECONDS)) {
                throw new AssertionError("does not end:\n" + Files.readString(log));
            }
            String text = Files.readString(log);
            if (process.exitValue() != code) {
                throw new AssertionError("ended with " + process.exitValue() + ":\n" + text);
            }
            return text;
        }
    }

    @Override
    public void close() {
        end();
        removeLinks();
    }

    private void end() {
        List<ProcessHandle> all = processes.stream()
                .map(Process::toHandle)
                .flatMap(p -> Stream.concat(p.descendants(), Stream.of(p)))
                .toList();
        all.forEach(ProcessHandle::destroyForcibly);
        all.forEach(p -> p.onExit().join());
    }

    /** Or the folder could not be removed without a warning for each. */
    private void removeLinks() {
        try (Stream<Path> links = Files.list(home.resolve("jars"))) {
            for (Path link : links.toList()) {
                Files.deleteIfExists(link);
            }
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }
}
