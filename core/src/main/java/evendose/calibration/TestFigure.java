package evendose.calibration;

/** A figure of a dose test whose energy has a closed form. Lengths are um. */
public sealed interface TestFigure {
    /**
     * A ring, or a disc if the inner radius is 0; looked at in its centre, where it gets
     *
     * <pre>E = sum_k w_k (exp(-R1^2 / s_k^2) - exp(-R2^2 / s_k^2)).</pre>
     *
     * @param innerRadiusUm R1, at least 0
     * @param outerRadiusUm R2, larger
     */
    record Ring(double innerRadiusUm, double outerRadiusUm) implements TestFigure {
        /** Checks that values lie in their ranges. {@inheritDoc} */
        public Ring {
            if (!(innerRadiusUm >= 0) || !(outerRadiusUm > innerRadiusUm) || Double.isInfinite(outerRadiusUm)) {
                throw new IllegalArgumentException("a ring needs 0 <= inner radius < outer radius, got " + innerRadiusUm
                        + " and " + outerRadiusUm);
            }
        }
    }

    /**
     * Parallel lines, looked at across the middle of the middle one, where at a distance x from its axis they give
     *
     * <pre>E = sum_k w_k erf(L / 2 s_k) / 2 sum_j (erf((x - j p + W/2) / s_k) - erf((x - j p - W/2) / s_k)).</pre>
     *
     * @param widthUm drawn width W of a line
     * @param pitchUm distance p of neighbours, larger than the width; ignored for a lone line
     * @param lines number of lines, odd; 1 for a lone line
     * @param lengthUm their length L; infinite if it does not matter
     */
    record Lines(double widthUm, double pitchUm, int lines, double lengthUm) implements TestFigure {
        /** Checks that values lie in their ranges. {@inheritDoc} */
        public Lines {
            if (!(widthUm > 0) || Double.isInfinite(widthUm)) {
                throw new IllegalArgumentException("a line needs a positive width, got " + widthUm);
            }
            if (lines < 1 || lines % 2 == 0) {
                throw new IllegalArgumentException(
                        "the number of lines must be odd, so that there is one in the middle; got " + lines);
            }
            if (lines > 1 && (!(pitchUm > widthUm) || Double.isInfinite(pitchUm))) {
                throw new IllegalArgumentException("the pitch must exceed the width, got " + pitchUm);
            }
            if (!(lengthUm > 0)) {
                throw new IllegalArgumentException("the line length must be positive, got " + lengthUm);
            }
        }

        /** A line far from others and of great length. */
        static Lines lone(double widthUm) {
            return new Lines(widthUm, Double.POSITIVE_INFINITY, 1, Double.POSITIVE_INFINITY);
        }
    }
}
