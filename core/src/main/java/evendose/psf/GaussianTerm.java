package evendose.psf;

import evendose.Supported;
import java.io.Serializable;

/**
 * One Gaussian of a point spread function: {@code weight / (pi s^2) exp(-r^2 / s^2)}.
 *
 * @param weight share of the energy, positive
 * @param rangeUm range s (1/e radius), um, positive
 * @serial exclude
 */
@Supported
public record GaussianTerm(double weight, double rangeUm) implements Serializable {
    /** Checks that values lie in their ranges. {@inheritDoc} */
    public GaussianTerm {
        if (!(weight > 0) || Double.isInfinite(weight)) {
            throw new IllegalArgumentException("weight must be positive and finite, got " + weight);
        }
        if (!(rangeUm > 0) || Double.isInfinite(rangeUm)) {
            throw new IllegalArgumentException("range must be positive and finite, got " + rangeUm + " um");
        }
    }
}
