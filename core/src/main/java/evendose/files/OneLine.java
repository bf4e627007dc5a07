package evendose.files;

/**
 * Text from files made fit for a terminal or a log: what could move the cursor, change colours, end the line or turn the
 * direction of writing becomes a space.
 */
public final class OneLine {
    private OneLine() {}

    /**
     * {@return the text without control and format characters, line and paragraph separators, and lone surrogates}
     *
     * @param text any text
     */
    public static String of(String text) {
        StringBuilder clean = new StringBuilder(text.length());
        text.codePoints().forEach(c -> clean.appendCodePoint(isPlain(c) ? c : ' '));
        return clean.toString();
    }

    /** As {@link #of(String)}, and no longer than {@code most} characters: the middle is left out. */
    static String of(String text, int most) {
        if (text.length() <= most) {
            return of(text);
        }
        int end = (most - 5) / 2;
        return of(text.substring(0, most - 5 - end) + " ... " + text.substring(text.length() - end));
    }

    private static boolean isPlain(int codePoint) {
        return switch (Character.getType(codePoint)) {
            case Character.CONTROL,
                    Character.FORMAT,
                    Character.LINE_SEPARATOR,
                    Character.PARAGRAPH_SEPARATOR,
                    Character.SURROGATE -> false;
            default -> true;
        };
    }
}
