package evendose.cli;

/** Starts the command line and ends the process with its exit code. */
public final class Main {
    private Main() {}

    /** Runs the command that {@code args} names. */
    public static void main(String[] args) {
        Heap.endWithFirst();
        System.exit(CommandLineTool.run(args, System.out, System.err));
    }
}
