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
import java.util.SplittableRandom;
import org.apache.commons.numbers.gamma.Erf;
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

    /**
     * Long lines of a grating, whose doses fall from their ends inwards: written in far fewer pieces than they were cut into, with 95 % of
     * their sides within 1 % of the clearing energy by products of error functions, as the run foretells.
     */
    @Test
    void longLinesTakeAsFewPiecesAsTheGoalAllows() {
        DoseTable table = Corrections.correct(
                Corrections.grating(1, 0.5, 15, 60),
                CorrectionOptions.builder(PSF).build());
        DoseTable written = table.joined();
        int[] pieces = {written.pieces().size(), table.counts().pieces()};
        assertTrue(pieces[0] < 0.6 * pieces[1], pieces[0] + " of " + pieces[1]);
        SplittableRandom random = new SplittableRandom(11);
        double[] off = new double[4_000];
        for (int k = 0; k < off.length; k++) {
            double x = random.nextInt(-15, 16) + (random.nextBoolean() ? 0.25 : -0.25);
            off[k] = Math.abs(2 * energy(written, x, random.nextDouble(0.06, 59.94)) - 1);
        }
        Arrays.sort(off);
        double p95 = off[(int) (0.95 * off.length)];
        assertTrue(p95 <= 0.01, "95 % within " + p95);
        assertEquals(p95, table.outlineError().p95(), 5e-4);
        assertEquals(
                0.008, table.outlineError().p95(), 3e-4, "as much is joined as is foretold to leave 0.8 of the goal");
        assertEquals(written.pieces().size(), written.pieces(DoseStatus.OK), "a joined unit is judged as one");
    }

    /** Energy that rectangles leave at a point. */
    private static double energy(DoseTable table, double x, double y) {
        Pieces p = table.pieces();
        double sum = 0;
        for (int u = 0; u < p.units(); u++) {
            for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                for (GaussianTerm t : PSF.terms()) {
                    double r = t.rangeUm();
                    sum += table.factor(u)
                            * t.weight()
                            * 0.25
                            * (Erf.value((p.toLowUm()[i] - x) / r) - Erf.value((p.fromLowUm()[i] - x) / r))
                            * (Erf.value((p.highUm()[i] - y) / r) - Erf.value((p.lowUm()[i] - y) / r));
                }
            }
        }
        return sum;
    }
}
