package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.TwoBeamCorrection;
import evendose.correction.TwoBeamFixture;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.List;
import java.util.OptionalDouble;
import org.apache.commons.math3.special.Erf;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;

/** One pad with two beams: what is found along the seam, against sums of error functions over the doses. */
class SeamCheckTest {
    private static TwoBeamCorrection doses;
    private SeamCheck found;

    @BeforeAll
    static void correct() {
        doses = TwoBeamCorrection.of(
                        TwoBeamFixture.pattern(new double[] {0, 0, 12, 9}),
                        CorrectionOptions.of(TwoBeamFixture.FINE_PSF),
                        TwoBeamFixture.BULK_PSF,
                        TwoBeamFixture.RIM)
                .orElseThrow();
    }

    private void look() {
        try (Workers workers = Workers.of(2)) {
            found = SeamCheck.of(doses, workers, Progress.NONE);
        }
    }

    private static double energy(double x, double y) {
        return TwoBeamFixture.energy(doses, x, y);
    }

    @Test
    void anOverlayErrorMovesTheCoarseEnergy() {
        look();
        double x = found.shiftedXUm();
        double y = found.shiftedYUm();
        double most = 0;
        for (double[] way : new double[][] {{1, 0}, {-1, 0}, {0, 1}, {0, -1}}) {
            most = Math.max(
                    most,
                    Math.abs(TwoBeamFixture.energy(
                                    doses.bulk(), TwoBeamFixture.BULK, x + 0.02 * way[0], y + 0.02 * way[1])
                            - TwoBeamFixture.energy(doses.bulk(), TwoBeamFixture.BULK, x, y)));
        }
        assertEquals(most / 0.5, found.shifted(), 1e-3);
        // Half planes: the plateau times erf(shift / (2 a)), for the doses that the bulk has.
        double ofPlateau = TwoBeamFixture.BULK[0][0] * Erf.erf(0.02 / 0.12) / 0.5;
        assertTrue(found.shifted() > 0.99 * ofPlateau * doses.bulk().minFactor());
        assertTrue(found.shifted() < 1.01 * ofPlateau * doses.bulk().maxFactor());
    }

    @Test
    void theSeamIsEvenAndEverythingClears() {
        look();
        assertTrue(found.places() > 300);
        assertTrue(found.offBy() > 1e-3 && found.offBy() < SeamCheck.ALLOWED, "off by " + found.offBy());
        assertEquals(energy(found.lowestXUm(), found.lowestYUm()) / 0.5, found.lowest(), 1e-3);
        assertTrue(found.lowest() > 1);
        // In a corner of the bulk the coarse beam leaves a quarter of its plateau, not a half.
        assertTrue(found.lowest() * 0.5 < energy(6, 0.5));
        double toSide = Math.min(Math.abs(found.lowestXUm() - 0.5), Math.abs(found.lowestXUm() - 11.5));
        assertTrue(toSide < 0.15, "lowest at " + found.lowestXUm() + ", " + found.lowestYUm());
    }

    @Test
    void superposedEdgesAreJudgedOnTheDrawnOutline() {
        Exposure both = Exposure.of(doses);
        try (Workers workers = Workers.of(2)) {
            PointEnergy field = both.fields(workers, Progress.NONE).of(true);
            for (double[] at : new double[][] {{0, 4}, {6, 0}, {0.5, 5}, {6, 4}}) {
                assertEquals(energy(at[0], at[1]), field.at(at[0], at[1]), 1e-4);
                assertEquals(energy(at[0], at[1]), both.exact(true).at(at[0], at[1]), 1e-8);
            }
            // With the shares of the seam at factor 1 the inside of the pad has the energy of a pad.
            PointEnergy before = both.fields(workers, Progress.NONE).of(false);
            assertEquals(before.at(0.2, 4.5), before.at(0.5, 4.5), 0.03);
        }
    }

    @Test
    void whatIsWrongIsTold() {
        look();
        Verdict verdict = found.judged(Verdict.ofNoEdges(), doses.bulk());
        assertTrue(verdict.good());
        assertEquals(2, verdict.notes().size());
        SeamCheck bad = new SeamCheck(10, 0.031, 1, 2, 0.97, 3, 4, 0.02, 0.2, 5, 6);
        Verdict told = bad.judged(
                new Verdict(1, 0, 0, 0, OptionalDouble.empty(), List.of(), List.of(), List.of()), doses.bulk());
        assertFalse(told.good());
        assertEquals(2, told.reservations().size());
        assertTrue(
                told.reservations().get(1).contains("3.10 %"),
                told.reservations().toString());
    }

    /** The evenness across the seam where it is worst, from closed forms; S is (1 + erf(t / 60 nm)) / 2. */
    @Test
    void theWorstPlaceIsAsFarOffAsClosedFormsSay() {
        look();
        double x = found.offXUm();
        double y = found.offYUm();
        // The seam lies half a micrometre inside a pad of 12 x 9 um.
        double[] depth = {x - 0.5, 11.5 - x, y - 0.5, 8.5 - y};
        double[][] way = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}};
        int side = 0;
        for (int k = 1; k < 4; k++) {
            side = Math.abs(depth[k]) < Math.abs(depth[side]) ? k : side;
        }
        double t = depth[side];
        double from = -Math.min(doses.seam().reachUm(), 0.7 * 0.5);
        double to = doses.seam().reachUm();
        assertTrue(t >= from - 1e-9 && t <= to + 1e-9, "at " + t);
        double rim = energy(x + (from - t) * way[side][0], y + (from - t) * way[side][1]);
        double bulk = energy(x + (to - t) * way[side][0], y + (to - t) * way[side][1]);
        double s = 0.5 * (1 + Erf.erf(t / 0.06));
        assertEquals(Math.abs(energy(x, y) / (rim * (1 - s) + bulk * s) - 1), found.offBy(), 5e-4);
    }

    /** Lowest is what lies on lines square to the sides through the corners of the bulk, four corners and two ways each. */
    @Test
    void theLowestEnergyIsThatAboutTheCorners() {
        look();
        double from = -Math.min(doses.seam().reachUm(), 0.7 * 0.5);
        double to = doses.seam().reachUm();
        double lowest = Double.MAX_VALUE;
        for (double[] corner :
                new double[][] {{0.5, 0.5, 1, 1}, {11.5, 0.5, -1, 1}, {0.5, 8.5, 1, -1}, {11.5, 8.5, -1, -1}}) {
            for (int k = 0; k <= 40; k++) {
                double t = from + (to - from) * k / 40;
                lowest = Math.min(lowest, energy(corner[0] + t * corner[2], corner[1]));
                lowest = Math.min(lowest, energy(corner[0], corner[1] + t * corner[3]));
            }
        }
        assertEquals(lowest / 0.5, found.lowest(), 5e-3);
    }

    /** What is wrong, word for word where it counts, and nothing at its limits. */
    @Test
    void verdictsKeepToTheirLimits() {
        SeamCheck at = new SeamCheck(10, SeamCheck.ALLOWED, 1, 2, 1, 3, 4, 0.02, 0.2, 5, 6);
        Verdict told = at.judged(Verdict.ofNoEdges(), doses.bulk());
        assertTrue(told.good());
        assertTrue(told.notes().stream().anyMatch(n -> n.contains("20.0 nm") && n.contains("(5.000, 6.000)")));
        SeamCheck none = new SeamCheck(0, 0, 1, 2, 1, 3, 4, 0.02, 0.2, 5, 6);
        assertEquals(List.of(), none.judged(Verdict.ofNoEdges(), doses.bulk()).notes());
        SeamCheck off = new SeamCheck(10, 0.0201, 1, 2, 0.999, 3, 4, 0.02, 0.2, 5, 6);
        Verdict wrong = off.judged(Verdict.ofNoEdges(), doses.bulk());
        assertFalse(wrong.good());
        assertEquals(1, wrong.notes().size());
        assertTrue(wrong.reservations().stream().anyMatch(n -> n.contains("(3.000, 4.000)")));
        assertTrue(wrong.reservations().stream().anyMatch(n -> n.contains("(1.000, 2.000)")));
    }
}
