package evendose.files;

/** Text as one field of a CSV table. */
public final class CsvText {
    private static final String FORMULA = "=+-@";

    private CsvText() {}

    /**
     * {@return the text in double quotes, on one line} What a spreadsheet would take for a formula gets an apostrophe in front,
     * since names may come from other people's files.
     *
     * @param text any text
     */
    public static String quoted(String text) {
        String line = OneLine.of(text);
        String visible = line.stripLeading();
        boolean formula = !visible.isEmpty() && FORMULA.indexOf(visible.charAt(0)) >= 0;
        return '"' + (formula ? "'" : "") + line.replace("\"", "\"\"") + '"';
    }
}
