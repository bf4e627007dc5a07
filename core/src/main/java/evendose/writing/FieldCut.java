package evendose.writing;

/**
 * A place where the border between two writing fields runs through a shape: the two halves are written at different stage
 * positions, so an error of the stage shows there.
 *
 * @param shape number of the merged shape
 * @param vertical whether the border is vertical (at a fixed x)
 * @param borderUm x of a vertical border, y of a horizontal one, um
 * @param fromUm where the cut begins along the border, um
 * @param toUm where it ends, um
 */
public record FieldCut(int shape, boolean vertical, double borderUm, double fromUm, double toUm) {
    /** {@return x of the middle of the cut, um} */
    public double xUm() {
        return vertical ? borderUm : 0.5 * (fromUm + toUm);
    }

    /** {@return y of the middle of the cut, um} */
    public double yUm() {
        return vertical ? 0.5 * (fromUm + toUm) : borderUm;
    }

    /** {@return length of the cut, um} */
    public double lengthUm() {
        return toUm - fromUm;
    }
}
