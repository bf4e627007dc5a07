package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Polygons;
import evendose.layout.Layer;
import evendose.pieces.HandMadePieces;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import org.junit.jupiter.api.Test;

/** What a table says of itself, summed again here; parts of it, and pieces of equal dose joined. */
class DoseTableTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.03, 8, 0.7);
    private static final DoseTable TABLE = table();

    /** A pad of many units, a line of another target, one of a fixed dose. */
    private static DoseTable table() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 14, 10);
        Corrections.box(polygons, 1, 20, 0, 20.5, 10);
        Corrections.box(polygons, 2, 25, 0, 26, 10);
        return Corrections.correct(
                polygons,
                CorrectionOptions.builder(PSF)
                        .minFactor(1.02)
                        .levels(LevelRule.geometric(5))
                        .build(),
                Corrections.LINES,
                LayerRole.corrected(new Layer(2, 0), 0.8),
                LayerRole.fixed(new Layer(3, 0), 1.1));
    }

    private static double area(DoseTable table, boolean dosed) {
        Pieces p = table.pieces();
        int[] unit = p.unitOfPiece();
        double sum = 0;
        for (int i = 0; i < p.size(); i++) {
            sum += p.areaUm2(i) * (dosed ? table.factor(unit[i]) : 1);
        }
        return sum;
    }

    @Test
    void countsAndExtremesAreThoseOfTheUnits() {
        Pieces p = TABLE.pieces();
        double[] factors = TABLE.factors();
        assertEquals(Arrays.stream(factors).min().orElseThrow(), TABLE.minFactor());
        assertEquals(Arrays.stream(factors).max().orElseThrow(), TABLE.maxFactor());
        long held = 0;
        long[] of = new long[DoseStatus.values().length];
        Set<Integer> levels = new TreeSet<>();
        for (int u = 0; u < p.units(); u++) {
            int n = p.unitFirst(u + 1) - p.unitFirst(u);
            of[TABLE.status(u).ordinal()] += n;
            held += TABLE.status(u).isHeld() ? n : 0;
            levels.add(TABLE.level(u));
            assertEquals(TABLE.levels().factor(TABLE.level(u)), TABLE.factor(u));
        }
        for (DoseStatus status : DoseStatus.values()) {
            assertEquals(of[status.ordinal()], TABLE.pieces(status), status.word());
        }
        assertTrue(TABLE.pieces(DoseStatus.FIXED) > 0);
        assertEquals(held, TABLE.heldPieces());
        assertEquals(levels.size(), TABLE.levelsUsed());
        assertEquals(TABLE.options().target(), TABLE.target(0));
        assertEquals(0.8 * TABLE.options().target(), TABLE.target(1), 1e-15);
        assertFalse(TABLE.evaluators().isEmpty());
        assertTrue(TABLE.levelCost().isPresent() && TABLE.levelStudy().isEmpty());
        assertTrue(TABLE.energyAtWideDose().isPresent(), "targets differ");
        assertTrue(TABLE.outlineError().points() > 0);
        assertEquals(14 * 10 + 0.5 * 10 + 10, area(TABLE, false), 1e-9);
        factors[0] = 77;
        assertTrue(TABLE.factor(0) < 77, "a copy");
    }

    /** Pieces are fewer, area and dose stay; energies of what was joined are means, within those of their parts. */
    @Test
    void joiningKeepsAreaAndDose() {
        DoseTable joined = TABLE.joined();
        assertTrue(joined.pieces().size() < TABLE.pieces().size());
        assertTrue(joined.pieces().units() < TABLE.pieces().units());
        assertEquals(area(TABLE, false), area(joined, false), 1e-9);
        assertEquals(area(TABLE, true), area(joined, true), 1e-9);
        assertEquals(TABLE.minFactor(), joined.minFactor());
        assertEquals(TABLE.levelsUsed(), joined.levelsUsed());
        double[] least = {9, 9};
        double[] most = new double[2];
        for (int u = 0; u < TABLE.pieces().units(); u++) {
            least[0] = Math.min(least[0], TABLE.energyCorrected(u));
            least[1] = Math.min(least[1], TABLE.energyUncorrected(u));
            most[0] = Math.max(most[0], TABLE.energyCorrected(u));
            most[1] = Math.max(most[1], TABLE.energyUncorrected(u));
        }
        for (int u = 0; u < joined.pieces().units(); u++) {
            assertTrue(joined.energyCorrected(u) >= least[0] && joined.energyCorrected(u) <= most[0]);
            assertTrue(joined.energyUncorrected(u) >= least[1] && joined.energyUncorrected(u) <= most[1]);
            assertEquals(joined.levels().factor(joined.level(u)), joined.factor(u));
        }
    }

    /** The window that holds the line alone: its units with all that belongs to them. */
    @Test
    void aWindowHoldsWhatHasItsMiddleThere() {
        DoseTable line = TABLE.within(19, -1, 22, 11);
        assertEquals(5, area(line, false), 1e-9);
        int first = TABLE.pieces().shapeFirst(1);
        int end = TABLE.pieces().shapeFirst(2);
        assertEquals(end - first, line.pieces().units());
        for (int u = first; u < end; u++) {
            assertEquals(TABLE.factor(u), line.factor(u - first));
            assertEquals(TABLE.level(u), line.level(u - first));
            assertEquals(TABLE.status(u), line.status(u - first));
            assertEquals(TABLE.energyCorrected(u), line.energyCorrected(u - first));
            assertEquals(TABLE.energyUncorrected(u), line.energyUncorrected(u - first));
        }
        assertArrayEquals(
                Arrays.copyOfRange(TABLE.energyAtWideDose().orElseThrow(), first, end),
                line.energyAtWideDose().orElseThrow());
        DoseTable nothing = TABLE.within(100, 100, 101, 101);
        assertEquals(0, nothing.pieces().units());
        assertTrue(Double.isNaN(nothing.minFactor()) && Double.isNaN(nothing.maxFactor()));
    }

    @Test
    void statusesHaveTheirWords() {
        for (DoseStatus status : DoseStatus.values()) {
            assertEquals(status, DoseStatus.of(status.word()));
        }
        assertEquals("at-minimum", DoseStatus.AT_MINIMUM.word());
        assertThrows(IllegalArgumentException.class, () -> DoseStatus.of("fine"));
        assertEquals(
                Set.of(DoseStatus.AT_MINIMUM, DoseStatus.AT_MAXIMUM, DoseStatus.BACKGROUND, DoseStatus.BELOW_BEAM),
                Set.copyOf(Arrays.stream(DoseStatus.values())
                        .filter(DoseStatus::isHeld)
                        .toList()));
    }

    private static final DoseStatus OK = DoseStatus.OK;

    /** Three units in a shape, one alone, two whose statuses differ, two of which nothing is judged. */
    private static HandMadeDoses byHand() {
        double[][] boxes = new double[8][];
        for (int u = 0; u < boxes.length; u++) {
            boxes[u] = new double[] {u, 10, u + 1, 12};
        }
        HandMadeDoses doses = new HandMadeDoses(HandMadePieces.rectangles(new int[] {3, 1, 2, 2}, boxes));
        doses.factor = new double[] {1.1, 1.2, 1.1, 1.1, 1.1, 1.1, 1.3, 1.3};
        doses.level = new int[] {1, 2, 1, 1, 1, 1, 3, 3};
        doses.status = new DoseStatus[] {OK, OK, OK, OK, OK, DoseStatus.UNCONVERGED, OK, OK};
        doses.judged = new float[] {1, 5, 3, 2, 4, 6, 0, 0};
        doses.before = new double[] {0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8};
        doses.after = new double[] {10, 20, 30, 40, 50, 60, 70, 80};
        doses.target = new double[] {2, 3, 4, 5, 6, 7, 8, 9};
        doses.wide = new double[] {5, 6, 7, 8, 9, 10, 11, 12};
        return doses;
    }

    private static void assertUnits(
            DoseTable table, double[] factor, double[] before, double[] after, double[] target) {
        assertArrayEquals(factor, table.factors());
        assertEquals(factor.length, table.pieces().units());
        for (int u = 0; u < factor.length; u++) {
            assertEquals(before[u], table.energyUncorrected(u), 1e-12, "unit " + u);
            assertEquals(after[u], table.energyCorrected(u), 1e-12, "unit " + u);
            assertEquals(target[u], table.targetOfUnit(u), 1e-12, "unit " + u);
        }
    }

    /** Means by what judges the parts: (1 . 0.1 + 3 . 0.3) / 4 = 0.25, where nothing does the plain mean 0.75. */
    @Test
    void unitsOfOneShapeLevelDoseAndStatusAreJoined() {
        DoseTable joined = byHand().build().joined();
        assertUnits(
                joined,
                new double[] {1.1, 1.2, 1.1, 1.1, 1.1, 1.3},
                new double[] {0.25, 0.2, 0.4, 0.5, 0.6, 0.75},
                new double[] {25, 20, 40, 50, 60, 75},
                new double[] {3.5, 3, 5, 6, 7, 8.5});
        assertArrayEquals(
                new double[] {6.5, 6, 8, 9, 10, 11.5}, joined.energyAtWideDose().orElseThrow(), 1e-12);
        assertEquals(7, joined.pieces().size(), "of the last shape one piece is left, the ends of the first lie apart");
        assertEquals(DoseStatus.UNCONVERGED, joined.status(4));
        assertEquals(3, joined.level(5));
        assertEquals(8, joined.counts().units());
        // What judges the joined units is the sum of their parts.
        assertUnits(
                byHand().build().within(0, 0, 3, 20).joined(),
                new double[] {1.1, 1.2},
                new double[] {0.25, 0.2},
                new double[] {25, 20},
                new double[] {3.5, 3});
    }

    /** The lower and the left side of a window belong to it, the upper and the right one do not. */
    @Test
    void middlesOnTheSidesOfAWindow() {
        DoseTable table = byHand().build();
        assertUnits(
                table.within(1.5, 11, 4.5, 20),
                new double[] {1.2, 1.1, 1.1},
                new double[] {0.2, 0.3, 0.4},
                new double[] {20, 30, 40},
                new double[] {3, 4, 5});
        assertEquals(0, table.within(1.5, 0, 4.5, 11).factors().length);
    }

    @Test
    void aLoadingTellsHowFarTargetsDiffer() {
        HandMadeDoses doses = byHand();
        assertTrue(doses.build().wantedOverUsual().isEmpty());
        doses.options = doses.options.toBuilder()
                .longRange(new LongRange(Optional.empty(), Optional.of(DevelopmentLoading.linear(10, 100, 0.5))))
                .build();
        double[] wanted = doses.build().wantedOverUsual().orElseThrow();
        // The edge criterion wants 0.5.
        assertArrayEquals(new double[] {2 / 0.5, 9 / 0.5}, wanted, 1e-12);
        assertTrue(doses.build().within(100, 0, 101, 1).wantedOverUsual().isEmpty());
    }

    @Test
    void whatItSaysOfItself() {
        HandMadeDoses doses = byHand();
        assertEquals(
                "DoseTable[8 pieces, 8 units, factors 1.1000 to 1.3000, converged]",
                doses.build().toString());
        doses.convergence = new Convergence(false, 3, 0.5, 0.1, 0.1, 0, new double[0]);
        assertTrue(doses.build().toString().endsWith(", not converged]"));
        doses.levelStudy = List.of(new LevelTrial(LevelRule.geometric(3), 3, 0, 0, 0, 0, 0, 0));
        assertEquals(doses.levelStudy, doses.build().levelStudy());
        assertEquals(2 * (1.2 + 5 * 1.1 + 2 * 1.3), doses.build().dosedAreaUm2(), 1e-12);
        assertEquals(16, doses.build().areaUm2(), 1e-12);
    }
}
