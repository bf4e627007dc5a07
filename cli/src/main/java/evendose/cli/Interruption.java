package evendose.cli;

import evendose.files.OutputFolder;
import java.nio.file.Path;
import java.util.concurrent.CancellationException;

/**
 * The process is told to end before it is done, for instance by Ctrl-C. Java then runs its shutdown hooks while all threads go
 * on: whatever these meet from now on is of no interest.
 */
final class Interruption {
    private static volatile boolean begun;
    private static volatile String how = "";

    private OutputFolder output;
    private boolean ended;

    private Interruption() {}

    /** Whether the process is ending while its main thread goes on. */
    static boolean begun() {
        return begun;
    }

    /** The run keeps what it has done, and a user who interrupts it is told how to go on. */
    static void canBeResumed() {
        how = "; the same command with " + UnfinishedRun.OPTION + " goes on from the last whole round";
    }

    /** Opens a folder for output of which an interruption leaves nothing, unless it was committed by then. */
    static OutputFolder open(Path folder, boolean force) {
        // The hook first: there must be no moment at which the folder is there and the hook is not.
        Interruption interruption = new Interruption();
        Runtime.getRuntime().addShutdownHook(new Thread(interruption::end));
        return interruption.openUnlessEnded(folder, force);
    }

    private synchronized OutputFolder openUnlessEnded(Path folder, boolean force) {
        if (ended) {
            throw new CancellationException();
        }
        output = OutputFolder.open(folder, force);
        return output;
    }

    private synchronized void end() {
        begun = true;
        ended = true;
        if (output != null && output.giveUp()) {
            ProgressLine.printInstead(System.err, "evendose: interrupted; nothing was written" + how);
        }
    }
}
