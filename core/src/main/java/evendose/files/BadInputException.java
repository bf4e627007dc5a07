package evendose.files;

/**
 * Input that cannot be used. The message is one line for a person: which file, which place in it, what is wrong and what to
 * do about it.
 */
public final class BadInputException extends RuntimeException {
    private static final long serialVersionUID = 1L;
    /** Files may hold names and values of any length. */
    private static final int MOST_CHARACTERS = 2000;

    /**
     * @param file the file's name as the user gave it
     * @param place where in the file, for instance {@code line 12} or {@code byte 4096, record XY}; empty if nowhere special
     * @param problem what is wrong and, where it is not plain, what to do
     */
    public BadInputException(String file, String place, String problem) {
        super(message(file, place, problem));
    }

    /** As above, keeping the exception that revealed the problem. */
    public BadInputException(String file, String place, String problem, Throwable cause) {
        super(message(file, place, problem), cause);
    }

    private static String message(String file, String place, String problem) {
        return OneLine.of(file + (place.isEmpty() ? "" : ", " + place) + ": " + problem, MOST_CHARACTERS);
    }
}
