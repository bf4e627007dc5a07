package evendose.correction;

import evendose.Internal;
import evendose.Supported;
import evendose.pieces.FractureOptions;
import evendose.psf.PointSpreadFunction;

/** What is made equal everywhere. Energies are relative: a uniformly exposed plane at factor 1 has energy 1. */
@Supported
public enum Criterion {
    /**
     * The mean energy on a unit's exposed edges equals 1/2, as at the edge of a half plane: the threshold contour lies on the
     * drawn edge. Deep inside a grating of density rho (period far below the backscatter range, far above the direct
     * one) the factor is {@code (1 + eta) / (1 + 2 eta rho)}.
     */
    EDGE(0.5, 0.5, FractureOptions.Judging.EDGES),

    /**
     * The mean energy over a unit's area equals 1. Deep inside a coarse grating of density rho the factor is
     * {@code (1 + eta) / (1 + eta rho)}.
     */
    MEAN(1, 1, FractureOptions.Judging.AREA);

    private final double target;
    private final double usualReferenceDensity;
    private final FractureOptions.Judging judging;

    Criterion(double target, double usualReferenceDensity, FractureOptions.Judging judging) {
        this.target = target;
        this.usualReferenceDensity = usualReferenceDensity;
        this.judging = judging;
    }

    /** {@return energy that the criterion asks for when factors are not rescaled} */
    public double target() {
        return target;
    }

    /** {@return reference density at which factors need no rescaling} */
    public double usualReferenceDensity() {
        return usualReferenceDensity;
    }

    /** Energy that the direct term adds to the criterion value of a wide line or area for each unit of its own factor. */
    double ownShare(PointSpreadFunction psf) {
        return target * psf.direct().weight();
    }

    /** Where the energy is judged. */
    @Internal
    FractureOptions.Judging judging() {
        return judging;
    }

    /**
     * {@return dose factor deep inside a coarse grating of the given density, before rescaling}
     *
     * @param psf the point spread function
     * @param density covered share of the area, 0 to 1
     */
    double densityFactor(PointSpreadFunction psf, double density) {
        double eta = psf.eta();
        return (1 + eta) / (1 + eta * density / target);
    }

    /**
     * {@return energy that the criterion asks for when factors are scaled so that a grating of density {@code reference} has factor
     * 1}
     *
     * @param psf the point spread function
     * @param reference density of the grating, 0 to 1
     */
    double targetAt(PointSpreadFunction psf, double reference) {
        return target / densityFactor(psf, reference);
    }
}
