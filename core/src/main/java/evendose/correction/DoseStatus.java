package evendose.correction;

import evendose.Supported;

/** How well a dose meets its criterion. */
@Supported
public enum DoseStatus {
    /** Within the tolerance. */
    OK("ok"),
    /** As ok, but judged near corners alone, which round whatever the dose. */
    CORNERS("corners"),
    /** Off by more than the tolerance because the doses were limited to levels, and only because of that. */
    COARSE_LEVEL("coarse-level"),
    /** Held at the smallest factor that the options allow; a smaller one would do. */
    AT_MINIMUM("at-minimum"),
    /** Gets too much energy from its neighbours alone; no dose of its own, however small, would do. */
    BACKGROUND("background-alone"),
    /** Held at the largest factor that the options allow, which would be too little for a wide line as well. */
    AT_MAXIMUM("at-maximum"),
    /** Held at the largest factor, which would do for a wide line: this shape is too small for the beam. */
    BELOW_BEAM("below-beam"),
    /** Off by more than the tolerance when the iteration ended. */
    UNCONVERGED("unconverged"),
    /** Has a dose given by the user. */
    FIXED("fixed");

    private final String word;

    DoseStatus(String word) {
        this.word = word;
    }

    /** {@return whether the dose stands at the smallest or largest factor and would go beyond it} */
    public boolean isHeld() {
        return this == AT_MINIMUM || this == BACKGROUND || this == AT_MAXIMUM || this == BELOW_BEAM;
    }

    /** {@return the word used in tables} */
    public String word() {
        return word;
    }

    /**
     * {@return the status that {@code word} stands for}
     *
     * @param word a word of the column {@code status}
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
