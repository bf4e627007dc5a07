package evendose.correction;

import evendose.Supported;
import evendose.files.NumberText;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.units.Range;
import java.io.Serializable;

/**
 * Fogging: electrons scattered back from the lower parts of the column onto the resist, millimetres away. Their energy is one more
 * Gaussian term, given over the direct energy as the backscatter ratio eta is:
 *
 * <pre>E(x) = E_psf(x) + P/100 w_direct sum_i d_i G_R,i(x)</pre>
 *
 * <p>with {@code G_R,i} the integral over piece {@code i} of the unit Gaussian of range {@code R} about {@code x}, and {@code w_direct} the weight of the direct
 * terms. Energies stay relative to a plane exposed at factor 1 without fogging: with it, such a plane has {@code 1 + P/100 w_direct}. So the
 * base dose is still that of a pattern far smaller than the range, as dose tests are, and fogging only takes dose away.
 *
 * @param percent energy over the direct energy, %, positive
 * @param rangeMm range (1/e radius), mm, positive
 * @serial exclude
 */
@Supported
public record Fogging(double percent, double rangeMm) implements Serializable {
    private static final double UM_PER_MM = 1e3;

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public Fogging {
        Range.positive("fogging (% of the direct energy)", percent);
        Range.positive("range of the fogging (mm)", rangeMm);
    }

    /**
     * {@return the term that is added to a point spread function}
     *
     * @param psf the point spread function
     */
    public GaussianTerm term(PointSpreadFunction psf) {
        return new GaussianTerm(percent / 100 * psf.direct().weight(), rangeUm());
    }

    /** {@return what it is, for people} */
    public String words() {
        return NumberText.plain(percent, 5) + " % of the direct energy, range " + NumberText.plain(rangeMm, 5)
                + " mm, of what is exposed here alone";
    }

    /** {@return range, um} */
    public double rangeUm() {
        return UM_PER_MM * rangeMm;
    }
}
