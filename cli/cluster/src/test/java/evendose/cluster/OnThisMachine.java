package evendose.cluster;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;

/** Runs a command on a cluster of this machine that lasts as long as the command: MEMORY correct LAYOUT ... */
final class OnThisMachine {
    private OnThisMachine() {}

    /** Takes the heap of an executor, for instance 2g, and the command. */
    public static void main(String[] args) throws Exception {
        Path folder = Files.createTempDirectory("evendose-cluster");
        try (SparkCluster cluster = new SparkCluster(folder, args[0])) {
            SparkCluster.Run run = cluster.submit("run", Arrays.copyOfRange(args, 1, args.length));
            int code = run.process().waitFor();
            Files.readString(run.log())
                    .lines()
                    // Spark's own lines begin with the date, and lines of where something was thrown follow.
                    .filter(line -> !line.matches("\\d\\d/\\d\\d/\\d\\d .*|\\t.*|[a-z]+\\.[\\w.]+(: .*)?"))
                    .forEach(System.out::println);
            System.out.println("ended with " + code + "; logs are in " + folder);
        }
    }
}
