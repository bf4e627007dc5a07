package evendose.correction;

/** How well a dose meets its criterion. */
public enum DoseStatus {
    /** Within the tolerance; with a limited set of doses, within half a step between them beyond it. */
    OK("ok"),
    /** As ok, but judged near corners alone, which round whatever the dose. */
    CORNERS("corners"),
    /** Held at the smallest factor allowed; it gets more energy than it should. */
    AT_MINIMUM("at-minimum"),
    /** Held at the largest factor allowed; it gets less energy than it should. */
    AT_MAXIMUM("at-maximum"),
    /** Off by more than the tolerance when the iteration ended. */
    UNCONVERGED("unconverged"),
    /** Has a dose given by the user. */
    FIXED("fixed");

    private final String word;

    DoseStatus(String word) {
        this.word = word;
    }

    /** The word used in tables. */
    public String word() {
        return word;
    }

    /**
     * The status that {@code word} stands for.
     *
     * @throws IllegalArgumentException if it stands for none
     */
    public static DoseStatus of(String word) {
        for (DoseStatus status : values()) {
            if (status.word.equals(word)) {
                return status;
            }
        }
        throw new IllegalArgumentException("'" + word + "' is not a status");
    }
}
