package evendose.verification;

/** A smooth function of a place in a rectangle, taken at Chebyshev points and interpolated between them. */
final class SmoothPatch {
    private final ChebyshevNodes across;
    private final ChebyshevNodes up;
    private final double[][] value;

    /** A function of a place, um. */
    @FunctionalInterface
    interface Function {
        double at(double xUm, double yUm);
    }

    /**
     * Chooses nodes; {@link #take} asks for the values there.
     *
     * @param x0Um left, um
     * @param y0Um bottom, um
     * @param x1Um right, um
     * @param y1Um top, um
     * @param rangeUm range of the narrowest Gaussian that the function is made of, um
     */
    SmoothPatch(double x0Um, double y0Um, double x1Um, double y1Um, double rangeUm) {
        across = new ChebyshevNodes(x0Um, x1Um, rangeUm);
        up = new ChebyshevNodes(y0Um, y1Um, rangeUm);
        value = new double[up.count][across.count];
    }

    /** Number of values. */
    int nodes() {
        return across.count * up.count;
    }

    /** Takes the values of a function. */
    SmoothPatch take(Function function) {
        for (int r = 0; r < up.count; r++) {
            for (int c = 0; c < across.count; c++) {
                value[r][c] = function.at(across.at(c), up.at(r));
            }
        }
        return this;
    }

    /** The function at a place in the rectangle, um. */
    double at(double xUm, double yUm) {
        double[] share = across.shares(xUm);
        double[] line = new double[up.count];
        for (int r = 0; r < line.length; r++) {
            for (int c = 0; c < share.length; c++) {
                line[r] += share[c] * value[r][c];
            }
        }
        return up.interpolate(line, yUm);
    }
}
