package evendose.energy;

import evendose.pieces.Samples;

/** The box that holds a unit's samples, um, to be used again and again; it lies inside out where there is none. */
public final class SampleBox {
    double left;
    double bottom;
    double right;
    double top;

    /**
     * Becomes the box of a unit.
     *
     * @param samples where units are judged
     * @param u number of the unit, from 0
     */
    public void around(Samples samples, int u) {
        left = Double.MAX_VALUE;
        bottom = Double.MAX_VALUE;
        right = -Double.MAX_VALUE;
        top = -Double.MAX_VALUE;
        for (int j = samples.first(u); j < samples.first(u + 1); j++) {
            left = Math.min(left, samples.xUm(j));
            bottom = Math.min(bottom, samples.yUm(j));
            right = Math.max(right, samples.xUm(j));
            top = Math.max(top, samples.yUm(j));
        }
    }

    /** {@return x of its left side, um} */
    public double leftUm() {
        return left;
    }

    /** {@return y of its lower side, um} */
    public double bottomUm() {
        return bottom;
    }

    /** {@return x of its right side, um} */
    public double rightUm() {
        return right;
    }

    /** {@return y of its upper side, um} */
    public double topUm() {
        return top;
    }

    /** Squared distance of another box, um^2; 0 if they meet. */
    double squaredDistance(double otherLeft, double otherBottom, double otherRight, double otherTop) {
        double x = Math.max(0, Math.max(otherLeft - right, left - otherRight));
        double y = Math.max(0, Math.max(otherBottom - top, bottom - otherTop));
        return x * x + y * y;
    }
}
