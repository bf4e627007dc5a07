package evendose.cli;

import java.io.FileDescriptor;
import java.io.FileOutputStream;

/** Starts the command line and ends the process with its exit code. */
public final class Main {
    private Main() {}

    /** Runs the command that {@code args} names. */
    public static void main(String[] args) {
        Heap.endWithFirst();
        // Not System.out, which keeps to itself what goes wrong.
        System.exit(CommandLineTool.run(args, new FileOutputStream(FileDescriptor.out), System.err));
    }
}
