package evendose.report;

/** A picture was wanted, but a library that draws pictures is not there; the message names what to add. */
public final class MissingLibraryException extends IllegalStateException {
    private static final long serialVersionUID = 1;

    MissingLibraryException(String message) {
        super(message);
    }
}
