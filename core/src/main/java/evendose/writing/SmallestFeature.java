package evendose.writing;

/**
 * The feature whose dose is the most uncertain, because the fewest electrons fall on it.
 *
 * @param shape its merged shape, or -1 if the size was given by the user
 * @param xUm x of the shape's middle, um; NaN if the size was given
 * @param yUm y of the shape's middle, um; NaN if the size was given
 * @param sideUm side of the square whose electrons are counted, um
 * @param factor dose factor there
 * @param electrons mean number of electrons on the square
 * @param pointsPerSide dwell points along the side
 */
public record SmallestFeature(
        int shape, double xUm, double yUm, double sideUm, double factor, double electrons, double pointsPerSide) {
    /** {@return relative standard deviation of its dose from the chance arrival of electrons} */
    public double relativeSpread() {
        return ExposureArithmetic.relativeSpread(electrons);
    }
}
