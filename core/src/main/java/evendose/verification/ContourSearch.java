package evendose.verification;

import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import org.apache.commons.math3.analysis.UnivariateFunction;
import org.apache.commons.math3.analysis.solvers.BrentSolver;

/**
 * Finds where the energy passes the threshold along a line: the developed edge. Brackets the place by steps of at most one
 * direct range from the drawn edge, then closes in by Brent's method (Commons Math) to 1e-6 nm.
 */
final class ContourSearch {
    /** The energy stays below the threshold into the shape: it does not develop here. */
    public static final double LOST = Double.NEGATIVE_INFINITY;

    /** The energy stays above the threshold outside the shape: the gap beside it develops too. */
    public static final double FLOODED = Double.POSITIVE_INFINITY;

    private static final double ACCURACY_UM = 1e-9;
    private static final int MOST_EVALUATIONS = 200;

    private final double stepUm;
    private final double reachUm;
    private final double slope;

    /**
     * A search for this point spread function.
     *
     * @param psf the point spread function
     * @param reachUm how far from the drawn edge to look, um, positive
     */
    public ContourSearch(PointSpreadFunction psf, double reachUm) {
        this.stepUm = psf.direct().rangeUm();
        this.reachUm = reachUm;
        double sum = 0;
        for (GaussianTerm term : psf.terms()) {
            sum += term.weight() / (term.rangeUm() * Math.sqrt(Math.PI));
        }
        this.slope = sum;
    }

    /**
     * {@return a search with the usual reach, {@link PointSpreadFunction#edgeReachUm}}
     *
     * @param psf the point spread function
     */
    public static ContourSearch of(PointSpreadFunction psf) {
        return new ContourSearch(psf, psf.edgeReachUm());
    }

    /** {@return how far from the drawn edge this looks, um} */
    public double reachUm() {
        return reachUm;
    }

    /**
     * Distance from a point on a drawn edge to the contour along the outward direction, um: positive where the developed
     * shape is larger than drawn.
     *
     * @param energy the energy
     * @param threshold energy at which the resist develops
     * @param xUm x of the point, um
     * @param yUm y of the point, um
     * @param outX x of the outward unit vector
     * @param outY y of it
     * @param inwardUm how far inward the shape reaches: beyond it there is nothing to find; may be infinite
     * @return the distance, {@link #LOST} or {@link #FLOODED}
     */
    public double displacementUm(
            PointEnergy energy, double threshold, double xUm, double yUm, double outX, double outY, double inwardUm) {
        UnivariateFunction f = t -> energy.at(xUm + t * outX, yUm + t * outY) - threshold;
        double last = f.value(0);
        if (last == 0) {
            return 0;
        }
        double direction = Math.signum(last);
        double most = direction > 0 ? reachUm : Math.min(reachUm, inwardUm);
        double t = 0;
        double step = Math.min(stepUm, Math.max(0.02 * stepUm, 1.3 * Math.abs(last) / slope));
        while (t < most) {
            double next = Math.min(most, t + step);
            double value = f.value(direction * next);
            if (value == 0) {
                return direction * next;
            }
            if (Math.signum(value) != direction) {
                double lower = direction > 0 ? t : -next;
                double upper = direction > 0 ? next : -t;
                return new BrentSolver(1e-14, ACCURACY_UM, 1e-15).solve(MOST_EVALUATIONS, f, lower, upper);
            }
            t = next;
            step = Math.min(stepUm, 2 * step);
        }
        return direction > 0 ? FLOODED : LOST;
    }
}
