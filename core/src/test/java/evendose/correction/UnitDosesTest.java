package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.energy.ExactEnergy;
import evendose.geometry.Polygons;
import evendose.pieces.Pieces;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;

/** What becomes of free doses on their way into the table. */
class UnitDosesTest {
    private static final double ETA = 0.7;
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.03, 8, ETA);
    private static final PointSpreadFunction FAR = PointSpreadFunction.from(List.of(new GaussianTerm(1, 8)));

    private static CorrectionOptions.Builder options() {
        return CorrectionOptions.builder(PSF).maxPieceUm(2).allowedEdgeError(1).tolerance(0.04);
    }

    private static Polygons pad() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 20, 16);
        return polygons;
    }

    /**
     * Doses within 4 % of each other become one; energies told are those of the doses written: in the middle of a pad half of the direct
     * term and the background, from closed forms.
     */
    @Test
    void energiesAreThoseOfTheDosesThatAreJoined() {
        DoseTable table = Corrections.correct(pad(), options().build());
        Pieces p = table.pieces();
        double[] different = Arrays.stream(table.factors()).sorted().distinct().toArray();
        assertTrue(different.length < p.units() / 4, different.length + " doses of " + p.units() + " units");
        for (int k = 1; k < different.length; k++) {
            assertTrue(different[k] > different[k - 1] * 1.01, "doses that near are one");
        }
        ExactEnergy far = ExactEnergy.ofUnits(p, table.factors(), FAR);
        int looked = 0;
        double most = 0;
        for (int u = 0; u < p.units(); u++) {
            double[] box = p.unitBoundsUm(u);
            if (box[0] > 1 && box[2] < 19 && box[1] > 1 && box[3] < 15) {
                double background = far.at(0.5 * (box[0] + box[2]), 0.5 * (box[1] + box[3]));
                double expected = (0.5 * table.factor(u) + ETA * background) / (1 + ETA);
                assertEquals(expected, table.energyCorrected(u), 1e-4);
                most = Math.max(most, Math.abs(expected / 0.5 - 1));
                looked++;
            }
        }
        assertTrue(looked > 30, "looked at " + looked);
        assertTrue(most > 2e-3, "joining moves energies, by " + most);
        // What joining alone moves beyond the tolerance is not told as unconverged.
        assertEquals(p.size(), table.pieces(DoseStatus.OK));
    }

    /** Where shapes have one dose each, or levels rule, doses are not joined; free ones are numbered by the nearest of 256 levels. */
    @Test
    void freeDosesAreNumbered() {
        DoseTable free = Corrections.correct(pad(), options().tolerance(1e-4).build());
        assertEquals(DoseLevels.USUAL, free.levels().size());
        assertEquals(free.minFactor(), free.levels().factor(0), 1e-12);
        assertEquals(free.maxFactor(), free.levels().factor(DoseLevels.USUAL - 1), 1e-12);
        for (int u = 0; u < free.pieces().units(); u++) {
            assertEquals(free.levels().nearest(free.factor(u)), free.level(u));
        }
        assertTrue(free.levelsUsed() > 3);
        DoseTable levels = Corrections.correct(
                pad(), options().levels(LevelRule.geometric(3)).build());
        DoseTable freeAsWell = Corrections.correct(pad(), options().build());
        // Levels reach from the smallest to the largest dose found; joined ones have ends of their own.
        assertTrue(levels.minFactor() < freeAsWell.minFactor());
    }

    /** A square of 60 nm has no outline off its corners, a line of 2 um has. */
    @Test
    void shapesJudgedNearCornersAloneAreTold() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 0.06, 0.06);
        Corrections.box(polygons, 0, 40, 0, 40.06, 2);
        DoseTable table = Corrections.correct(polygons, CorrectionOptions.of(PSF));
        assertTrue(table.convergence().converged());
        Pieces p = table.pieces();
        for (int u = 0; u < p.units(); u++) {
            assertEquals(p.unitBoundsUm(u)[0] < 1 ? DoseStatus.CORNERS : DoseStatus.OK, table.status(u));
        }
    }
}
