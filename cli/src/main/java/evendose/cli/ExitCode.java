package evendose.cli;

/** What the process returns. Scripts rely on these numbers. */
enum ExitCode {
    /** Everything was done. */
    DONE(0),
    /** A fault of the program; {@code --debug} shows where. */
    UNEXPECTED(1),
    /** The command line is wrong or incomplete. */
    USAGE(2),
    /** An input file or the output folder cannot be used. */
    BAD_INPUT(3),
    /** The result is there but not within the tolerance, or a limit was exceeded. */
    LIMIT(4);

    private final int number;

    ExitCode(int number) {
        this.number = number;
    }

    int number() {
        return number;
    }
}
