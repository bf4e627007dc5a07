package evendose.pieces;

/**
 * Where the outcome is to be measured: along the outline of shapes that may have to be divided further, and of some others.
 *
 * @param spacingUm largest length of outline that a point stands for, um, positive
 * @param divisibleUm extent, um, up to which a shape is not divided further; such shapes are measured in part, the others all
 */
public record Measuring(double spacingUm, double divisibleUm) {
    /** Checks that values lie in their ranges. {@inheritDoc} */
    public Measuring {
        if (!(spacingUm > 0) || !(divisibleUm > 0)) {
            throw new IllegalArgumentException(
                    "spacing and extent must be positive, got " + spacingUm + " and " + divisibleUm);
        }
    }
}
