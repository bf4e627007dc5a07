package evendose.files;

import evendose.Supported;
import java.io.IOException;
import java.nio.charset.CharacterCodingException;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;

/**
 * Input that cannot be used. The message is one line for a person: which file, which place in it, what is wrong and what to
 * do about it.
 */
@Supported
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

    /**
     * As above, keeping the exception that revealed the problem.
     *
     * @param file name of the file
     * @param place where in it; may be empty
     * @param problem what is wrong and what to do, a clause without a full stop
     * @param cause what revealed the problem
     */
    public BadInputException(String file, String place, String problem, Throwable cause) {
        super(message(file, place, problem), cause);
    }

    /**
     * {@return what to throw about a file that cannot be read, also because its text is not UTF-8}
     *
     * @param file the file
     * @param e what reading met
     */
    public static BadInputException unreadable(Path file, IOException e) {
        String problem = e instanceof NoSuchFileException
                ? "there is no such file"
                : e instanceof CharacterCodingException
                        ? "is no UTF-8 text; save it as UTF-8"
                        : "cannot be read (" + OutputFolder.reason(e) + ")";
        return new BadInputException(file.toString(), "", problem, e);
    }

    /**
     * {@return what to throw about a file or folder that cannot be written}
     *
     * @param file the file or folder
     * @param e what writing met
     */
    public static BadInputException unwritable(Path file, IOException e) {
        return new BadInputException(
                OutputFolder.destination(file).toString(), "", "cannot be written (" + OutputFolder.reason(e) + ")", e);
    }

    private static String message(String file, String place, String problem) {
        return OneLine.of(file + (place.isEmpty() ? "" : ", " + place) + ": " + problem, MOST_CHARACTERS);
    }
}
