package evendose.pieces;

/**
 * How merged shapes are cut into pieces and dose units, and where the energy of a unit is judged.
 *
 * @param maxPieceUm largest extent of a dose unit's cell, um, positive
 * @param directRangeUm range of the direct term, um, positive: the length that corners, slivers and narrow parts are
 *     measured against
 * @param sampleSpacingUm largest distance between samples along an outline, um, positive; half the second-shortest range
 *     of the point spread function that matters is enough
 * @param judging what the criterion averages over
 * @param rules what the writer asks of pieces
 * @param judgedOutline where the outline that edges are judged on lies
 */
public record FractureOptions(
        double maxPieceUm,
        double directRangeUm,
        double sampleSpacingUm,
        Judging judging,
        PieceRules rules,
        JudgedOutline judgedOutline) {

    /** What the criterion averages the energy over. */
    public enum Judging {
        /** The exposed edges of a unit, away from corners. */
        EDGES,
        /** The area of a unit. */
        AREA
    }

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public FractureOptions {
        requirePositive("largest piece", maxPieceUm);
        requirePositive("range of the direct term", directRangeUm);
        requirePositive("sample spacing", sampleSpacingUm);
    }

    /**
     * As above, judged on the exposed outline itself.
     *
     * @param maxPieceUm as above
     * @param directRangeUm as above
     * @param sampleSpacingUm as above
     * @param judging as above
     * @param rules as above
     */
    public FractureOptions(
            double maxPieceUm, double directRangeUm, double sampleSpacingUm, Judging judging, PieceRules rules) {
        this(maxPieceUm, directRangeUm, sampleSpacingUm, judging, rules, JudgedOutline.EXPOSED);
    }

    /**
     * {@return the same, judged on another outline}
     *
     * @param outline where it lies
     */
    public FractureOptions judgedOn(JudgedOutline outline) {
        return new FractureOptions(maxPieceUm, directRangeUm, sampleSpacingUm, judging, rules, outline);
    }

    private static void requirePositive(String what, double value) {
        if (!(value > 0) || Double.isInfinite(value)) {
            throw new IllegalArgumentException(what + " must be positive and finite, got " + value + " um");
        }
    }
}
