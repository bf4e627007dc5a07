package evendose.cli;

/** The command line asks for something that makes no sense with this input; the message may have several lines. */
final class UsageException extends RuntimeException {
    private static final long serialVersionUID = 1L;

    UsageException(String message) {
        super(message);
    }
}
