package evendose.scattering;

/** The path of one electron, from its start through all its collisions. Point i is {@code (xUm(i), zUm(i))}, z downward. */
public final class Trajectory {
    private final boolean primary;
    private final double[] xUm;
    private final double[] zUm;

    Trajectory(boolean primary, double[] xUm, double[] zUm) {
        this.primary = primary;
        this.xUm = xUm;
        this.zUm = zUm;
    }

    /** {@return whether it is an electron of the beam, not a fast secondary} */
    public boolean primary() {
        return primary;
    }

    /** {@return number of points} */
    public int size() {
        return xUm.length;
    }

    /**
     * {@return place of point {@code i} along the surface, um}
     *
     * @param i number of the point, from 0
     */
    public double xUm(int i) {
        return xUm[i];
    }

    /**
     * {@return depth of point {@code i}, um}
     *
     * @param i number of the point, from 0
     */
    public double zUm(int i) {
        return zUm[i];
    }
}
