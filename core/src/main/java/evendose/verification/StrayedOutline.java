package evendose.verification;

import evendose.energy.ExactEnergy;
import evendose.pieces.Fracture;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.PointSpreadFunction;
import java.util.Arrays;

/**
 * What it does to the direct terms that the outline of the pieces exposed is not that of another cut of the same layout. Both are
 * exposed with factor 1 here, in closed forms, so no wrong dose can hide behind it.
 */
final class StrayedOutline {
    private final ExactEnergy exposed;
    private final ExactEnergy cut;
    private final Samples samples;

    StrayedOutline(Exposure exposure, Fracture.Result cut) {
        PointSpreadFunction psf = exposure.psf();
        PointSpreadFunction direct = PointSpreadFunction.from(psf.terms().subList(0, psf.directTerms()));
        this.exposed = plainly(exposure.pieces(), direct);
        this.cut = plainly(cut.pieces(), direct);
        this.samples = cut.samples();
    }

    private static ExactEnergy plainly(Pieces pieces, PointSpreadFunction psf) {
        double[] factors = new double[pieces.units()];
        Arrays.fill(factors, 1);
        return ExactEnergy.ofUnits(pieces, factors, psf);
    }

    /** By how much the direct terms' energy in a unit of the cut differs, relative to theirs in a uniformly exposed plane. */
    double directShareOf(int unit) {
        double sum = 0;
        for (int j = samples.first(unit); j < samples.first(unit + 1); j++) {
            double x = samples.xUm(j);
            double y = samples.yUm(j);
            sum += samples.weight(j) * (exposed.at(x, y) - cut.at(x, y));
        }
        return sum;
    }
}
