package evendose.cli;

/** A limit was exceeded; the message says which and what to change. */
public final class LimitException extends RuntimeException {
    private static final long serialVersionUID = 1L;

    /**
     * @param message which limit, and what to change
     */
    public LimitException(String message) {
        super(message);
    }

    /**
     * As above, keeping what told of it.
     *
     * @param message which limit, and what to change
     * @param cause what told of it
     */
    public LimitException(String message, Throwable cause) {
        super(message, cause);
    }
}
