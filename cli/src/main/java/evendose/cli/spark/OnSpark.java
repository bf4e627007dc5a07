package evendose.cli.spark;

import evendose.cli.CommandLineTool;
import java.io.FileDescriptor;
import java.io.FileOutputStream;
import java.io.OutputStream;
import java.io.PrintStream;

/** What {@code spark-submit} starts: the command line, whose tiles are worked on by Spark. */
public final class OnSpark {
    private static final String HOW =
            "spark-submit --class " + OnSpark.class.getName() + " evendose.jar correct LAYOUT ...";

    private static final int USAGE = 2;

    private OnSpark() {}

    /** Runs the command that {@code args} names and ends the process with its exit code. */
    public static void main(String[] args) {
        // Not System.out, which keeps to itself what goes wrong.
        System.exit(run(args, new FileOutputStream(FileDescriptor.out), System.err));
    }

    static int run(String[] args, OutputStream out, PrintStream err) {
        // What spark-submit sets in any case.
        if (System.getProperty("spark.master") == null || !isSparkThere()) {
            err.println("evendose: " + OnSpark.class.getName() + " is to be started by Spark: " + HOW);
            return USAGE;
        }
        if (args.length == 0 || !args[0].equals("correct")) {
            err.println("evendose: on Spark only 'correct' runs (" + HOW
                    + "); run other commands with java -jar evendose.jar");
            return USAGE;
        }
        return CommandLineTool.run(args, out, err, new SparkSite());
    }

    private static boolean isSparkThere() {
        try {
            Class.forName("org.apache.spark.api.java.JavaSparkContext", false, OnSpark.class.getClassLoader());
            return true;
        } catch (ClassNotFoundException e) {
            return false;
        }
    }
}
