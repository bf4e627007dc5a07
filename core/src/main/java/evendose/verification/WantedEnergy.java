package evendose.verification;

import evendose.correction.Criterion;
import evendose.psf.PointSpreadFunction;

/**
 * Energy that a criterion asks for, from its meaning: in a fine grating whose density is the reference, factor 1 is right. Far
 * terms see that density everywhere; the direct terms see half a plane at an edge, and all of it inside. Written for the checks, so that
 * they do not share the formula of what they check.
 */
final class WantedEnergy {
    private WantedEnergy() {}

    static double of(PointSpreadFunction psf, Criterion criterion, double referenceDensity) {
        double direct = 0;
        for (int k = 0; k < psf.directTerms(); k++) {
            direct += psf.terms().get(k).weight();
        }
        double seen = criterion == Criterion.EDGE ? 0.5 : 1;
        return direct * seen + (1 - direct) * referenceDensity;
    }
}
