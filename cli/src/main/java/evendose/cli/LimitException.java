package evendose.cli;

/** A limit was exceeded; the message says which and what to change. */
final class LimitException extends RuntimeException {
    private static final long serialVersionUID = 1L;

    LimitException(String message) {
        super(message);
    }
}
