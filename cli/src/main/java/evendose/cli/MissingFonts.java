package evendose.cli;

/** What Java throws where no font is installed: pictures have words in them. */
final class MissingFonts {
    static final String WORDS = "this Java finds no font, which pictures need; install one (Debian: fontconfig and"
            + " fonts-dejavu-core), or leave the pictures out where there is a --no-report";

    private MissingFonts() {}

    static boolean areThe(Throwable cause) {
        for (Throwable t = cause; t != null; t = t.getCause()) {
            for (StackTraceElement frame : t.getStackTrace()) {
                String name = frame.getClassName();
                if (name.startsWith("sun.font.") || name.startsWith("sun.awt.FontConfiguration")) {
                    return true;
                }
            }
        }
        return false;
    }
}
